interface ZeroAxisProps {
  /** The largest value shown to either side of 0. */
  readonly end: number;
  readonly y: (value: number) => number;
  readonly fromX: number;
  readonly toX: number;
}

/** Lines and figures of an upright scale with 0 in its middle. */
export function ZeroAxis({ end, y, fromX, toX }: ZeroAxisProps) {
  return (
    <>
      {[-end, -end / 2, 0, end / 2, end].map((value) => (
        <g key={value}>
          <line
            class={value === 0 ? 'picture-zero' : 'picture-grid'}
            x1={fromX}
            x2={toX}
            y1={y(value)}
            y2={y(value)}
          />
          <text
            class="picture-number"
            x={fromX - 6}
            y={y(value)}
            text-anchor="end"
            dominant-baseline="central"
          >
            {value === 0 ? '0' : Number(value.toPrecision(2))}
          </text>
        </g>
      ))}
    </>
  );
}
