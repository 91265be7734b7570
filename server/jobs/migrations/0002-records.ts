import type { Migration } from './migration.ts';

const STORED = `id TEXT NOT NULL PRIMARY KEY,
      revision INTEGER NOT NULL,
      created_at_ms INTEGER NOT NULL,
      updated_at_ms INTEGER NOT NULL`;

/** Columns ending in `_json` hold values whose form the contract gives. */
export const records: Migration = {
  version: 2,
  title: 'owners, machines, visits, what is written down in them, photos, shop',
  statements: [
    `CREATE TABLE owners (
      ${STORED},
      name TEXT NOT NULL,
      phone TEXT NOT NULL,
      email TEXT NOT NULL,
      address TEXT NOT NULL,
      notes TEXT NOT NULL
    ) STRICT`,
    'CREATE INDEX owners_by_name ON owners (name)',
    `CREATE TABLE machines (
      ${STORED},
      owner_id TEXT REFERENCES owners (id),
      make TEXT NOT NULL,
      model TEXT NOT NULL,
      year INTEGER,
      frame_number TEXT NOT NULL,
      plate TEXT,
      cylinders INTEGER NOT NULL,
      layout TEXT NOT NULL,
      firing TEXT NOT NULL,
      throttle_linkage TEXT NOT NULL,
      service_json TEXT NOT NULL,
      notes TEXT NOT NULL,
      practice INTEGER NOT NULL
    ) STRICT`,
    'CREATE INDEX machines_by_owner ON machines (owner_id)',
    'CREATE INDEX machines_by_name ON machines (make, model)',
    `CREATE TABLE visits (
      ${STORED},
      machine_id TEXT NOT NULL REFERENCES machines (id),
      owner_id TEXT REFERENCES owners (id),
      practice INTEGER NOT NULL,
      state TEXT NOT NULL,
      day TEXT NOT NULL,
      complaint TEXT NOT NULL,
      odometer_json TEXT,
      technician TEXT NOT NULL,
      road_test TEXT NOT NULL,
      hand_over TEXT NOT NULL,
      handed_over_on TEXT,
      next_due_day TEXT,
      next_due_json TEXT NOT NULL,
      notes TEXT NOT NULL,
      pricing_json TEXT NOT NULL
    ) STRICT`,
    'CREATE INDEX visits_by_machine ON visits (machine_id, day)',
    'CREATE INDEX visits_by_owner ON visits (owner_id)',
    'CREATE INDEX visits_by_day ON visits (practice, day, created_at_ms)',
    'CREATE INDEX visits_by_state ON visits (practice, state, day)',
    'CREATE INDEX visits_by_change ON visits (practice, updated_at_ms)',
    `CREATE TABLE entries (
      ${STORED},
      visit_id TEXT NOT NULL REFERENCES visits (id) ON DELETE CASCADE,
      position INTEGER NOT NULL,
      kind TEXT NOT NULL,
      body_json TEXT NOT NULL
    ) STRICT`,
    'CREATE INDEX entries_by_visit ON entries (visit_id, position)',
    `CREATE TABLE photos (
      id TEXT NOT NULL PRIMARY KEY,
      type TEXT NOT NULL,
      bytes INTEGER NOT NULL,
      created_at_ms INTEGER NOT NULL
    ) STRICT`,
    `CREATE TABLE shop (
      shop_no INTEGER NOT NULL PRIMARY KEY CHECK (shop_no = 1),
      revision INTEGER NOT NULL,
      settings_json TEXT NOT NULL
    ) STRICT`,
  ],
};
