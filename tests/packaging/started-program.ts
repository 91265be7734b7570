import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';

export interface StartedProgram {
  readonly page: string;
  readonly said: () => string;
  stop(): Promise<number | null>;
}

/** Starts a program and waits for the line that says where it listens. @throws with what it printed where it ends first */
export async function startProgram(
  command: string,
  args: readonly string[],
  env: NodeJS.ProcessEnv,
  cwd = '/',
): Promise<StartedProgram> {
  const program: ChildProcess = spawn(command, args, { env, cwd, stdio: ['ignore', 'pipe', 'pipe'] });
  let said = '';
  const page = await new Promise<string>((resolve, reject) => {
    const listen = (bytes: Buffer) => {
      said += bytes.toString('utf8');
      const found = /listening on (http:\/\/\S+)/.exec(said)?.[1];
      if (found !== undefined) resolve(found);
    };
    program.stdout?.on('data', listen);
    program.stderr?.on('data', listen);
    program.on('error', reject);
    program.on('exit', (status) => reject(new Error(`ended with ${status}: ${said}`)));
  });
  return {
    page,
    said: () => said,
    async stop() {
      const ended = once(program, 'exit');
      program.kill('SIGTERM');
      const [status] = (await ended) as [number | null];
      return status;
    },
  };
}
