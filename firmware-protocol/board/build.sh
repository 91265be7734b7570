#!/bin/sh
# Builds the firmware images with avr-gcc and avr-libc (Debian: gcc-avr, avr-libc, binutils-avr).
#
#   build.sh [DIRECTORY]                        the images of this folder, and images.json that describes them
#   build.sh --one FILE.hex -DNAME=VALUE ...    one image with other values of config.h
set -eu
here=$(cd "$(dirname "$0")" && pwd)
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# compile HEX -DNAME=VALUE...: leaves $work/board.elf behind
compile() {
  hex=$1
  shift
  (cd "$here" && avr-gcc -mmcu=atmega328p -DF_CPU=16000000UL -std=gnu99 -Os -flto \
    -Wall -Wextra -Werror -ffunction-sections -fdata-sections -Wl,--gc-sections \
    "$@" -o "$work/board.elf" command.c identity.c line.c main.c notices.c sampler.c serial.c)
  avr-objcopy -O ihex -R .eeprom "$work/board.elf" "$hex"
  # Berkeley format: text data bss; .noinit counts as bss.
  set -- $(avr-size -B "$work/board.elf" | tail -n 1)
  flash=$(($1 + $2))
  ram=$(($2 + $3))
  printf '%-24s flash %5d of 32768 bytes, RAM %4d of 2048 bytes\n' "$(basename "$hex")" "$flash" "$ram"
}

# Data address of a variable, for tests that cannot wait until a counter wraps.
address() {
  avr-nm "$work/board.elf" | while read -r at _ name; do
    case $name in "$1" | "$1".*) printf '%d' $((0x$at - 0x800000)) ;; esac
  done
}

describe() {
  printf '    {\n      "file": "%s",\n      "flashBytes": %d,\n      "ramBytes": %d,\n' "$1" "$flash" "$ram"
  printf '      "clockTicksAddress": %d,\n      "sequenceAddress": %d\n    }' \
    "$(address clock_ticks)" "$(address sequence)"
}

sha256() {
  if command -v sha256sum >/dev/null; then sha256sum; else shasum -a 256; fi | cut -d ' ' -f 1
}

if [ "${1:-}" = --one ]; then
  shift
  compile "$@"
  exit
fi

out=${1:-$here}
mkdir -p "$out"
{
  printf '{\n  "compiler": "%s",\n' "$(avr-gcc --version | head -n 1)"
  printf '  "sourcesSha256": "%s",\n  "images": [\n' "$(cd "$here" && cat -- *.c *.h build.sh | sha256)"
} >"$work/images.json"
compile "$out/board-4.hex" -DBOARD_CHANNELS=4
{ describe board-4.hex; printf ',\n'; } >>"$work/images.json"
compile "$out/board-8-multiplexed.hex" -DBOARD_CHANNELS=8 -DBOARD_MULTIPLEXER=1
{ describe board-8-multiplexed.hex; printf '\n  ]\n}\n'; } >>"$work/images.json"
cp "$work/images.json" "$out/images.json"
