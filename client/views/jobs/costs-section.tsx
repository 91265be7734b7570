import { useState } from 'preact/hooks';
import type { EntryBody } from '../../../server/contract/jobs-entries.ts';
import { WideTable } from '../wide-table.tsx';
import { DecimalField } from './decimal-field.tsx';
import { EntryStatus } from './entry-status.tsx';
import type { JobSectionProps } from './job-page.tsx';
import { moneyWords, typedMoney } from './money-text.ts';
import { PriceField } from './price-field.tsx';
import { records } from './record-api.ts';
import { RemoveButton } from './remove-button.tsx';
import { SelectField } from './select-field.tsx';
import { TextField } from './text-field.tsx';
import { useFetched } from './use-fetched.ts';
import { addLine, type LineOf, linesOf, useLine } from './use-line.ts';

type Priced = 'part' | 'labour' | 'fluid';

const KINDS = [
  { value: 'part', words: 'a part' },
  { value: 'labour', words: 'labour' },
  { value: 'fluid', words: 'a fluid' },
] as const;
const PART_STATES = [
  { value: 'fitted', words: 'fitted' },
  { value: 'quoted', words: 'quoted' },
  { value: 'declined', words: 'declined' },
] as const;

/** Parts, labour, fluids, and what they come to. The program adds up; nothing is reckoned on the screen. */
export function CostsSection({ job, again }: JobSectionProps) {
  const { costs, visit } = job;
  const shop = useFetched(() => records.shop(), 'shop');
  const { currency } = visit.pricing;
  const locale = shop.value?.locale ?? 'en';
  const money = (minor: number) => moneyWords(minor, currency, locale);
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
              <th scope="row">To pay</th>
              <td data-testid="gross">{money(costs.grossMinor)}</td>
            </tr>
          </tbody>
        </table>
      </WideTable>
      <p class="field-note">Quoted and declined parts are listed on the report and not charged.</p>
    </section>
  );
}

interface CostLineProps<K extends Priced> {
  readonly line: LineOf<K>;
  readonly currency: string;
  readonly again: () => void;
}

function PartLine({ line, currency, again }: CostLineProps<'part'>) {
  const edit = useLine(line, again);
  const { body } = edit;
  const text = (key: 'name' | 'number' | 'supplier' | 'note') => ({
    id: `${key}-${line.id}`,
    value: body[key],
    onInput: (value: string) => edit.set({ [key]: value }),
    onLeave: () => edit.save(),
  });
  return (
    <li class="line">
      <div class="field-grid">
        <TextField name="Part" {...text('name')} />
        <TextField name="Part number" {...text('number')} />
        <TextField name="Supplier" {...text('supplier')} />
        <SelectField
          name="Fitted?"
          id={`part-state-${line.id}`}
          value={body.state}
          options={PART_STATES}
          onChoose={(state) => edit.save({ state })}
        />
        <PriceFields id={line.id} body={body} currency={currency} quantityName="Pieces" save={edit.save} />
        <TextField name="Note" {...text('note')} />
      </div>
      <RemoveButton what={body.name} onRemove={edit.remove} />
      {edit.status !== 'saved' && <EntryStatus {...edit} />}
    </li>
  );
}

function LabourLine({ line, currency, again }: CostLineProps<'labour'>) {
  const edit = useLine(line, again);
  const { body } = edit;
  return (
    <li class="line">
      <div class="field-grid">
        <TextField
          name="Labour"
          id={`labour-${line.id}`}
          value={body.text}
          most={2000}
          onInput={(text) => edit.set({ text })}
          onLeave={() => edit.save()}
        />
        <PriceFields id={line.id} body={body} currency={currency} quantityName="Hours" save={edit.save} />
      </div>
      <RemoveButton what={body.text} onRemove={edit.remove} />
      {edit.status !== 'saved' && <EntryStatus {...edit} />}
    </li>
  );
}

function FluidLine({ line, currency, again }: CostLineProps<'fluid'>) {
  const edit = useLine(line, again);
  const { body } = edit;
  return (
    <li class="line">
      <div class="field-grid">
        <TextField
          name="Fluid"
          id={`fluid-${line.id}`}
          value={body.name}
          onInput={(name) => edit.set({ name })}
          onLeave={() => edit.save()}
        />
        <TextField
          name="Measured in"
          id={`fluid-unit-${line.id}`}
          value={body.unit}
          most={20}
          onInput={(unit) => edit.set({ unit })}
          onLeave={() => edit.save()}
        />
        <PriceFields id={line.id} body={body} currency={currency} quantityName="Quantity" save={edit.save} />
      </div>
      <RemoveButton what={body.name} onRemove={edit.remove} />
      {edit.status !== 'saved' && <EntryStatus {...edit} />}
    </li>
  );
}

interface PriceFieldsProps {
  readonly id: string;
  readonly body: { readonly quantity: string; readonly unitPriceMinor: number; readonly taxPercent: string };
  readonly currency: string;
  readonly quantityName: string;
  readonly save: (change: { quantity?: string; unitPriceMinor?: number; taxPercent?: string }) => void;
}

function PriceFields({ id, body, currency, quantityName, save }: PriceFieldsProps) {
  return (
    <>
      <DecimalField
        name={quantityName}
        id={`quantity-${id}`}
        value={body.quantity}
        onChange={(quantity) => save({ quantity: quantity ?? '0' })}
      />
      <PriceField
        name={`Price of one, ${currency}`}
        id={`price-${id}`}
        typed={typedMoney(body.unitPriceMinor, currency)}
        currency={currency}
        onChange={(unitPriceMinor) => save({ unitPriceMinor })}
      />
      <DecimalField
        name="Tax, %"
        id={`tax-${id}`}
        value={body.taxPercent}
        onChange={(taxPercent) => save({ taxPercent: taxPercent ?? '0' })}
      />
    </>
  );
}
