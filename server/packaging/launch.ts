/**
 * Starts the program and opens its page in the browser, for those who double-click instead of typing. Where it runs
 * already on the usual port, that page is opened. Every option goes to the program; `--no-browser` is for this file.
 */
import { spawn } from 'node:child_process';
import { dirname, join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { USUAL_PORT } from '../usual-port.ts';

const PROGRAM = join(dirname(fileURLToPath(import.meta.url)), '..', 'main.js');
const USUAL_PAGE = `http://127.0.0.1:${USUAL_PORT}`;
const ANSWER_WITHIN_MS = 2000;

const options = process.argv.slice(2).filter((option) => option !== '--no-browser');
const opens = !process.argv.includes('--no-browser');

const program = spawn(process.execPath, [PROGRAM, ...options], { stdio: ['ignore', 'pipe', 'inherit'] });
let said = '';
let listening = false;
program.stdout.on('data', (bytes: Buffer) => {
  process.stdout.write(bytes);
  if (listening) return;
  said += bytes.toString('utf8');
  const page = /^listening on (http:\/\/\S+)$/m.exec(said)?.[1];
  if (page === undefined) return;
  listening = true;
  if (opens) openPage(page);
});
for (const signal of ['SIGINT', 'SIGTERM', 'SIGHUP'] as const) process.on(signal, () => program.kill(signal));
program.on('exit', async (status) => {
  process.exitCode = status ?? 1;
  // A second double-click: the first one holds the data folder or the port.
  if (!listening && status !== 0 && opens && options.length === 0 && (await isRunning())) {
    process.stdout.write(`Idlewright runs already: ${USUAL_PAGE}\n`);
    openPage(USUAL_PAGE);
    process.exitCode = 0;
  }
});

async function isRunning(): Promise<boolean> {
  try {
    const answer = await fetch(`${USUAL_PAGE}/api/health`, { signal: AbortSignal.timeout(ANSWER_WITHIN_MS) });
    const health: unknown = await answer.json();
    return typeof health === 'object' && health !== null && 'serverStartId' in health;
  } catch {
    return false;
  }
}

function openPage(page: string): void {
  const [command, ...rest] = opener(page);
  const opening = spawn(command, rest, { stdio: 'ignore', detached: true });
  const tell = () => process.stdout.write(`Open ${page} in a browser.\n`);
  opening.on('error', tell);
  opening.on('exit', (status) => status !== 0 && tell());
  opening.unref();
}

function opener(page: string): [string, ...string[]] {
  if (process.platform === 'win32') return ['rundll32', 'url.dll,FileProtocolHandler', page];
  if (process.platform === 'darwin') return ['/usr/bin/open', page];
  return ['xdg-open', page];
}
