import { signal } from '@preact/signals';

export type SheetId = 'keys' | 'cautions' | 'more';

/** The sheet that lies over the screen, or null. */
export const openSheet = signal<SheetId | null>(null);

export function showSheet(id: SheetId): void {
  openSheet.value = id;
}

export function hideSheet(): void {
  openSheet.value = null;
}

export function toggleSheet(id: SheetId): void {
  openSheet.value = openSheet.value === id ? null : id;
}
