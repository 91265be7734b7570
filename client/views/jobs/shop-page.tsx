import type { Shop, ShopFields } from '../../../server/contract/jobs.ts';
import { minorText } from '../../../server/contract/minor-units.ts';
import { tell } from '../../link/notice.ts';
import { PRESSURE_UNITS } from '../../units/pressure-unit.ts';
import { BackupPart } from './backup-part.tsx';
import { DecimalField } from './decimal-field.tsx';
import { EntryStatus } from './entry-status.tsx';
import { FileChoice, PICTURES } from './file-choice.tsx';
import { addressOf } from './place-address.ts';
import { PriceField } from './price-field.tsx';
import { ProblemLine } from './problem-line.tsx';
import { addresses, records } from './record-api.ts';
import { SelectField } from './select-field.tsx';
import { SharingPart } from './sharing-status.tsx';
import { SourceField } from './source-field.tsx';
import { TextField, textOf } from './text-field.tsx';
import { TransferPart } from './transfer-part.tsx';
import { type EntryEdit, useEntry } from './use-entry.ts';
import { useFetched } from './use-fetched.ts';

const TAX_ON = [
  { value: 'line', words: 'on each line' },
  { value: 'total', words: 'on the total' },
] as const;
const INCLUDED = [
  { value: 'no', words: 'without tax' },
  { value: 'yes', words: 'with tax' },
] as const;
const PAPERS = [
  { value: 'A4', words: 'A4' },
  { value: 'letter', words: 'Letter' },
] as const;

/** What stands on every report, how costs are reckoned, and where the record is kept twice. */
export function ShopPage() {
  const shop = useFetched(() => records.shop(), 'shop');
  return (
    <>
      <a href={addressOf({ at: 'list' })}>All jobs</a>
      <h1>Shop and backup</h1>
      <SharingPart />
      <ProblemLine problem={shop.problem} again={shop.again} />
      {shop.value !== null && <ShopParts shop={shop.value} put={shop.put} />}
      <TransferPart />
    </>
  );
}

function ShopParts({ shop, put }: { shop: Shop; put: (shop: Shop) => void }) {
  const edit = useEntry<ShopFields, Shop>(
    'shop',
    { revision: shop.revision, fields: shopFields(shop) },
    records.changeShop,
    shopFields,
    put,
  );
  return (
    <>
      <EntryStatus {...edit} />
      <div class="page-columns">
        <div>
          <Heading edit={edit} />
          <Prices edit={edit} />
        </div>
        <div>
          <Checklist edit={edit} />
          <BackupPart
            backup={edit.draft.backup}
            stored={shop.backup}
            onChange={(change) => edit.save({ backup: { ...edit.draft.backup, ...change } })}
          />
        </div>
      </div>
    </>
  );
}

function Heading({ edit }: { edit: EntryEdit<ShopFields> }) {
  const { draft } = edit;
  const takeLogo = async ([file]: readonly File[]) => {
    const kept = await tell(records.addPhoto(file!));
    if (kept.ok) edit.save({ logoPhotoId: kept.value.id });
  };
  return (
    <section class="panel" aria-labelledby="heading-name">
      <h2 class="panel-name" id="heading-name">
        On the report
      </h2>
      <TextField name="Name of the shop" id="shop-name" {...textOf(edit, 'name')} />
      <TextField name="Address" id="shop-address" lines={3} {...textOf(edit, 'address')} />
      <div class="field-grid">
        <TextField name="Telephone" id="shop-phone" type="tel" {...textOf(edit, 'phone')} />
        <TextField name="E-mail" id="shop-email" type="email" {...textOf(edit, 'email')} />
        <TextField name="Tax number" id="shop-tax-number" {...textOf(edit, 'taxNumber')} />
        <TextField
          name="Language of dates and numbers"
          note="A short code: en-GB is British English, de is German."
          id="shop-locale"
          {...textOf(edit, 'locale')}
        />
        <SelectField
          name="Paper"
          id="shop-paper"
          value={draft.paper}
          options={PAPERS}
          onChoose={(paper) => edit.save({ paper })}
        />
        <SelectField
          name="Pressure in"
          id="shop-unit"
          value={draft.pressureUnit}
          options={PRESSURE_UNITS.map(({ id }) => ({ value: id, words: id }))}
          onChoose={(pressureUnit) => edit.save({ pressureUnit })}
        />
      </div>
      <TextField
        name="Last lines of the report"
        id="shop-footer"
        lines={2}
        {...textOf(edit, 'reportFooter')}
      />
      <div class="button-row">
        {draft.logoPhotoId !== null && (
          <img class="shop-logo" src={addresses.photo(draft.logoPhotoId)} alt="The shop’s logo" />
        )}
        <FileChoice
          words={draft.logoPhotoId === null ? 'Add a logo' : 'Another logo'}
          busyWords="Adding"
          accept={PICTURES}
          take={takeLogo}
        />
        {draft.logoPhotoId !== null && (
          <button type="button" class="plain" onClick={() => edit.save({ logoPhotoId: null })}>
            No logo
          </button>
        )}
      </div>
    </section>
  );
}

function Prices({ edit }: { edit: EntryEdit<ShopFields> }) {
  const { draft } = edit;
  const { pricing } = draft;
  const price = (change: Partial<ShopFields['pricing']>) => edit.save({ pricing: { ...pricing, ...change } });
  return (
    <section class="panel" aria-labelledby="prices-name">
      <h2 class="panel-name" id="prices-name">
        Prices of new jobs
      </h2>
      <div class="field-grid">
        <SourceField
          name="Currency"
          id="shop-currency"
          source={pricing.currency}
          onChange={(currency) => price({ currency: currency.trim().toUpperCase() })}
        />
        <DecimalField
          name="Tax, %"
          id="shop-tax"
          value={draft.taxPercent}
          onChange={(taxPercent) => edit.save({ taxPercent: taxPercent ?? '0' })}
        />
        <SelectField
          name="Tax is rounded"
          id="shop-tax-on"
          value={pricing.taxOn}
          options={TAX_ON}
          onChoose={(taxOn) => price({ taxOn })}
        />
        <SelectField
          name="Prices are"
          id="shop-included"
          value={pricing.pricesIncludeTax ? 'yes' : 'no'}
          options={INCLUDED}
          onChoose={(value) => price({ pricesIncludeTax: value === 'yes' })}
        />
        <PriceField
          name={`An hour of labour, ${pricing.currency}`}
          id="shop-labour"
          typed={minorText(draft.labourPerHourMinor, pricing.currency)}
          currency={pricing.currency}
          onChange={(labourPerHourMinor) => edit.save({ labourPerHourMinor })}
        />
      </div>
    </section>
  );
}

function Checklist({ edit }: { edit: EntryEdit<ShopFields> }) {
  return (
    <section class="panel" aria-labelledby="checklist-name">
      <h2 class="panel-name" id="checklist-name">
        Checklist of new jobs
      </h2>
      <TextField
        name="What has to be right before balancing, one on each line"
        id="shop-checklist"
        lines={10}
        value={edit.draft.checklist.join('\n')}
        onInput={(text) => edit.set({ checklist: text.split('\n') })}
        onLeave={() =>
          edit.save({
            checklist: edit.draft.checklist
              .map((line) => line.trim().slice(0, 200))
              .filter((line) => line !== '')
              .slice(0, 100),
          })
        }
      />
    </section>
  );
}

function shopFields({ revision: _revision, ...fields }: Shop): ShopFields {
  return fields;
}
