import type { CheckGuide } from '../../../server/contract/checks.ts';
import { choose } from './checks-state.ts';

/** Every check with what it tells. */
export function CheckList({ guide }: { guide: CheckGuide }) {
  return (
    <section class="panel" aria-labelledby="check-list-name">
      <h2 class="panel-name" id="check-list-name">
        What can be checked
      </h2>
      <ul class="check-list">
        {guide.checks.map(({ kind, name, tells }) => (
          <li key={kind}>
            <button type="button" data-testid={`check-${kind}`} onClick={() => choose(kind)}>
              {name}
            </button>
            <p>{tells}</p>
          </li>
        ))}
      </ul>
    </section>
  );
}
