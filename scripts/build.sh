#!/usr/bin/env bash
# Configures a preset where that is needed, then builds it: scripts/build.sh PRESET [CMAKE_BUILD_ARG...]
# EXTRA holds cache settings for a first configuration ("-DFRETLOOM_TESTS=OFF").
set -euo pipefail
cd "$(dirname "$0")/.."

readonly preset="$1"
shift
# Ninja notices changed CMakeLists by itself, but not the presets.
readonly stamp="build/$preset/.configured"
if [[ ! -f "build/$preset/build.ninja" || ! -f "$stamp" || CMakePresets.json -nt "$stamp" || "$(cat "$stamp")" != "${EXTRA:-}" ]]; then
  # shellcheck disable=SC2086  # EXTRA is a list of words
  cmake --preset "$preset" ${EXTRA:-}
  printf '%s' "${EXTRA:-}" >"$stamp"
fi
exec cmake --build --preset "$preset" -j "$(nproc)" "$@"
