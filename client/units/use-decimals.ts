import { useRef } from 'preact/hooks';
import { chosenUnit } from './chosen-unit.ts';
import { steadyDecimals } from './decimals.ts';
import { fromKpa } from './pressure-unit.ts';

/** Decimals for a pressure with this uncertainty in the chosen unit; they do not flutter. */
export function useDecimals(expandedKpa: number | null): number {
  const unit = chosenUnit.value;
  const kept = useRef<{ unit: string; decimals: number } | null>(null);
  const previous = kept.current?.unit === unit.id ? kept.current.decimals : null;
  const expanded = expandedKpa === null ? null : fromKpa(expandedKpa, unit);
  const decimals = steadyDecimals(expanded, unit.maxDecimals, previous);
  kept.current = { unit: unit.id, decimals };
  return decimals;
}
