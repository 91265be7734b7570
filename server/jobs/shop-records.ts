import type { Shop, ShopFields } from '../contract/jobs.ts';
import { type Changed, changedMeanwhile, done } from './change-outcome.ts';
import type { RecordParts } from './record-parts.ts';

/** Until the shop has said otherwise. */
export const DEFAULT_SHOP: ShopFields = {
  name: '',
  address: '',
  phone: '',
  email: '',
  taxNumber: '',
  logoPhotoId: null,
  pricing: { currency: 'EUR', taxOn: 'total', pricesIncludeTax: false },
  taxPercent: '0',
  labourPerHourMinor: 0,
  pressureUnit: 'kPa',
  locale: 'en',
  paper: 'A4',
  reportFooter: '',
  // What balancing cannot cure comes first: general workshop practice, no source.
  checklist: [
    'Valve clearances, engine cold',
    'Intake boots and clamps',
    'Vacuum hoses and port caps',
    'Vacuum-slide diaphragms',
    'Air filter',
    'Spark plugs',
    'Fuel supply and float level',
    'Throttle cables: free play and full closing',
    'Engine at working temperature',
    'Ports closed again after balancing',
  ],
  backup: { folder: null, everyHours: 24, keep: 14 },
};

/** Backups are made by a bench, to a folder of its own: what is wished of them is not shared. */
export interface BackupWish {
  get(): Promise<Shop['backup']>;
  set(backup: Shop['backup']): Promise<void>;
}

export class ShopRecords {
  readonly #parts: RecordParts;
  readonly #backupWish: BackupWish | null;

  /** @param backupWish where it is kept apart from the other settings */
  constructor(parts: RecordParts, backupWish: BackupWish | null = null) {
    this.#parts = parts;
    this.#backupWish = backupWish;
  }

  /** Settings that a newer version added take their default. */
  async get(): Promise<Shop> {
    const row = await this.#parts.db.selectFrom('shop').selectAll().executeTakeFirst();
    const stored: Shop =
      row === undefined
        ? { revision: 0, ...DEFAULT_SHOP }
        : { ...DEFAULT_SHOP, ...(JSON.parse(row.settings_json) as ShopFields), revision: row.revision };
    return this.#backupWish === null ? stored : { ...stored, backup: await this.#backupWish.get() };
  }

  change(revision: number, fields: ShopFields): Promise<Changed<Shop>> {
    const { write, db, queue } = this.#parts;
    return queue.run(async () => {
      const stored = await this.get();
      if (stored.revision !== revision) return changedMeanwhile(stored);
      const shared = this.#backupWish === null ? fields : { ...fields, backup: DEFAULT_SHOP.backup };
      const settings_json = JSON.stringify(shared);
      const next = revision + 1;
      const query =
        revision === 0
          ? db.insertInto('shop').values({ shop_no: 1, revision: next, settings_json })
          : db.updateTable('shop').set({ revision: next, settings_json }).where('revision', '=', revision);
      await write([{ query, mustChange: 1 }]);
      await this.#backupWish?.set(fields.backup);
      return done({ ...fields, revision: next });
    });
  }
}
