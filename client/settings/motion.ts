import { signal } from '@preact/signals';

/** Whether the person asked the system for less movement. */
export const lessMotion = signal(false);

export function followMotion(): void {
  const query = matchMedia('(prefers-reduced-motion: reduce)');
  const apply = () => {
    lessMotion.value = query.matches;
  };
  query.addEventListener('change', apply);
  apply();
}
