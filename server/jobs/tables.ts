/** The tables as the typed queries see them; their making is in `migrations/`. */
import type { ColumnType, Generated } from 'kysely';

interface StoredRow {
  id: string;
  revision: number;
  created_at_ms: number;
  updated_at_ms: number;
}

export interface OwnerRow extends StoredRow {
  name: string;
  phone: string;
  email: string;
  address: string;
  notes: string;
}

export interface MachineTableRow extends StoredRow {
  owner_id: string | null;
  make: string;
  model: string;
  year: number | null;
  frame_number: string;
  plate: string | null;
  cylinders: number;
  layout: string;
  firing: string;
  throttle_linkage: string;
  service_json: string;
  notes: string;
  practice: number;
}

export interface VisitTableRow extends StoredRow {
  machine_id: string;
  owner_id: string | null;
  practice: number;
  state: string;
  day: string;
  complaint: string;
  odometer_json: string | null;
  technician: string;
  road_test: string;
  hand_over: string;
  handed_over_on: string | null;
  next_due_day: string | null;
  next_due_json: string;
  notes: string;
  pricing_json: string;
}

export interface EntryRow extends StoredRow {
  visit_id: string;
  position: number;
  kind: string;
  body_json: string;
}

export interface PhotoRow {
  id: string;
  type: string;
  bytes: number;
  created_at_ms: number;
}

export interface ShopRow {
  shop_no: number;
  revision: number;
  settings_json: string;
}

export interface SearchTextRow {
  text_no: Generated<number>;
  record_id: string;
  kind: string;
  words: string;
  /** On PostgreSQL alone. */
  vector: ColumnType<never, string | undefined, string | undefined>;
}

export interface CaptureRow {
  capture_no: Generated<number>;
  id: string;
  label: string;
  state: string;
  practice: number;
  source_address: string;
  started_at_ms: number;
  cylinders: number;
  visit_id: string | null;
  software_version: string;
  header_json: string;
  figures_json: string | null;
  samples: number;
  chunks: number;
  first_ticks: number | null;
  last_ticks: number | null;
}

export interface ChunkRow {
  capture_no: number;
  chunk_no: number;
  bytes: Uint8Array;
}

/** Photos of a shared record: on PostgreSQL alone. */
export interface PhotoBytesRow {
  id: string;
  bytes: Uint8Array;
}

export interface DeliveryRow {
  capture_id: string;
  record_id: string;
  with_figures: number;
}

export interface CheckResultRow {
  result_no: Generated<number>;
  id: string;
  kind: string;
  verdict: string;
  practice: number;
  visit_id: string | null;
  made_at_ms: number;
  result_json: string;
}

export interface Tables {
  owners: OwnerRow;
  machines: MachineTableRow;
  visits: VisitTableRow;
  entries: EntryRow;
  photos: PhotoRow;
  shop: ShopRow;
  search_texts: SearchTextRow;
  captures: CaptureRow;
  capture_chunks: ChunkRow;
  photo_bytes: PhotoBytesRow;
  capture_deliveries: DeliveryRow;
  check_results: CheckResultRow;
}
