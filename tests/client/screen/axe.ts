import { readFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import type { Page } from 'playwright-core';

const AXE = readFileSync(createRequire(import.meta.url).resolve('axe-core/axe.min.js'), 'utf8');
const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];

/** Violations of WCAG 2.2 A and AA and of good practice that axe-core finds on the page, each as one line. */
export async function axeViolations(page: Page): Promise<string[]> {
  if (await page.evaluate('typeof axe === "undefined"')) await page.evaluate(AXE);
  return page.evaluate(
    `axe.run(document, { runOnly: ${JSON.stringify(TAGS)} }).then(({ violations }) => violations.flatMap(({ id, nodes }) =>
      nodes.map(({ target, failureSummary }) => id + ' at ' + target.join(' ') + ': ' + failureSummary.replaceAll('\\n', ' '))))`,
  );
}
