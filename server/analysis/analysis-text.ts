/** The figures of a recording for a person at a terminal. */
import { expanded } from '../signal/expanded.ts';
import type { Analysis } from '../signal/recording-analysis.ts';
import type { RecordingFacts } from './analysis-object.ts';

export function analysisText(analysis: Analysis, facts: RecordingFacts): string {
  const lines = [
    `${facts.samples} samples, ${fixed(facts.durationS, 1)} s, ${fixed(facts.sampleRateHz, 0)} samples/s, barometric pressure ${fixed(facts.baroKpa, 2)} kPa`,
    analysis.idleRpm === null
      ? 'No running engine was found.'
      : `${analysis.engineCycles} engine cycles at ${fixed(analysis.idleRpm.mean, 0)} r/min (sd ${fixed(analysis.idleRpm.sd, 1)})`,
    '',
  ];
  analysis.cylinders.forEach((one, index) => {
    const gap = analysis.gapsKpa[index];
    const vacuum = one.vacuumKpa;
    const parts = [
      `${facts.names[index]}: ${one.state}`,
      vacuum === null
        ? 'no vacuum reading'
        : `vacuum ${fixed(vacuum.mean, 2)} ± ${fixed(expanded(vacuum.standardError), 2)} kPa over ${one.cycles} cycles`,
      gap === null || gap === undefined
        ? 'no gap'
        : `gap ${fixed(gap.value, 2)} ± ${fixed(gap.expandedUncertainty, 2)} kPa`,
      `pulse depth ${fixed(one.pulseDepthKpa, 1)} kPa`,
      one.missedPulsesS === null
        ? 'missed pulses cannot be told'
        : `${one.missedPulsesS.length} missed or weak pulses`,
    ];
    lines.push(parts.join(', '));
  });
  const { roughness, spreadKpa } = analysis;
  lines.push(
    '',
    `Spread ${fixed(spreadKpa?.value ?? null, 2)} ± ${fixed(spreadKpa?.expandedUncertainty ?? null, 2)} kPa (k = 2)`,
    `Roughness score ${fixed(roughness.score, 0)} of 100 (our own figure), cycle length varies ${fixed(roughness.cycleLengthCovPercent, 2)} %, choppiness ${fixed(roughness.choppinessPercent, 2)} %`,
    roughness.hunting === null
      ? 'No regular hunting stands out.'
      : `Hunting by ${fixed(roughness.hunting.amplitudeRpm, 0)} r/min with a period of ${fixed(roughness.hunting.periodS, 2)} s`,
  );
  return `${lines.join('\n')}\n`;
}

function fixed(value: number | null, decimals: number): string {
  return value === null || !Number.isFinite(value) ? '–' : value.toFixed(decimals);
}
