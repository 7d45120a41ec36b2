#!/usr/bin/env bash
# Builds the engine as WebAssembly modules, build/wasm/engine.wasm with all calls and engine_first.wasm with those that a
# page needs first: scripts/build_engine.sh GENERATED
# GENERATED is the folder where a native build has made engine/music_font_bytes.inc (build/PRESET/src/generated).
set -euo pipefail
cd "$(dirname "$0")/.."

readonly generated="$(realpath "${1:?usage: scripts/build_engine.sh GENERATED}")"
readonly font=build/wasm/generated/engine/music_font_bytes.inc

mkdir -p build/wasm/generated/engine
exec 9>build/wasm/lock
flock 9  # two presets may be built at once
# Every native build makes the same bytes of the font: a copy keeps the module from being linked anew for each.
cmp -s "$generated/engine/music_font_bytes.inc" "$font" || cp "$generated/engine/music_font_bytes.inc" "$font"
EXTRA="-DFRETLOOM_GENERATED=$PWD/build/wasm/generated" scripts/build.sh wasm --target engine_module engine_first_module
