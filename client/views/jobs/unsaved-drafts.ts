/**
 * What was typed and is not saved yet, kept by the browser until it is: a reload, an empty battery or a crash loses
 * nothing. A browser that keeps nothing (private window, storage full) works all the same.
 */

/** An entry as it is stored, with the number of its last change. */
export interface Stored<F> {
  readonly revision: number;
  readonly fields: F;
}

export interface UnsavedDraft<F> {
  /** What the typing started from. */
  readonly base: Stored<F>;
  readonly draft: F;
}

/** As the browser's `localStorage`. */
export interface Shelf {
  readonly length: number;
  key(index: number): string | null;
  getItem(name: string): string | null;
  setItem(name: string, text: string): void;
  removeItem(name: string): void;
}

const PREFIX = 'idlewright.unsaved.';
/** What nobody came back to for so long is forgotten [ms]. */
const KEPT_FOR_MS = 60 * 24 * 3600 * 1000;

export class UnsavedDrafts {
  readonly #shelf: () => Shelf;
  readonly #nowMs: () => number;

  /**
   * @param shelf may throw where the browser forbids it
   * @param nowMs since 1970
   */
  constructor(shelf: () => Shelf, nowMs: () => number) {
    this.#shelf = shelf;
    this.#nowMs = nowMs;
  }

  keep<F>(name: string, { base, draft }: UnsavedDraft<F>): void {
    const text = JSON.stringify({ keptAtMs: this.#nowMs(), base, draft });
    this.#try((shelf) => shelf.setItem(PREFIX + name, text));
  }

  drop(name: string): void {
    this.#try((shelf) => shelf.removeItem(PREFIX + name));
  }

  /**
   * What was kept of an entry, or null.
   * @param like the entry as it is stored: what another version kept with other fields is not taken
   */
  of<F extends object>(name: string, like: F): UnsavedDraft<F> | null {
    const kept = this.#try((shelf) => read(shelf.getItem(PREFIX + name)));
    if (!isFields(kept) || !isFields(kept.base) || typeof kept.base.revision !== 'number') return null;
    const { revision, fields } = kept.base;
    if (!sameNames(fields, like) || !sameNames(kept.draft, like)) return null;
    return { base: { revision, fields: fields as F }, draft: kept.draft as F };
  }

  forgetOld(): void {
    this.#try((shelf) => {
      const names = Array.from({ length: shelf.length }, (_, index) => shelf.key(index) ?? '');
      for (const name of names) {
        if (name.startsWith(PREFIX) && this.#isOld(shelf.getItem(name))) shelf.removeItem(name);
      }
    });
  }

  #isOld(text: string | null): boolean {
    const kept = read(text);
    return !isFields(kept) || !(this.#nowMs() - Number(kept.keptAtMs) <= KEPT_FOR_MS);
  }

  /** Nothing to be done where it fails: what was typed is on the screen. */
  #try<T>(what: (shelf: Shelf) => T): T | null {
    try {
      return what(this.#shelf());
    } catch {
      return null;
    }
  }
}

function read(text: string | null): unknown {
  try {
    return JSON.parse(text ?? 'null');
  } catch {
    return null;
  }
}

function isFields(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null && !Array.isArray(value);
}

function sameNames(value: unknown, like: object): boolean {
  return isFields(value) && Object.keys(value).sort().join() === Object.keys(like).sort().join();
}
