import { closeSync, openSync, readSync } from 'node:fs';

const HEAD_BYTES = 4096;

/**
 * What kinds of computer a compiled file is for, by its header: 'ELF x86-64', 'PE x86-64', 'Mach-O arm64' and so on; more
 * than one for a universal file, none for anything else. Numbers are those of the System V ABI (e_machine), the PE format
 * specification (Machine) and Apple's mach/machine.h (cputype).
 */
export function binaryKinds(path: string): readonly string[] {
  const head = Buffer.alloc(HEAD_BYTES);
  const file = openSync(path, 'r');
  readSync(file, head, 0, HEAD_BYTES, 0);
  closeSync(file);
  return elf(head) ?? portableExecutable(head) ?? machO(head) ?? universal(head) ?? [];
}

const ELF_MACHINES = new Map([
  [62, 'x86-64'],
  [183, 'arm64'],
]);
const PE_MACHINES = new Map([
  [0x8664, 'x86-64'],
  [0xaa64, 'arm64'],
]);
const MACH_CPUS = new Map([
  [0x0100_0007, 'x86-64'],
  [0x0100_000c, 'arm64'],
]);

function elf(head: Buffer): string[] | null {
  if (head.toString('latin1', 0, 4) !== '\u007fELF') return null;
  return named('ELF', ELF_MACHINES.get(head.readUInt16LE(18)));
}

function portableExecutable(head: Buffer): string[] | null {
  if (head.toString('latin1', 0, 2) !== 'MZ') return null;
  const at = head.readUInt32LE(0x3c);
  if (at > HEAD_BYTES - 6 || head.toString('latin1', at, at + 4) !== 'PE\u0000\u0000') return [];
  return named('PE', PE_MACHINES.get(head.readUInt16LE(at + 4)));
}

function machO(head: Buffer): string[] | null {
  if (head.readUInt32LE(0) !== 0xfeed_facf) return null;
  return named('Mach-O', MACH_CPUS.get(head.readUInt32LE(4)));
}

/** Big-endian, whatever is inside. */
function universal(head: Buffer): string[] | null {
  if (head.readUInt32BE(0) !== 0xcafe_babe) return null;
  const parts = Math.min(8, head.readUInt32BE(4));
  return Array.from({ length: parts }, (_, part) => MACH_CPUS.get(head.readUInt32BE(8 + 20 * part))).flatMap(
    (cpu) => named('Mach-O', cpu),
  );
}

function named(format: string, machine: string | undefined): string[] {
  return machine === undefined ? [] : [`${format} ${machine}`];
}
