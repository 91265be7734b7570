import { signal } from '@preact/signals';

export const fullScreen = signal(false);

export function followFullScreen(): void {
  document.addEventListener('fullscreenchange', () => {
    fullScreen.value = document.fullscreenElement !== null;
  });
}

/** Some phones have no full screen: then nothing happens. */
export function toggleFullScreen(): void {
  const done =
    document.fullscreenElement === null
      ? document.documentElement.requestFullscreen?.()
      : document.exitFullscreen();
  done?.catch(() => {});
}
