import { effect, type Signal, signal } from '@preact/signals';

const PREFIX = 'idlewright.';

/**
 * A choice that this browser remembers. A browser that keeps nothing (private window, storage full) forgets it at
 * the end of the visit and works all the same.
 * @param parse gives the fallback for anything that is not a valid choice
 */
export function storedChoice<T>(
  name: string,
  parse: (text: string | null) => T,
  write: (value: T) => string,
): Signal<T> {
  const choice = signal(parse(read(name)));
  let first = true;
  effect(() => {
    const text = write(choice.value);
    if (first) first = false;
    else store(name, text);
  });
  return choice;
}

export function storedSwitch(name: string, fallback: boolean): Signal<boolean> {
  return storedChoice(
    name,
    (text) => (text === null ? fallback : text === 'yes'),
    (on) => (on ? 'yes' : 'no'),
  );
}

function read(name: string): string | null {
  try {
    return localStorage.getItem(PREFIX + name);
  } catch {
    return null;
  }
}

function store(name: string, text: string): void {
  try {
    localStorage.setItem(PREFIX + name, text);
  } catch {
    // Nothing to be done: the choice holds until the page is closed.
  }
}
