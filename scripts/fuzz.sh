#!/usr/bin/env bash
# Builds the fuzzers and runs each for SECONDS: scripts/fuzz.sh SECONDS [NAME...]
# The corpus grows under build/fuzz/corpus; inputs to start from lie in fuzz/seeds/NAME.
# The last line is "N fuzzers passed, N failed".
set -euo pipefail
cd "$(dirname "$0")/.."

readonly seconds="${1:?usage: scripts/fuzz.sh SECONDS [NAME...]}"
shift
if [[ ! -f fuzz/CMakeLists.txt ]]; then
  echo "0 fuzzers passed, 0 failed"
  exit 0
fi
readonly built=build/fuzz.log
mkdir -p build
if ! scripts/build.sh fuzz >"$built" 2>&1; then
  tail -n 60 "$built"
  echo "0 fuzzers passed, 1 failed"
  exit 1
fi

wanted() {  # wanted NAME CHOSEN...
  local name="$1" chosen
  shift
  (($# == 0)) && return 0
  for chosen in "$@"; do [[ "$chosen" == "$name" ]] && return 0; done
  return 1
}

passed=0
failed=0
for program in build/fuzz/fuzz/*_fuzz; do
  [[ -x "$program" ]] || continue
  name="$(basename "$program" _fuzz)"
  wanted "$name" "$@" || continue
  corpus="build/fuzz/corpus/$name"
  found="build/fuzz/found/$name"
  log="build/fuzz/$name.log"
  mkdir -p "$corpus" "$found"
  seeds=()
  [[ -d "fuzz/seeds/$name" ]] && seeds=("fuzz/seeds/$name")
  if "$program" -max_total_time="$seconds" -timeout=10 -rss_limit_mb=2048 -print_final_stats=1 \
    -artifact_prefix="$found/" "$corpus" "${seeds[@]}" >"$log" 2>&1; then
    passed=$((passed + 1))
    executions="$(sed -n 's/^stat::number_of_executed_units: *//p' "$log")"
    echo "fuzz $name: ${executions:-?} executions, no failure"
  else
    failed=$((failed + 1))
    tail -n 40 "$log"
    echo "fuzz $name: FAILED; the input lies in $found, the whole log in $log"
  fi
done
if ((passed + failed == 0)); then
  echo "fuzz: no fuzzer was built${*:+ by the name of $*}" >&2
  failed=1
fi
echo "$passed fuzzers passed, $failed failed"
((failed == 0))
