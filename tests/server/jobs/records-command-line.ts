/** Child of tests: the commands of the job record as the program registers them. */
import { Command } from 'commander';
import { registerRecordsCommands } from '../../../server/jobs/records-commands.ts';

const program = new Command('idlewright').option('--data <folder>');
registerRecordsCommands(program, {
  softwareVersion: '0.1.0',
  wallMs: Date.now,
  records: () => null,
  write: (text) => process.stdout.write(text),
  fail: (sentence) => {
    process.stdout.write(`${sentence}\n`);
    process.exitCode = 1;
  },
});
await program.parseAsync(process.argv);
