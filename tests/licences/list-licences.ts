/** `npm run licences`: name, version and licence of every package that the installed program runs with. */
import { lockedPackages } from './packages.ts';

const shipped = lockedPackages().filter(({ development }) => !development);
for (const { name, version, licence } of shipped) {
  process.stdout.write(`${name}\t${version}\t${licence ?? 'no licence stated'}\n`);
}
