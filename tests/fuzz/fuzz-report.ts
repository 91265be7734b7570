export interface FuzzReport {
  readonly inputs: number;
  /** Inputs that were taken as good: a fuzzer whose inputs are all refused at the door tests the door alone. */
  readonly taken: number;
  /** Inputs that broke a promise, with what it was. The first ones only. */
  readonly failures: readonly string[];
}

const TOLD_FAILURES = 10;

export class FuzzTally implements FuzzReport {
  inputs = 0;
  taken = 0;
  readonly failures: string[] = [];

  fail(what: string, input: string | Uint8Array): void {
    if (this.failures.length >= TOLD_FAILURES) return;
    this.failures.push(
      `${what}: ${Buffer.from(input as string)
        .subarray(0, 2_000)
        .toString('base64')} (base64)`,
    );
  }
}
