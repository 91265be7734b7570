/** What is double-clicked in a portable folder, per system: small scripts that need nothing but the folder itself. */
import type { Runtime } from './runtimes.ts';

export interface Launcher {
  readonly name: string;
  readonly text: string;
}

const LAUNCH = 'app/dist/server/packaging/launch.js';

/** `$0` without a program from outside: the folder is found even where PATH is empty. */
const shell = (program: string) => `#!/bin/sh
# Starts Idlewright and opens it in the browser. Close this window or press Ctrl+C to end it.
case "$0" in
  */*) here="\${0%/*}" ;;
  *) here=. ;;
esac
exec "$here/runtime/${program}" "$here/${LAUNCH}" "$@"
`;

/** Always quoted, so that spaces, parentheses and ampersands in the path are no matter; without delayed expansion neither is `!`. */
const WINDOWS = `@echo off\r
setlocal EnableExtensions DisableDelayedExpansion\r
rem Starts Idlewright and opens it in the browser. Close this window to end it.\r
title Idlewright\r
"%~dp0runtime\\bin\\node.exe" "%~dp0${LAUNCH.replaceAll('/', '\\')}" %*\r
if errorlevel 1 pause\r
`;

/** Desktop Entry Specification 1.5: \`%k\` is this file's own path; \`%%\` is one percent sign. */
const DESKTOP = `[Desktop Entry]
Type=Application
Name=Idlewright
Comment=Carburettor balance and idle quality
Exec=/bin/sh -c "exec \\\\"\\\\\${1%%/*}/idlewright.sh\\\\"" sh %k
Terminal=true
Categories=Utility;
`;

export function launchersFor(runtime: Runtime): readonly Launcher[] {
  switch (runtime.system) {
    case 'linux':
      return [
        { name: 'idlewright.sh', text: shell(runtime.program) },
        { name: 'idlewright.desktop', text: DESKTOP },
      ];
    case 'macos':
      return [{ name: 'idlewright.command', text: shell(runtime.program) }];
    case 'windows':
      return [{ name: 'idlewright.cmd', text: WINDOWS }];
  }
}
