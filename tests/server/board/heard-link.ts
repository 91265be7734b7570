import type { AmbientLine, IdentityLine, NoticeLine, SampleLine } from '../../../firmware-protocol/lines.ts';
import type { ByteSource, StreamEnd } from '../../../server/board/byte-source.ts';
import { type LinkListener, LinkRunner } from '../../../server/board/link-runner.ts';
import type { LinkState } from '../../../server/board/link-types.ts';
import { type Clock, systemClock } from '../../../server/clock.ts';

/** A running link that writes down all that it hears. */
export class HeardLink implements LinkListener {
  readonly runner: LinkRunner;
  readonly samples: SampleLine[] = [];
  readonly identities: IdentityLine[] = [];
  readonly ambients: AmbientLine[] = [];
  readonly notices: NoticeLine[] = [];
  readonly troubles: StreamEnd[] = [];
  readonly phases: string[] = [];
  readonly errorCodes = new Set<string>();
  readonly counters: Record<string, number> = {};
  breaks = 0;

  constructor(source: ByteSource, clock: Clock = systemClock) {
    this.runner = new LinkRunner(source, this, clock);
  }

  get state(): LinkState {
    return this.runner.state;
  }

  onLinkState(state: LinkState): void {
    if (this.phases.at(-1) !== state.phase) this.phases.push(state.phase);
    if (state.errorCode !== null) this.errorCodes.add(state.errorCode);
  }

  onIdentified(line: IdentityLine): void {
    this.identities.push(line);
  }

  onSample(line: SampleLine): void {
    this.samples.push(line);
  }

  onAmbient(line: AmbientLine): void {
    this.ambients.push(line);
  }

  onNotice(line: NoticeLine): void {
    this.notices.push(line);
  }

  onBreak(): void {
    this.breaks++;
  }

  onCount(counter: string): void {
    this.counters[counter] = (this.counters[counter] ?? 0) + 1;
  }

  onTrouble(end: StreamEnd): void {
    this.troubles.push(end);
  }
}
