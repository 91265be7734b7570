import type { Shop } from '../../contract/jobs.ts';
import { Html } from './html.ts';

/** Letter is 18 mm shorter than A4: narrower margins and a lower picture give that back [mm]. */
const SHEETS = {
  A4: { marginMm: 11, pictureMm: 34 },
  letter: { marginMm: 7, pictureMm: 26 },
} as const;

/** A4 is ISO 216; letter is 8.5 by 11 inches. */
export function reportStyle(paper: Shop['paper']): Html {
  const { marginMm, pictureMm } = SHEETS[paper];
  return new Html(`
@page { size: ${paper}; margin: ${marginMm}mm 12mm; }
* { box-sizing: border-box; }
html { font: 8pt/1.2 system-ui, 'Segoe UI', Roboto, 'Helvetica Neue', 'DejaVu Sans', sans-serif; color: #111; background: #fff; }
body { margin: 0 auto; max-width: 190mm; overflow-wrap: anywhere; }
h1 { font-size: 13pt; margin: 0; }
h2 { font-size: 8.8pt; margin: 1.8mm 0 0.5mm; border-bottom: 0.3mm solid #111; break-after: avoid; }
p { margin: 0.4mm 0; white-space: pre-line; }
header { display: flex; gap: 6mm; justify-content: space-between; align-items: flex-start; border-bottom: 0.6mm solid #111; padding-bottom: 1.6mm; }
header .shop { text-align: right; white-space: pre-line; }
header img { max-height: 16mm; max-width: 50mm; }
.practice { border: 0.6mm solid #111; padding: 1.2mm 2mm; margin: 2mm 0; font-weight: 700; text-align: center; }
.facts { display: grid; grid-template-columns: repeat(4, 1fr); gap: 0.6mm 4mm; margin: 1.6mm 0 0; }
.facts div { break-inside: avoid; }
dt, .label { color: #444; font-size: 7pt; }
dl, dd { margin: 0; }
.wide { grid-column: 1 / -1; }
.half { grid-column: span 2; }
table { border-collapse: collapse; width: 100%; break-inside: auto; }
tr { break-inside: avoid; }
th { text-align: left; overflow-wrap: break-word; font-weight: 600; color: #333; border-bottom: 0.2mm solid #777; padding: 0.1mm 1.6mm 0.1mm 0; }
td { padding: 0.1mm 1.6mm 0.1mm 0; vertical-align: top; border-bottom: 0.1mm solid #ccc; }
th.n, td.n { text-align: right; font-variant-numeric: tabular-nums; white-space: nowrap; }
tr.sum td { border-bottom: 0; }
tr.sum, tr.total { break-before: avoid; }
tr.total td { border-top: 0.3mm solid #111; font-weight: 700; }
.verdict { font-weight: 600; }
.check { break-inside: avoid; white-space: normal; }
.result { font-size: 9.4pt; font-weight: 600; }
.columns { columns: 3; column-gap: 5mm; }
.columns p, .columns li { break-inside: avoid; }
ul { margin: 0.6mm 0; padding-left: 4mm; }
.rails { width: 100%; max-height: ${pictureMm}mm; display: block; margin: 0.6mm 0; }
.rails .rail { stroke: #111; stroke-width: 1.4; }
.rails .grid { stroke: #ccc; stroke-width: 1; }
.rails .width { fill: #bbb; stroke: #555; stroke-width: 0.6; }
.rails .mark { stroke: #000; stroke-width: 2.2; }
.rails text { font-size: 12px; fill: #111; }
.rails .cylinder { font-weight: 700; text-anchor: middle; }
.rails .tick { text-anchor: middle; fill: #444; }
.rails .unit, .rails .rail-title { text-anchor: end; }
.photos { display: flex; flex-wrap: wrap; gap: 2mm; margin: 1mm 0; }
.photos img { max-height: 42mm; max-width: 60mm; break-inside: avoid; }
.caution { break-before: avoid; white-space: normal; border: 0.2mm solid #777; padding: 1mm 2mm; margin-top: 1.8mm; font-size: 7pt; break-inside: avoid; }
footer { margin-top: 2mm; color: #444; font-size: 7pt; display: flex; justify-content: space-between; gap: 6mm; }
@media screen { body { padding: 8mm; } html { font-size: 11pt; } dt, .label, footer, .caution { font-size: 9.5pt; } }
`);
}
