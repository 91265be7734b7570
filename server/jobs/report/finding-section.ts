import type { Job } from '../../contract/jobs-views.ts';
import { type Html, html } from './html.ts';

const WEIGHT_WORDS = { note: '', 'needs-work': 'Needs work: ', unsafe: 'UNSAFE: ' } as const;

/** Findings with their photos, then the notes. */
export function findingSection({ entries, visit }: Job, photos: ReadonlyMap<string, string>): Html | null {
  const findings = entries.flatMap(({ body }) => (body.kind === 'finding' ? [body] : []));
  const notes = entries.flatMap(({ body }) => (body.kind === 'note' ? [body.text] : []));
  if (visit.notes !== '') notes.push(visit.notes);
  if (findings.length === 0 && notes.length === 0) return null;
  return html`<h2>Findings</h2>
${findings.map(
  (finding) => html`<p><strong>${WEIGHT_WORDS[finding.weight]}</strong>${finding.text}</p>
${finding.photoIds.length === 0 ? null : html`<div class="photos">${finding.photoIds.map((id) => picture(photos.get(id)))}</div>`}`,
)}
${notes.map((note) => html`<p>${note}</p>`)}`;
}

function picture(address: string | undefined): Html {
  return address === undefined ? html`<span>[photo missing]</span>` : html`<img src="${address}" alt="">`;
}
