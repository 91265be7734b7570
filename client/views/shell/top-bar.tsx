import { openView, VIEWS, view } from '../view.ts';
import { showSheet } from './sheet.ts';
import { SourceLine } from './source-line.tsx';
import { Toolbar } from './toolbar.tsx';

export function TopBar() {
  return (
    <header class="top">
      <button type="button" class="skip" onClick={skip}>
        To the figures
      </button>
      <p class="word-mark" aria-hidden="true">
        idlewright
      </p>
      <nav aria-label="Screens">
        {VIEWS.map(({ id, name }) => (
          <button
            key={id}
            type="button"
            class="tab"
            aria-current={view.value === id ? 'page' : undefined}
            data-testid={`tab-${id}`}
            onClick={() => openView(id)}
          >
            {name}
          </button>
        ))}
      </nav>
      <button
        type="button"
        class="cautions-sign narrow-only near-only"
        aria-label="Cautions"
        onClick={() => showSheet('cautions')}
      >
        <svg viewBox="0 0 24 24" width="26" height="26" aria-hidden="true">
          <path
            d="M12 3.5 22 20.5H2Z"
            fill="none"
            stroke="currentColor"
            stroke-width="2"
            stroke-linejoin="round"
          />
          <path d="M12 9.5v5.5M12 17v1.5" stroke="currentColor" stroke-width="2.2" />
        </svg>
      </button>
      <SourceLine />
      <Toolbar />
    </header>
  );
}

function skip(): void {
  const content = document.getElementById('content');
  content?.setAttribute('tabindex', '-1');
  content?.focus();
}
