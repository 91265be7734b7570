import { useState } from 'preact/hooks';
import type { EntryBody } from '../../../server/contract/jobs-entries.ts';
import { moneyText } from '../../../server/contract/minor-units.ts';
import { WideTable } from '../wide-table.tsx';
import { FluidLine, LabourLine, PartLine, type Priced } from './cost-lines.tsx';
import type { JobSectionProps } from './job-page.tsx';
import { records } from './record-api.ts';
import { SelectField } from './select-field.tsx';
import { useFetched } from './use-fetched.ts';
import { addLine, linesOf } from './use-line.ts';

const KINDS = [
  { value: 'part', words: 'a part' },
  { value: 'labour', words: 'labour' },
  { value: 'fluid', words: 'a fluid' },
] as const;
/** Parts, labour, fluids, and what they come to. The program adds up; nothing is reckoned on the screen. */
export function CostsSection({ job, again }: JobSectionProps) {
  const { costs, visit } = job;
  const shop = useFetched(() => records.shop(), 'shop');
  const { currency } = visit.pricing;
  const locale = shop.value?.locale ?? 'en';
  const money = (minor: number) => moneyText(minor, currency, locale);
  const [kind, setKind] = useState<Priced>('part');
  const taxPercent = shop.value?.taxPercent ?? '0';
  const add = () => {
    const price = { quantity: '1', taxPercent };
    const body: EntryBody =
      kind === 'part'
        ? {
            kind,
            name: 'Part',
            number: '',
            supplier: '',
            state: 'fitted',
            note: '',
            unitPriceMinor: 0,
            ...price,
          }
        : kind === 'labour'
          ? { kind, text: 'Work', unitPriceMinor: shop.value?.labourPerHourMinor ?? 0, ...price }
          : { kind, name: 'Fluid', unit: 'l', unitPriceMinor: 0, ...price };
    return addLine(job, body, again);
  };
  return (
    <section class="panel" aria-labelledby="costs-name">
      <h2 class="panel-name" id="costs-name">
        Parts and costs
      </h2>
      <ul class="line-list">
        {linesOf(job, 'part').map((line) => (
          <PartLine key={line.id} line={line} currency={currency} again={again} />
        ))}
        {linesOf(job, 'labour').map((line) => (
          <LabourLine key={line.id} line={line} currency={currency} again={again} />
        ))}
        {linesOf(job, 'fluid').map((line) => (
          <FluidLine key={line.id} line={line} currency={currency} again={again} />
        ))}
      </ul>
      <div class="with-button">
        <SelectField name="Add" id="new-cost" value={kind} options={KINDS} onChoose={setKind} />
        <button type="button" data-testid="add-cost" onClick={add}>
          Add
        </button>
      </div>
      <WideTable name="Totals">
        <table class="totals">
          <tbody>
            <tr>
              <th scope="row">Without tax</th>
              <td>{money(costs.netMinor)}</td>
            </tr>
            {costs.taxes.map((tax) => (
              <tr key={tax.percent}>
                <th scope="row">Tax {tax.percent} %</th>
                <td>{money(tax.taxMinor)}</td>
              </tr>
            ))}
            <tr class="main-row">
              <th scope="row">Total</th>
              <td data-testid="gross">{money(costs.grossMinor)}</td>
            </tr>
          </tbody>
        </table>
      </WideTable>
      <p class="field-note">Quoted and declined parts are listed on the report and not charged.</p>
    </section>
  );
}
