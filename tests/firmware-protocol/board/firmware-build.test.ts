import { execFileSync, spawnSync } from 'node:child_process';
import { createHash } from 'node:crypto';
import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath, pathToFileURL } from 'node:url';
import { describe, expect, test } from 'vitest';
import {
  MAX_COMMAND_BYTES,
  MAX_LINE_BYTES,
  MAX_NAME_LENGTH,
  MAX_SAMPLE_RATE_HZ,
} from '../../../firmware-protocol/line-limits.ts';
import { PROTOCOL_VERSION } from '../../../firmware-protocol/lines.ts';
import { BOARD_FOLDER, parseIntelHexBytes, readImagesDescription } from './firmware-image.ts';

const folder = fileURLToPath(BOARD_FOLDER);
const FLASH_BYTES = 32_768;
/** A boot program takes up to 2 kB at the end of the flash. */
const FLASH_FOR_PROGRAM_BYTES = FLASH_BYTES - 2_048;
/** At least this much RAM must remain for the stack: the deepest use is below 100 bytes. */
const RAM_FOR_VARIABLES_BYTES = 2_048 - 512;

function compilerVersion(): string | null {
  const answer = spawnSync('avr-gcc', ['--version'], { encoding: 'utf8' });
  return answer.status === 0 ? answer.stdout.split('\n')[0]! : null;
}

function sourcesSha256(): string {
  const sources = readdirSync(folder).filter((name) => /\.[ch]$/.test(name));
  const inShellOrder = [
    ...sources.filter((name) => name.endsWith('.c')).sort(),
    ...sources.filter((name) => name.endsWith('.h')).sort(),
    'build.sh',
  ];
  const hash = createHash('sha256');
  for (const name of inShellOrder) hash.update(readFileSync(join(folder, name)));
  return hash.digest('hex');
}

describe('the committed firmware images', () => {
  test('were built from the sources beside them', () => {
    expect(sourcesSha256(), 'run `npm run firmware` and commit the images').toBe(
      readImagesDescription().sourcesSha256,
    );
  });

  test('fit the chip with room for a boot program and the stack', () => {
    for (const { file, flashBytes, ramBytes } of readImagesDescription().images) {
      expect(flashBytes, file).toBeLessThan(FLASH_FOR_PROGRAM_BYTES);
      expect(ramBytes, file).toBeLessThan(RAM_FOR_VARIABLES_BYTES);
      const bytes = parseIntelHexBytes(readFileSync(join(folder, file), 'utf8'), FLASH_BYTES);
      expect(bytes.findLastIndex((byte) => byte !== 0xff)).toBeLessThan(flashBytes);
      expect(flashBytes - bytes.findLastIndex((byte) => byte !== 0xff)).toBeLessThanOrEqual(4);
    }
  });

  test('are what the compiler makes of the sources, to the byte, wherever it is the same compiler', () => {
    const version = compilerVersion();
    const described = readImagesDescription();
    if (version === null) {
      // Without a compiler nothing can be rebuilt; that the images belong to the sources was checked above.
      expect(described.images.length).toBe(2);
      return;
    }
    const out = mkdtempSync(join(tmpdir(), 'firmware-'));
    try {
      const printed = execFileSync('sh', [join(folder, 'build.sh'), out], { encoding: 'utf8' });
      const rebuilt = readImagesDescription(pathToFileURL(`${out}/`));
      for (const { file } of described.images) {
        expect(printed).toMatch(new RegExp(`${file} +flash +\\d+ of 32768 bytes, RAM +\\d+ of 2048 bytes`));
        if (version !== described.compiler) continue;
        expect(readFileSync(join(out, file), 'utf8'), file).toBe(readFileSync(join(folder, file), 'utf8'));
      }
      if (version === described.compiler) expect(rebuilt).toEqual(described);
    } finally {
      rmSync(out, { recursive: true });
    }
  });

  test('other numbers of channels, line speeds and sensors build without a warning', () => {
    if (compilerVersion() === null) return;
    const out = mkdtempSync(join(tmpdir(), 'firmware-'));
    const variants = [
      ['-DBOARD_CHANNELS=1'],
      ['-DBOARD_CHANNELS=3', '-DBOARD_SENSOR="MPX4250A"'],
      ['-DBOARD_CHANNELS=8'],
      ['-DBOARD_BAUD=115200UL', '-DBOARD_RATE_HZ=100'],
      ['-DBOARD_BAUD=1000000UL'],
    ];
    try {
      for (const defines of variants) {
        execFileSync('sh', [join(folder, 'build.sh'), '--one', join(out, 'variant.hex'), ...defines]);
      }
      const impossible = spawnSync('sh', [
        join(folder, 'build.sh'),
        '--one',
        join(out, 'variant.hex'),
        '-DBOARD_CHANNELS=9',
      ]);
      expect(impossible.status).not.toBe(0);
    } finally {
      rmSync(out, { recursive: true });
    }
  });

  test('build as a sketch: the folder has an .ino of its own name, and main.c takes the place of the core', () => {
    // A sketch-based editor compiles every file of the folder and links them with an archive whose main() calls
    // setup() and loop(), which this program does not have.
    const ino = readFileSync(join(folder, 'board.ino'), 'utf8');
    expect(ino.split('\n').every((line) => line === '' || line.startsWith('//'))).toBe(true);
    if (compilerVersion() === null) return;
    const out = mkdtempSync(join(tmpdir(), 'sketch-'));
    const flags = [
      '-mmcu=atmega328p',
      '-DF_CPU=16000000L',
      '-std=gnu11',
      '-Os',
      '-Wall',
      '-Wextra',
      '-Werror',
    ];
    const compile = (source: string, object: string) =>
      execFileSync('avr-gcc', [...flags, '-ffunction-sections', '-c', source, '-o', join(out, object)]);
    try {
      writeFileSync(
        join(out, 'core.c'),
        'void setup(void); void loop(void); int main(void) { setup(); for (;;) loop(); }\n',
      );
      compile(join(out, 'core.c'), 'core.o');
      execFileSync('avr-ar', ['rcs', join(out, 'core.a'), join(out, 'core.o')]);
      const objects = readdirSync(folder)
        .filter((name) => name.endsWith('.c'))
        .map((name) => {
          compile(join(folder, name), `${name}.o`);
          return join(out, `${name}.o`);
        });
      execFileSync('avr-gcc', [
        ...flags,
        '-Wl,--gc-sections',
        '-o',
        join(out, 'sketch.elf'),
        ...objects,
        join(out, 'core.a'),
      ]);
    } finally {
      rmSync(out, { recursive: true });
    }
  });

  test('share their limits with the codec', () => {
    const config = readFileSync(join(folder, 'config.h'), 'utf8');
    const defined = (name: string) => new RegExp(`#define ${name} "?([\\w.]+)"?`).exec(config)?.[1];
    expect(defined('MAX_LINE_BYTES')).toBe(String(MAX_LINE_BYTES));
    expect(defined('MAX_COMMAND_BYTES')).toBe(String(MAX_COMMAND_BYTES));
    expect(defined('MAX_NAME_LENGTH')).toBe(String(MAX_NAME_LENGTH));
    expect(defined('MAX_SAMPLE_RATE_HZ')).toBe(String(MAX_SAMPLE_RATE_HZ));
    expect(defined('PROTOCOL_VERSION')).toBe(String(PROTOCOL_VERSION));
  });
});
