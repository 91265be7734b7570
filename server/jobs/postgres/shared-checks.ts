import type { CheckResult } from '../../contract/checks.ts';
import type { CheckResultStore } from '../check-result-store.ts';
import type { JobChecks } from '../job-checks.ts';

/** Results of all benches, and those of this bench that are not in the shared record yet. */
export class SharedChecks implements JobChecks {
  readonly #record: JobChecks;
  readonly #bench: CheckResultStore;

  constructor(record: JobChecks, bench: CheckResultStore) {
    this.#record = record;
    this.#bench = bench;
  }

  async listForVisit(visitId: string): Promise<CheckResult[]> {
    const shared = await this.#record.listForVisit(visitId);
    const known = new Set(shared.map(({ id }) => id));
    const here = this.#bench.list({ visitId }).filter(({ id }) => !known.has(id));
    return [...here, ...shared].sort((a, b) => b.madeAtMs - a.madeAtMs);
  }

  async get(id: string): Promise<CheckResult | null> {
    return (await this.#record.get(id)) ?? this.#bench.get(id);
  }

  put(result: CheckResult): Promise<void> {
    return this.#record.put(result);
  }
}
