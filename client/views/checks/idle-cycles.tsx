import type { IdlePicture } from '../../../server/contract/checks.ts';
import { lineColour } from '../../charts/cylinder-style.ts';
import { useSize } from '../../charts/element-size.ts';
import { theme } from '../../settings/theme.ts';

const SPEED_HEIGHT = 150;
const ROW_HEIGHT = 22;
const LEFT = 64;
const RIGHT = 12;
const BOTTOM = 24;
/** What is drawn fills at least this part of the speed, so that a quiet idle does not look wild. */
const LEAST_SPAN = 0.1;

/** Speed of every cycle over time, and under it each cylinder's missed pulses. */
export function IdleCycles({ picture }: { picture: IdlePicture }) {
  const [ref, size] = useSize<HTMLDivElement>();
  const { timeS, speedRpm, missedS } = picture;
  if (timeS.length < 2) return null;
  const width = size?.width ?? 600;
  const height = SPEED_HEIGHT + missedS.length * ROW_HEIGHT + BOTTOM;
  const lastS = timeS.at(-1)!;
  const sorted = [...speedRpm].sort((a, b) => a - b);
  const middle = sorted[sorted.length >> 1]!;
  const half = Math.max((LEAST_SPAN / 2) * middle, middle - sorted[0]!, sorted.at(-1)! - middle);
  const x = (seconds: number): number => LEFT + ((width - LEFT - RIGHT) * seconds) / lastS;
  const y = (rpm: number): number => 12 + ((SPEED_HEIGHT - 24) * (middle + half - rpm)) / (2 * half);
  const path = timeS.map(
    (seconds, at) => `${at === 0 ? 'M' : 'L'}${x(seconds).toFixed(1)} ${y(speedRpm[at]!).toFixed(1)}`,
  );
  const missed = missedS.reduce((sum, list) => sum + (list?.length ?? 0), 0);
  const ticks = Array.from({ length: 5 }, (_, at) => Math.round((lastS * at) / 4));
  return (
    <figure class="idle-cycles">
      <figcaption>Speed of each cycle, r/min, and missed or weak pulses of each cylinder</figcaption>
      <div ref={ref}>
        <svg
          width={width}
          height={height}
          role="img"
          aria-label={`${timeS.length} cycles over ${lastS.toFixed(0)} seconds round ${middle.toFixed(0)} r/min, ${missed} missed or weak pulses`}
        >
          {[middle - half, middle, middle + half].map((rpm) => (
            <g key={rpm}>
              <line class="idle-grid" x1={LEFT} x2={width - RIGHT} y1={y(rpm)} y2={y(rpm)} />
              <text class="idle-words" x={LEFT - 8} y={y(rpm) + 5} text-anchor="end">
                {rpm.toFixed(0)}
              </text>
            </g>
          ))}
          <path class="idle-speed-line" d={path.join('')} />
          {missedS.map((list, cyl) => {
            const middleY = SPEED_HEIGHT + (cyl + 0.5) * ROW_HEIGHT;
            return (
              <g key={cyl}>
                <text class="idle-words" x={LEFT - 8} y={middleY + 5} text-anchor="end">
                  cyl. {cyl + 1}
                </text>
                <line class="idle-grid" x1={LEFT} x2={width - RIGHT} y1={middleY} y2={middleY} />
                {list === null ? (
                  <text class="idle-words" x={LEFT + 4} y={middleY + 5}>
                    pulses cannot be told
                  </text>
                ) : (
                  list.map((seconds) => (
                    <line
                      key={seconds}
                      x1={x(seconds)}
                      x2={x(seconds)}
                      y1={middleY - 8}
                      y2={middleY + 8}
                      stroke={lineColour(cyl, theme.value)}
                      stroke-width="2.5"
                    />
                  ))
                )}
              </g>
            );
          })}
          {ticks.map((seconds, at) => (
            <text
              key={seconds}
              class="idle-words"
              x={x(seconds)}
              y={height - 6}
              text-anchor={at === ticks.length - 1 ? 'end' : 'middle'}
            >
              {seconds} s
            </text>
          ))}
        </svg>
      </div>
    </figure>
  );
}
