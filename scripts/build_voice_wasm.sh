#!/bin/sh
# Builds the string voice as a WebAssembly module without imports, from the same source as the native
# library. usage: build_voice_wasm.sh OUTPUT.wasm [CLANG [WASM_LD]]
# The link is a step of its own: the compiler driver may run an optimiser that moves floating-point code.
set -eu
root=$(cd "$(dirname "$0")/.." && pwd)
out=$1
clang=${2:-clang++-16}
ld=${3:-wasm-ld-16}
tmp=$(mktemp -d)
trap 'rm -rf "$tmp"' EXIT
for source in "$root"/src/sound/kernel/*.cpp; do
  "$clang" --target=wasm32 -std=c++20 -O2 -ffp-contract=off -ffreestanding -fno-exceptions -fno-rtti \
    -fno-threadsafe-statics -fvisibility=hidden -nostdlib -mbulk-memory -Wall -Wextra -Werror \
    -I"$root/src" -c "$source" -o "$tmp/$(basename "$source" .cpp).o"
done
"$ld" --no-entry --strip-all --gc-sections -z stack-size=65536 "$tmp"/*.o -o "$tmp/voice.wasm"
mv "$tmp/voice.wasm" "$out"
