import { homedir } from 'node:os';

/** What a line of the log keeps for the diagnostics file: nothing that a person typed. */
export interface KeptLogLine {
  /** Wall clock [ms since 1970]. */
  readonly atMs: number;
  readonly level: number;
  readonly text: string;
  /** Kind and place of an error, without its words: they may quote what was typed. */
  readonly error: { readonly type: string; readonly code: string | null; readonly frames: string[] } | null;
}

export const MOST_KEPT_LINES = 500;
const LONGEST_TEXT = 300;
const MOST_FRAMES = 12;
/** Every request has two lines whose address may hold what was searched for. */
const NOT_KEPT = new Set(['incoming request', 'request completed']);

/** The newest lines of the log in memory, for the file that a person can send; a stream for pino to write to. */
export class LogRing {
  readonly #lines: KeptLogLine[] = [];

  /** @param text one line of JSON as pino writes it; anything else is passed over */
  write(text: string): void {
    const line = parsed(text);
    if (line === null || NOT_KEPT.has(String(line.msg))) return;
    this.#lines.push({
      atMs: Number(line.time) || 0,
      level: Number(line.level) || 0,
      text: withoutPersonalData(String(line.msg ?? '')).slice(0, LONGEST_TEXT),
      error: keptError(line.err),
    });
    if (this.#lines.length > MOST_KEPT_LINES) this.#lines.shift();
  }

  /** Oldest first. */
  get lines(): readonly KeptLogLine[] {
    return [...this.#lines];
  }
}

/** Quoted words, what is asked for in addresses, passwords in addresses and the user's own folder are taken out. */
export function withoutPersonalData(text: string): string {
  return text
    .replaceAll(homedir(), '~')
    .replace(/\/(home|Users)\/[^/\s]+/g, '~')
    .replace(/:\/\/[^/\s@]*@/g, '://…@')
    .replace(/\?[^\s]*/g, '?…')
    .replace(/"[^"]*"|“[^”]*”|'[^']*'|`[^`]*`/g, '"…"');
}

function parsed(text: string): Record<string, unknown> | null {
  try {
    const value: unknown = JSON.parse(text);
    return typeof value === 'object' && value !== null ? (value as Record<string, unknown>) : null;
  } catch {
    return null;
  }
}

function keptError(value: unknown): KeptLogLine['error'] {
  if (typeof value !== 'object' || value === null) return null;
  const { type, code, stack } = value as Record<string, unknown>;
  const frames = String(stack ?? '')
    .split('\n')
    .filter((line) => /^\s+at /.test(line))
    .slice(0, MOST_FRAMES)
    .map((line) => withoutPersonalData(line.trim()));
  return { type: String(type ?? 'Error'), code: typeof code === 'string' ? code : null, frames };
}
