import { openView, VIEWS, view } from '../view.ts';
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
