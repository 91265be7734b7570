const WIDTH = 640;
const HEIGHT = 260;
const LEFT = 56;
const RIGHT = 16;
const TOP = 40;
const BOTTOM = 44;
const GRID_KPA = 20;
/** Told apart by the dashes too. */
const STROKES = ['stroke="#0b5394"', 'stroke="#b45309" stroke-dasharray="7 4"'];

/**
 * Pressure of each cylinder against time as an SVG, zero vacuum at the bottom.
 *
 * @param timesS from 0 [s]
 * @param vacuumsKpa one column per cylinder [kPa below the air outside]
 */
export function drawPulses(
  title: string,
  timesS: readonly number[],
  vacuumsKpa: readonly (readonly number[])[],
): string {
  const highest = Math.max(GRID_KPA, ...vacuumsKpa.flat());
  const topKpa = GRID_KPA * Math.ceil(highest / GRID_KPA);
  const endS = timesS.at(-1) ?? 1;
  const x = (timeS: number) => LEFT + ((WIDTH - LEFT - RIGHT) * timeS) / endS;
  const y = (kpa: number) => HEIGHT - BOTTOM - ((HEIGHT - TOP - BOTTOM) * kpa) / topKpa;
  const lines = [
    `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${WIDTH} ${HEIGHT}" role="img" font-family="sans-serif" font-size="13">`,
    `<title>${title}</title>`,
    `<rect width="${WIDTH}" height="${HEIGHT}" fill="#ffffff"/>`,
    `<text x="${LEFT}" y="22" font-size="15" fill="#111111">${title}</text>`,
  ];
  for (let kpa = 0; kpa <= topKpa; kpa += GRID_KPA) {
    lines.push(
      `<path d="M${LEFT} ${y(kpa).toFixed(1)}H${WIDTH - RIGHT}" stroke="#d0d0d0"/>`,
      `<text x="${LEFT - 8}" y="${(y(kpa) + 4).toFixed(1)}" text-anchor="end" fill="#333333">${kpa}</text>`,
    );
  }
  for (const [cylinder, vacuums] of vacuumsKpa.entries()) {
    const points = vacuums.map((kpa, at) => `${x(timesS[at]!).toFixed(1)} ${y(kpa).toFixed(1)}`);
    lines.push(`<path d="M${points.join('L')}" fill="none" stroke-width="2" ${STROKES[cylinder % 2]}/>`);
    const legendX = WIDTH - RIGHT - 220 + cylinder * 112;
    lines.push(
      `<path d="M${legendX} 17h26" stroke-width="2" ${STROKES[cylinder % 2]}/>`,
      `<text x="${legendX + 32}" y="22" fill="#333333">cylinder ${cylinder + 1}</text>`,
    );
  }
  lines.push(
    `<text x="${LEFT}" y="${HEIGHT - 14}" fill="#333333">vacuum in kPa, over ${endS.toFixed(2)} s</text>`,
    '</svg>',
    '',
  );
  return lines.join('\n');
}
