import { source } from '../../link/latest.ts';
import { UNKNOWN } from '../../units/figure-text.ts';
import { shownCounters } from '../counter-words.ts';
import { Fact } from '../fact.tsx';
import { sourceWords } from '../shell/source-words.ts';

/** What the samples come from and what went wrong on the way, counted. */
export function SourcePanel() {
  const state = source.value;
  if (state === null) return null;
  const counters = shownCounters(state.counters);
  return (
    <section class="panel" aria-labelledby="source-name">
      <h2 class="panel-name" id="source-name">
        Source
      </h2>
      <dl class="facts">
        <Fact name="State" value={sourceWords(state)} />
        <Fact name="Address" value={state.address} />
        <Fact name="Board" value={state.boardId ?? UNKNOWN} />
        <Fact name="Firmware" value={state.firmwareVersion ?? UNKNOWN} />
        {counters.map(({ words, count }) => (
          <Fact key={words} name={words} value={String(count)} />
        ))}
      </dl>
      {counters.length === 0 && <p class="field-note">Every line from the board was good so far.</p>}
    </section>
  );
}
