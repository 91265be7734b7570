import { useEffect, useState } from 'preact/hooks';
import { setup } from '../../link/latest.ts';
import { figures } from '../../link/shown.ts';
import { chosenUnit } from '../../units/chosen-unit.ts';
import { figureText, pressureText } from '../../units/figure-text.ts';
import { useDecimals } from '../../units/use-decimals.ts';
import { verdictWords } from './verdict-words.ts';

/** Keeps the gap in sight on a small screen while the screws further down are turned. */
export function GapStrip() {
  const [away, setAway] = useState(false);
  useEffect(() => {
    const panel = document.querySelector('.gap');
    if (panel === null) return;
    const observer = new IntersectionObserver(([entry]) => setAway(entry?.isIntersecting === false));
    observer.observe(panel);
    return () => observer.disconnect();
  }, []);

  const reading = figures.value;
  const unit = chosenUnit.value;
  const decimals = useDecimals(reading?.spreadExpandedKpa ?? null);
  if (!away || setup.value?.cylinders === 1) return null;
  const spreadKpa = reading?.spreadKpa ?? null;
  // Said already where the gap panel is; here it is for the eye alone.
  return (
    <div class="gap-strip" aria-hidden="true">
      <span class="gap-strip-figure">{pressureText(spreadKpa, decimals, unit)}</span>
      <span>{unit.id}</span>
      <strong>{reading === null || spreadKpa === null ? 'No reading' : verdictWords(reading.verdict)}</strong>
      <span class="gap-strip-idle">{figureText(reading?.engine.idleRpm ?? null, 0)} r/min</span>
    </div>
  );
}
