import { encode } from 'uqr';

/** Modules of white round the code. ISO/IEC 18004, 5.3.8: four. */
const QUIET_ZONE = 4;

/** Black on white in both themes: cameras are made for that. */
export function QrCode({ text, name }: { text: string; name: string }) {
  const { data, size } = encode(text, { ecc: 'M', border: QUIET_ZONE });
  const path = data.flatMap((row, y) => row.map((dark, x) => (dark ? `M${x} ${y}h1v1h-1z` : ''))).join('');
  return (
    <svg
      class="qr-code"
      viewBox={`0 0 ${size} ${size}`}
      role="img"
      aria-label={name}
      shape-rendering="crispEdges"
      data-testid="qr-code"
    >
      <rect width={size} height={size} fill="#ffffff" />
      <path d={path} fill="#000000" />
    </svg>
  );
}
