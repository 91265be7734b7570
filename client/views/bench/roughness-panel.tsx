import { figures } from '../../link/shown.ts';
import { figureText, UNKNOWN } from '../../units/figure-text.ts';

/** How unsteady the idle is: one score of our own, and the figures that it is made of. */
export function RoughnessPanel() {
  const reading = figures.value;
  const rough = reading?.roughness ?? null;
  const hunting =
    rough === null || rough.huntingAmplitudeRpm === null || rough.huntingPeriodS === null
      ? UNKNOWN
      : `±\u2009${figureText(rough.huntingAmplitudeRpm, 0)} r/min every ${figureText(rough.huntingPeriodS, 1)} s`;
  return (
    <section class="figure roughness" aria-label="Idle roughness">
      <h2 class="figure-name">Roughness</h2>
      <p class="figure-line">
        <span class="figure-value" data-testid="roughness-score" data-score={rough?.score ?? ''}>
          {figureText(rough?.score ?? null, 0)}
        </span>
        <span class="figure-unit">of 100</span>
      </p>
      <dl class="rough-figures">
        <Entry name="Cycle length varies" value={percent(rough?.cycleLengthCovPercent ?? null)} />
        <Entry name="Choppiness" value={percent(rough?.choppinessPercent ?? null)} />
        <Entry name="Hunting" value={hunting} />
      </dl>
      <p class="figure-note">0 is smooth. The score is this instrument’s own.</p>
    </section>
  );
}

function Entry({ name, value }: { name: string; value: string }) {
  return (
    <div>
      <dt>{name}</dt>
      <dd>{value}</dd>
    </div>
  );
}

function percent(value: number | null): string {
  return value === null ? UNKNOWN : `${figureText(value, value < 10 ? 1 : 0)} %`;
}
