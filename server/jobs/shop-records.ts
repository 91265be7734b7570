import type { Shop, ShopFields } from '../contract/jobs.ts';
import { type Changed, changedMeanwhile, done } from './change-outcome.ts';
import type { RecordParts } from './record-parts.ts';
import { writeTogether } from './write-together.ts';

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

export class ShopRecords {
  readonly #parts: RecordParts;

  constructor(parts: RecordParts) {
    this.#parts = parts;
  }

  /** Settings that a newer version added take their default. */
  async get(): Promise<Shop> {
    const row = await this.#parts.db.selectFrom('shop').selectAll().executeTakeFirst();
    if (row === undefined) return { revision: 0, ...DEFAULT_SHOP };
    return { ...DEFAULT_SHOP, ...(JSON.parse(row.settings_json) as ShopFields), revision: row.revision };
  }

  change(revision: number, fields: ShopFields): Promise<Changed<Shop>> {
    const { database, db, queue } = this.#parts;
    return queue.run(async () => {
      const stored = await this.get();
      if (stored.revision !== revision) return changedMeanwhile(stored);
      const settings_json = JSON.stringify(fields);
      const next = revision + 1;
      const query =
        revision === 0
          ? db.insertInto('shop').values({ shop_no: 1, revision: next, settings_json })
          : db.updateTable('shop').set({ revision: next, settings_json }).where('revision', '=', revision);
      writeTogether(database, [{ query, mustChange: 1 }]);
      return done({ ...fields, revision: next });
    });
  }
}
