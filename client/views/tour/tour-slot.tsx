import { signal } from '@preact/signals';
import type { ComponentType } from 'preact';
import { practice } from '../../link/latest.ts';
import { view } from '../view.ts';
import { startTour, tour, tourSeen } from './tour-state.ts';

const panel = signal<ComponentType | null>(null);

/** Offers the tour once, on the practice bench; its code is fetched when it is wanted. */
export function TourSlot() {
  if (tour.value === null) {
    if (tourSeen.value || practice.value === null || view.value !== 'bench') return null;
    return (
      <aside class="tour tour-offer" aria-label="Tour">
        <p>New here? A tour of three minutes on the practice engine shows the whole sequence.</p>
        <div class="button-row">
          <button type="button" class="strong" data-testid="tour-start" onClick={startTour}>
            Start the tour
          </button>
          <button
            type="button"
            data-testid="tour-decline"
            onClick={() => {
              tourSeen.value = true;
            }}
          >
            Not now
          </button>
        </div>
      </aside>
    );
  }
  const Panel = panel.value;
  if (Panel !== null) return <Panel />;
  void import('./tour-panel.tsx').then(
    ({ TourPanel }) => {
      panel.value = TourPanel;
    },
    () => {
      // Without the program there is nothing to tour; the offer comes back with it.
      tour.value = null;
    },
  );
  return null;
}
