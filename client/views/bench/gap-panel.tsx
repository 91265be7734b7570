import { setup } from '../../link/latest.ts';
import { figures } from '../../link/shown.ts';
import { chosenUnit } from '../../units/chosen-unit.ts';
import { plusMinusPressure, pressureText } from '../../units/figure-text.ts';
import { useDecimals } from '../../units/use-decimals.ts';
import { neededWords, settlingWords, sidesWords, verdictWords } from './verdict-words.ts';

/** The one big figure: the largest difference between two cylinders, or the vacuum where there is only one. */
export function GapPanel() {
  const reading = figures.value;
  const unit = chosenUnit.value;
  const single = setup.value?.cylinders === 1;
  const only = reading?.cylinders[0] ?? null;
  const valueKpa = single ? (only?.vacuumKpa ?? null) : (reading?.spreadKpa ?? null);
  const expandedKpa = single ? (only?.vacuumExpandedKpa ?? null) : (reading?.spreadExpandedKpa ?? null);
  const decimals = useDecimals(valueKpa === null ? null : expandedKpa);
  const text = pressureText(valueKpa, decimals, unit);
  const needed = reading === null ? '' : neededWords(reading);

  return (
    <section class="gap" aria-label={single ? 'Vacuum' : 'Largest difference'}>
      <h2 class="figure-name">{single ? 'Vacuum' : 'Largest difference'}</h2>
      <p class="gap-line">
        <span
          class="gap-figure"
          data-testid="gap"
          data-kpa={valueKpa ?? ''}
          style={{ '--wide': widthInDigits(text) }}
        >
          {text}
        </span>
        <span class="gap-beside">
          <span class="gap-uncertainty" data-testid="gap-uncertainty" data-kpa={expandedKpa ?? ''}>
            {valueKpa !== null && expandedKpa !== null ? plusMinusPressure(expandedKpa, decimals, unit) : ''}
          </span>
          <span class="gap-unit">{unit.id}</span>
        </span>
      </p>
      <p class="gap-words">
        {!single && (
          <strong class="verdict" data-testid="verdict" data-verdict={reading?.verdict ?? ''}>
            {reading === null || valueKpa === null ? 'No reading' : verdictWords(reading.verdict)}
          </strong>
        )}
        <span class="settling" data-testid="settling" data-settling={reading?.settling ?? ''}>
          {reading === null || valueKpa === null ? '' : settlingWords(reading.settling)}
        </span>
        {needed !== '' && <span class="needed">{needed}</span>}
      </p>
      <p class="gap-sides">{reading === null || single ? '' : sidesWords(reading)}</p>
    </section>
  );
}

/** How many digits wide a figure is: the point is half of one. The far-view fills the screen's width with it. */
function widthInDigits(text: string): string {
  return String(
    Math.max(
      3,
      [...text].reduce((width, sign) => width + (sign === '.' ? 0.5 : 1), 0),
    ),
  );
}
