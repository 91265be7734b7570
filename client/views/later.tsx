import { signal } from '@preact/signals';
import type { ComponentType } from 'preact';

/** A view whose code is fetched when it is first opened, so that the bench does not wait for it. */
export function later(load: () => Promise<ComponentType>): ComponentType {
  const loaded = signal<ComponentType | null>(null);
  const failed = signal(false);
  let asked = false;
  const ask = () => {
    asked = true;
    failed.value = false;
    load().then(
      (view) => {
        loaded.value = view;
      },
      () => {
        failed.value = true;
      },
    );
  };
  return function Later() {
    if (!asked) ask();
    const View = loaded.value;
    if (View !== null) return <View />;
    return (
      <main class="page" id="content">
        {failed.value ? (
          <p>
            This page could not be loaded from the program.{' '}
            <button type="button" onClick={ask}>
              Try again
            </button>
          </p>
        ) : (
          <p>Loading.</p>
        )}
      </main>
    );
  };
}
