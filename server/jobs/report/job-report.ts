/** One job as one printable page that needs nothing else: no script, no font, no picture from elsewhere. */
import type { CheckResult } from '../../contract/checks.ts';
import type { Shop } from '../../contract/jobs.ts';
import type { Job } from '../../contract/jobs-views.ts';
import { VISIT_STATE_WORDS } from '../../contract/visit-states.ts';
import { machineTitle } from '../search-words.ts';
import type { VisitComparison } from '../visit-comparison.ts';
import { balanceSection } from './balance-section.ts';
import { clearanceSection } from './clearance-section.ts';
import { costSection } from './cost-section.ts';
import { findingSection } from './finding-section.ts';
import { guidedCheckSection } from './guided-check-section.ts';
import { type Html, html } from './html.ts';
import { ReportNumbers } from './report-numbers.ts';
import { reportStyle } from './report-style.ts';

export interface ReportParts {
  readonly job: Job;
  readonly shop: Shop;
  /** null where there is no pair of captures. */
  readonly comparison: VisitComparison | null;
  /** Of the guided checks that were made for the job. */
  readonly checkResults: readonly CheckResult[];
  /** Photos by id as `data:` addresses; one that is missing is said to be missing. */
  readonly photos: ReadonlyMap<string, string>;
  readonly paper: Shop['paper'];
  readonly printedAtMs: number;
  readonly softwareVersion: string;
}

/** A whole HTML document; everything that a person typed is escaped. */
export function jobReport(parts: ReportParts): string {
  const { job, shop, comparison } = parts;
  const numbers = new ReportNumbers(shop.locale, shop.pressureUnit);
  const { visit } = job;
  const document = html`<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Job report ${visit.day} ${machineTitle(job.machine)}</title>
<style>${reportStyle(parts.paper)}</style>
</head>
<body>
${heading(parts, numbers)}
${visit.practice ? html`<p class="practice">Practice job: measured on a simulated engine, not on a real machine.</p>` : null}
${facts(job)}
${balanceSection(job, comparison, numbers)}
${clearanceSection(job)}
${checkSection(job)}
${guidedCheckSection(parts.checkResults, numbers)}
${findingSection(job, parts.photos)}
${costSection(job, numbers.locale)}
${endSection(job, numbers)}
${caution()}
<footer><span>${shop.reportFooter}</span><span>Printed ${numbers.moment(parts.printedAtMs)}, version ${parts.softwareVersion}</span></footer>
</body>
</html>
`;
  return document.text;
}

function heading({ shop, job, photos }: ReportParts, numbers: ReportNumbers): Html {
  const logo = shop.logoPhotoId === null ? undefined : photos.get(shop.logoPhotoId);
  const lines = [shop.address, shop.phone, shop.email, shop.taxNumber].filter((line) => line !== '');
  return html`<header>
  <div><h1>Job report</h1>${numbers.day(job.visit.day)}, ${VISIT_STATE_WORDS[job.visit.state]}</div>
  ${logo === undefined ? null : html`<img src="${logo}" alt="">`}
  <div class="shop"><strong>${shop.name}</strong>
${lines.join('\n')}</div>
</header>`;
}

function facts({ visit, machine, owner }: Job): Html {
  const odometer = visit.odometer === null ? '' : `${visit.odometer.value} ${visit.odometer.unit}`;
  const idle = machine.service.idleSpeed;
  return html`<dl class="facts">
${fact('Machine', machineTitle(machine), 'half')}
${fact('Owner', owner === null ? '' : [owner.name, owner.phone].filter((part) => part !== '').join(', '), 'half')}
${fact('Frame number', machine.frameNumber)}
${fact('Plate', machine.plate ?? '')}
${fact('Odometer', odometer)}
${fact('Technician', visit.technician)}
${fact('Engine', [`${machine.cylinders} cyl.`, machine.layout, machine.firing].filter((part) => part !== '').join(', '), 'half')}
${fact('Idle speed to specification', idle === null ? '' : `${idle.value}${idle.band === null ? '' : ` ± ${idle.band}`} ${idle.unit}${sourced(idle.source)}`, 'half')}
${fact('Complaint', visit.complaint, 'wide')}
</dl>`;
}

function fact(label: string, value: string, width = ''): Html | null {
  if (value === '') return null;
  return html`<div class="${width}"><dt>${label}</dt><dd>${value}</dd></div>`;
}

const sourced = (source: string): string => (source === '' ? '' : ` (${source})`);

const RESULT_WORDS = {
  good: 'good',
  'needs-work': 'needs work',
  'not-applicable': 'does not apply',
} as const;

/** The checklist: what was looked at, then in one line what was not. */
function checkSection({ entries }: Job): Html | null {
  const checks = entries.flatMap(({ body }) => (body.kind === 'check' ? [body] : []));
  if (checks.length === 0) return null;
  const open = checks.filter(({ result }) => result === 'open');
  const done = checks.flatMap(({ name, note, result }) =>
    result === 'open' ? [] : [{ name, note, words: RESULT_WORDS[result] }],
  );
  return html`<h2>Checks</h2>${
    done.length === 0
      ? null
      : html`<div class="columns">${done.map(
          ({ name, note, words }) =>
            html`<p>${name}: <span class="verdict">${words}</span>${note === '' ? '' : `, ${note}`}</p>`,
        )}</div>`
  }
${open.length === 0 ? null : html`<p><span class="verdict">Not done:</span> ${open.map(named).join('; ')}.</p>`}`;
}

const named = ({ name, note }: { readonly name: string; readonly note: string }): string =>
  note === '' ? name : `${name} (${note})`;

function endSection({ visit }: Job, numbers: ReportNumbers): Html | null {
  const due = [
    visit.nextDue.day === null ? '' : `on ${numbers.day(visit.nextDue.day)}`,
    visit.nextDue.odometer === null
      ? ''
      : `at ${visit.nextDue.odometer.value} ${visit.nextDue.odometer.unit}`,
  ].filter((part) => part !== '');
  const next = [due.join(' or '), visit.nextDue.what].filter((part) => part !== '').join(': ');
  const handedOver = visit.handedOverOn === null ? '' : numbers.day(visit.handedOverOn);
  const lines = [
    ['Road test', visit.roadTest],
    ['Hand-over', [handedOver, visit.handOver].filter((part) => part !== '').join(': ')],
    ['Next due', next],
  ].filter(([, text]) => text !== '');
  if (lines.length === 0) return null;
  return html`<h2>Road test, hand-over, next due</h2>${lines.map(([label, text]) => html`<p><strong>${label!}:</strong> ${text!}</p>`)}`;
}

function caution(): Html {
  return html`<p class="caution"><strong>Please note.</strong> The figures were taken with a workshop instrument at idle; ± is the expanded
uncertainty (k = 2). They support, and do not replace, the manufacturer's service data, local rules and the judgement of a
licensed technician. Exhaust gas is poisonous: run the engine in the open or with good ventilation only. If the engine
hunts, stalls or hangs at speed, or fuel smells or leaks, stop, switch off and have it looked at before riding on.</p>`;
}
