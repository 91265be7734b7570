import type { CaptureFigures } from '../capture-store.ts';
import type { VisitComparison } from '../visit-comparison.ts';
import { type Html, html } from './html.ts';
import type { ReportNumbers } from './report-numbers.ts';

const WIDTH = 720;
const LEFT = 70;
const RIGHT = 20;
const RAIL_GAP = 74;
const FIRST_RAIL = 46;
const MARKER_HEIGHT = 14;
/** Room left and right of the outermost marker, as part of the range. */
const MARGIN = 0.15;
const SMALLEST_RANGE_KPA = 1;

/**
 * Before and after on one scale of vacuum: a marker for each cylinder, as wide as its uncertainty, with its number above.
 * Drawn in black and grey, told apart by number and place alone, so that it survives any printer.
 */
export function railPicture(comparison: VisitComparison, numbers: ReportNumbers): Html | null {
  const rails = [
    { title: 'Before', figures: comparison.beforeFigures },
    { title: 'After', figures: comparison.afterFigures },
  ];
  const vacuums = rails.flatMap(({ figures }) => markersOf(figures).map((marker) => marker.kpa));
  if (vacuums.length === 0) return null;
  const middle = (Math.min(...vacuums) + Math.max(...vacuums)) / 2;
  const range = Math.max(Math.max(...vacuums) - Math.min(...vacuums), SMALLEST_RANGE_KPA);
  const lowest = middle - range * (0.5 + MARGIN);
  const span = range * (1 + 2 * MARGIN);
  const x = (kpa: number) => LEFT + ((kpa - lowest) / span) * (WIDTH - LEFT - RIGHT);
  const height = FIRST_RAIL + RAIL_GAP * rails.length;
  return html`<svg class="rails" viewBox="0 0 ${WIDTH} ${height}" role="img"
    aria-label="Vacuum of each cylinder before and after">
    ${ticks(numbers.shown(lowest), numbers.shown(lowest + span)).map((shown) => {
      const at = x(lowest + ((shown - numbers.shown(lowest)) / numbers.shown(span)) * span);
      return html`<line class="grid" x1="${fixed(at)}" y1="24" x2="${fixed(at)}" y2="${height - 22}"/>
        <text class="tick" x="${fixed(at)}" y="${height - 8}">${new Intl.NumberFormat(numbers.locale).format(shown)}</text>`;
    })}
    <text class="unit" x="${LEFT - 10}" y="${height - 8}">${numbers.unit}</text>
    ${rails.map(({ title, figures }, index) => rail(title, figures, FIRST_RAIL + index * RAIL_GAP, x))}
  </svg>`;
}

function rail(title: string, figures: CaptureFigures, y: number, x: (kpa: number) => number): Html {
  const markers = markersOf(figures);
  const lanes = labelLanes(markers.map((marker) => x(marker.kpa)));
  return html`<text class="rail-title" x="${LEFT - 10}" y="${y + 5}">${title}</text>
    <line class="rail" x1="${LEFT}" y1="${y}" x2="${WIDTH - RIGHT}" y2="${y}"/>
    ${markers.map(({ cylinder, kpa, expandedKpa }, index) => {
      const half = Math.max(1.5, x(kpa + (expandedKpa ?? 0)) - x(kpa));
      return html`<rect class="width" x="${fixed(x(kpa) - half)}" y="${y - MARKER_HEIGHT / 2}"
          width="${fixed(2 * half)}" height="${MARKER_HEIGHT}"/>
        <line class="mark" x1="${fixed(x(kpa))}" y1="${y - 10}" x2="${fixed(x(kpa))}" y2="${y + 10}"/>
        <text class="cylinder" x="${fixed(x(kpa))}" y="${y - 14 + lanes[index]! * 38}">${cylinder}</text>`;
    })}`;
}

function markersOf(figures: CaptureFigures) {
  return (figures.cylinders ?? []).flatMap(({ vacuumKpa, vacuumExpandedKpa }, index) =>
    vacuumKpa === null ? [] : [{ cylinder: index + 1, kpa: vacuumKpa, expandedKpa: vacuumExpandedKpa }],
  );
}

/** 0 above the rail, 1 below it: neighbours that would overlap take turns. */
function labelLanes(places: readonly number[]): number[] {
  const order = places.map((_, index) => index).sort((a, b) => places[a]! - places[b]!);
  const lanes: number[] = places.map(() => 0);
  for (const [rank, index] of order.entries()) {
    const before = order[rank - 1];
    if (before !== undefined && places[index]! - places[before]! < 14) lanes[index] = 1 - lanes[before]!;
  }
  return lanes;
}

/** About six round numbers between the two. */
function ticks(from: number, to: number): number[] {
  const rough = (to - from) / 6;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = [1, 2, 5, 10].map((factor) => factor * power).find((candidate) => candidate >= rough)!;
  const first = Math.ceil(from / step);
  const last = Math.floor(to / step);
  return Array.from({ length: last - first + 1 }, (_, index) =>
    Number(((first + index) * step).toPrecision(12)),
  );
}

const fixed = (value: number): string => value.toFixed(1);
