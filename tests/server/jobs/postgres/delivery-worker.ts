/** Child of tests: a bench that delivers what waits, as a service does, and ends when nothing waits any more. */
import { openBench } from './record-databases.ts';

const [folder, url] = process.argv.slice(2) as [string, string];
const bench = await openBench(folder, url);
bench.shared.delivery.start();
while (bench.shared.waiting() !== 0) await new Promise((resolve) => setTimeout(resolve, 20));
process.stdout.write('delivered\n');
await bench.close();
