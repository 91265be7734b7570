/** A small rail: a band with a mark for the value, three bands wide. */
export function BandLine({ value, centre, half }: { value: number | null; centre: number; half: number }) {
  const reach = 3 * half;
  const place = value === null ? null : Math.max(-1, Math.min(1, (value - centre) / reach));
  return (
    <svg class="band-line" viewBox="-100 0 200 24" preserveAspectRatio="none" aria-hidden="true">
      <rect class="rail-track" x="-100" y="5" width="200" height="14" />
      <rect class="rail-band" x={-100 / 3} y="5" width={200 / 3} height="14" />
      {place !== null && <rect class="band-mark" x={place * 98 - 1.5} y="0" width="3" height="24" />}
    </svg>
  );
}
