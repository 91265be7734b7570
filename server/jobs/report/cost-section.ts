import type { Entry } from '../../contract/jobs-entries.ts';
import type { Job } from '../../contract/jobs-views.ts';
import { moneyText } from '../../contract/minor-units.ts';
import { type Html, html } from './html.ts';

/** What was fitted and done with its price, the sums, and the parts that were offered and left. */
export function costSection(job: Job, locale: string): Html | null {
  const { costs, entries, visit } = job;
  const money = (minor: number | null) => (minor === null ? '' : moneyText(minor, costs.currency, locale));
  const lines = new Map(costs.lines.map((line) => [line.entryId, line]));
  const charged = entries.filter((entry) => lines.has(entry.id));
  const left = entries.flatMap(({ body }) => (body.kind === 'part' && body.state !== 'fitted' ? [body] : []));
  if (charged.length === 0 && left.length === 0) return null;
  const included = visit.pricing.pricesIncludeTax;
  return html`<h2>Parts, work and costs</h2>
${
  charged.length === 0
    ? null
    : html`<table>
<tr><th>What</th><th class="n">Quantity</th><th class="n">Price</th><th class="n">Tax</th><th class="n">Amount</th></tr>
${charged.map((entry) => {
  const { name, detail, quantity, unitPriceMinor, taxPercent } = priced(entry);
  const line = lines.get(entry.id)!;
  const amount = included ? line.grossMinor : line.netMinor;
  return html`<tr><td>${name}${detail === '' ? '' : `, ${detail}`}</td><td class="n">${quantity}</td>
<td class="n">${money(unitPriceMinor)}</td><td class="n">${taxPercent} %</td><td class="n">${money(amount)}</td></tr>`;
})}
<tr class="sum"><td colspan="4" class="n">Without tax</td><td class="n">${money(costs.netMinor)}</td></tr>
${costs.taxes.map(
  (tax) =>
    html`<tr class="sum"><td colspan="4" class="n">Tax ${tax.percent} % on ${money(tax.netMinor)}</td><td class="n">${money(tax.taxMinor)}</td></tr>`,
)}
<tr class="total"><td colspan="4" class="n">Total${included ? ' (prices include tax)' : ''}</td><td class="n">${money(costs.grossMinor)}</td></tr>
</table>`
}
${left.length === 0 ? null : html`<p>Offered and not fitted:</p><ul>${left.map((part) => html`<li>${part.name}${part.number === '' ? '' : `, ${part.number}`}: ${part.quantity} × ${money(part.unitPriceMinor)}, ${part.state}${part.note === '' ? '' : ` (${part.note})`}</li>`)}</ul>`}`;
}

function priced({ body }: Entry) {
  if (body.kind === 'part') {
    const detail = [body.number, body.supplier, body.note].filter((part) => part !== '').join(', ');
    return { ...body, detail };
  }
  if (body.kind === 'labour') return { ...body, name: body.text, detail: '', quantity: `${body.quantity} h` };
  if (body.kind === 'fluid') return { ...body, detail: '', quantity: `${body.quantity} ${body.unit}` };
  throw new TypeError(`a ${body.kind} has no price`);
}
