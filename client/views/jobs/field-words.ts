/** Names of stored fields as the screens say them, for the choice between two versions. */
const NAMES: Readonly<Record<string, string>> = {
  make: 'Make',
  model: 'Model',
  year: 'Year',
  plate: 'Plate',
  frameNumber: 'Frame number',
  ownerId: 'Owner',
  cylinders: 'Cylinders',
  layout: 'Layout',
  firing: 'Firing',
  throttleLinkage: 'Throttle linkage',
  service: 'Service figures',
  idleSpeed: 'Idle speed',
  vacuumDifference: 'Permitted vacuum difference',
  intakeClearance: 'Intake clearance',
  exhaustClearance: 'Exhaust clearance',
  sparkPlug: 'Spark plug',
  referenceCylinder: 'Reference cylinder',
  others: 'Other figures',
  name: 'Name',
  phone: 'Telephone',
  email: 'E-mail',
  address: 'Address',
  notes: 'Notes',
  note: 'Note',
  text: 'Text',
  state: 'State',
  day: 'Day',
  complaint: 'Complaint',
  odometer: 'Odometer',
  technician: 'Technician',
  roadTest: 'Road test',
  handOver: 'Hand-over',
  handedOverOn: 'Handed over on',
  nextDue: 'Due next',
  what: 'What',
  pricing: 'Prices',
  currency: 'Currency',
  checklist: 'Checklist',
  result: 'Result',
  reading: 'Reading',
  quantity: 'Quantity',
  unitPriceMinor: 'Price',
  taxPercent: 'Tax',
  number: 'Part number',
  supplier: 'Supplier',
  weight: 'How serious',
  photoIds: 'Photos',
  value: 'Value',
  band: 'Band',
  low: 'From',
  high: 'To',
  unit: 'Unit',
  source: 'Source',
  backup: 'Backup',
  folder: 'Folder',
};

/** 'Service figures, idle speed'. */
export function fieldWords(path: readonly string[]): string {
  const words = path.filter((name) => name !== 'body').map((name) => NAMES[name] ?? name);
  return words.map((word, at) => (at === 0 ? word : word.toLowerCase())).join(', ');
}

/** A stored value in one line. */
export function valueWords(value: unknown): string {
  if (value === null || value === undefined || value === '') return 'empty';
  if (typeof value === 'boolean') return value ? 'yes' : 'no';
  if (Array.isArray(value)) return value.length === 0 ? 'none' : value.map(valueWords).join('; ');
  if (typeof value === 'object')
    return Object.values(value)
      .filter((one) => one !== null && one !== '')
      .map(valueWords)
      .join(' ');
  return String(value);
}
