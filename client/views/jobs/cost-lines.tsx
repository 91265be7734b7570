import type { ComponentChildren } from 'preact';
import { minorText } from '../../../server/contract/minor-units.ts';
import { DecimalField } from './decimal-field.tsx';
import { EntryStatus } from './entry-status.tsx';
import { PriceField } from './price-field.tsx';
import { RemoveButton } from './remove-button.tsx';
import { SelectField } from './select-field.tsx';
import { TextField } from './text-field.tsx';
import { type BodyOf, type LineEdit, type LineOf, useLine } from './use-line.ts';

export type Priced = 'part' | 'labour' | 'fluid';

const PART_STATES = [
  { value: 'fitted', words: 'fitted' },
  { value: 'quoted', words: 'quoted' },
  { value: 'declined', words: 'declined' },
] as const;

interface CostLineProps<K extends Priced> {
  readonly line: LineOf<K>;
  readonly currency: string;
  readonly again: () => void;
}

export function PartLine({ line, currency, again }: CostLineProps<'part'>) {
  const edit = useLine(line, again);
  const { name, number, supplier, note, state } = edit.body;
  return (
    <CostLine
      id={line.id}
      edit={edit}
      what={name}
      currency={currency}
      quantityName="Pieces"
      last={
        <TextField name="Note" id={`note-${line.id}`} {...typed(edit, note, (text) => ({ note: text }))} />
      }
    >
      <TextField name="Part" id={`name-${line.id}`} {...typed(edit, name, (text) => ({ name: text }))} />
      <TextField
        name="Part number"
        id={`number-${line.id}`}
        {...typed(edit, number, (text) => ({ number: text }))}
      />
      <TextField
        name="Supplier"
        id={`supplier-${line.id}`}
        {...typed(edit, supplier, (text) => ({ supplier: text }))}
      />
      <SelectField
        name="Fitted?"
        id={`part-state-${line.id}`}
        value={state}
        options={PART_STATES}
        onChoose={(chosen) => edit.save({ state: chosen })}
      />
    </CostLine>
  );
}

export function LabourLine({ line, currency, again }: CostLineProps<'labour'>) {
  const edit = useLine(line, again);
  const { text } = edit.body;
  return (
    <CostLine id={line.id} edit={edit} what={text} currency={currency} quantityName="Hours">
      <TextField
        name="Labour"
        id={`labour-${line.id}`}
        most={2000}
        {...typed(edit, text, (words) => ({ text: words }))}
      />
    </CostLine>
  );
}

export function FluidLine({ line, currency, again }: CostLineProps<'fluid'>) {
  const edit = useLine(line, again);
  const { name, unit } = edit.body;
  return (
    <CostLine id={line.id} edit={edit} what={name} currency={currency} quantityName="Quantity">
      <TextField name="Fluid" id={`fluid-${line.id}`} {...typed(edit, name, (text) => ({ name: text }))} />
      <TextField
        name="Measured in"
        id={`fluid-unit-${line.id}`}
        most={20}
        {...typed(edit, unit, (text) => ({ unit: text }))}
      />
    </CostLine>
  );
}

interface Prices {
  readonly quantity: string;
  readonly unitPriceMinor: number;
  readonly taxPercent: string;
}

interface FrameProps {
  readonly id: string;
  readonly edit: Omit<LineEdit<Priced>, 'body' | 'set' | 'save'> & {
    readonly body: Prices;
    readonly save: (change?: Partial<Prices>) => void;
  };
  /** As the line is called. */
  readonly what: string;
  readonly currency: string;
  readonly quantityName: string;
  readonly children: ComponentChildren;
  /** After the price. */
  readonly last?: ComponentChildren;
}

/** What every line has: quantity, price and tax, a way to take it out, and whether it is saved. */
function CostLine({ id, edit, what, currency, quantityName, children, last }: FrameProps) {
  const { body, save } = edit;
  return (
    <li class="line">
      <div class="field-grid short named">
        {children}
        <DecimalField
          name={quantityName}
          id={`quantity-${id}`}
          value={body.quantity}
          onChange={(typedQuantity) => save({ quantity: typedQuantity ?? '0' })}
        />
        <PriceField
          name={`Price of one, ${currency}`}
          id={`price-${id}`}
          typed={minorText(body.unitPriceMinor, currency)}
          currency={currency}
          onChange={(minor) => save({ unitPriceMinor: minor })}
        />
        <DecimalField
          name="Tax, %"
          id={`tax-${id}`}
          value={body.taxPercent}
          onChange={(percent) => save({ taxPercent: percent ?? '0' })}
        />
        {last}
      </div>
      <RemoveButton what={what} onRemove={edit.remove} />
      {edit.status !== 'saved' && <EntryStatus {...edit} />}
    </li>
  );
}

/** A text of a line: typed at once, saved when it is left. */
function typed<K extends Priced>(
  edit: LineEdit<K>,
  value: string,
  change: (text: string) => Partial<BodyOf<K>>,
) {
  return { value, onInput: (text: string) => edit.set(change(text)), onLeave: () => edit.save() };
}
