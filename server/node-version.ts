/** Versions on which all parts were seen to work: serial data get lost on Node.js 26. */
const OLDEST = [20, 19] as const;
const TOO_NEW_MAJOR = 26;

/** @param version as in `process.versions.node`, e.g. `20.19.0` */
export function isNodeVersionGood(version: string): boolean {
  const [major = 0, minor = 0] = version.split('.').map(Number);
  if (major >= TOO_NEW_MAJOR) return false;
  return major > OLDEST[0] || (major === OLDEST[0] && minor >= OLDEST[1]);
}
