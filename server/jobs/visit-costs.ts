import type { Visit } from '../contract/jobs.ts';
import type { Entry } from '../contract/jobs-entries.ts';
import type { Costs } from '../contract/jobs-views.ts';
import { costsOf, type PricedLine } from './money.ts';

/** What the visit costs: parts that were fitted, labour, fluids. Quoted and declined parts are not counted. */
export function visitCosts(visit: Visit, entries: readonly Entry[]): Costs {
  return costsOf(entries.flatMap(pricedLine), visit.pricing);
}

function pricedLine({ id, body }: Entry): PricedLine[] {
  if (body.kind !== 'labour' && body.kind !== 'fluid' && body.kind !== 'part') return [];
  if (body.kind === 'part' && body.state !== 'fitted') return [];
  const { quantity, unitPriceMinor, taxPercent } = body;
  return [{ entryId: id, quantity, unitPriceMinor, taxPercent }];
}
