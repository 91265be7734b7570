import { signal } from '@preact/signals';
import { addressOf, type Place, placeOf } from './place-address.ts';

/** Which page of the record is open: the address says so, and 'back' works. */
export const place = signal<Place>(placeOf(location.hash));

export function followPlace(): () => void {
  const look = () => {
    place.value = placeOf(location.hash);
  };
  window.addEventListener('hashchange', look);
  look();
  return () => window.removeEventListener('hashchange', look);
}

export function go(target: Place): void {
  location.hash = addressOf(target);
}
