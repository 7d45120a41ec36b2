#!/usr/bin/env bash
# Runs the tests of a preset that is built, and counts their cases: scripts/test.sh PRESET
# The last line is "N passed, N failed"; a case that was skipped is named with its reason and is neither. The exit code
# is 0 only if nothing failed.
set -euo pipefail
cd "$(dirname "$0")/.."

readonly preset="${1:?usage: scripts/test.sh PRESET}"
readonly results="build/$preset/results"
readonly log="build/$preset/tests.log"

rm -rf "$results"
ctest --preset "$preset" -j "$(nproc)" 2>&1 | tee "$log" | grep -vE '^ +Start |^Test project ' || true

# Prints "PASSED FAILED" of one program and names what was skipped. $1 is "Passed", or what ctest says instead: a
# program that failed without a failed case fell over, or leaked, and counts as one.
count_cases() {  # count_cases VERDICT RESULTS.xml
  awk -v verdict="$1" '
    function value(name) { return match($0, " " name "=\"[^\"]*\"") ? substr($0, RSTART + length(name) + 3, RLENGTH - length(name) - 4) : "" }
    /<testsuites / { all = value("tests"); bad = value("failures") + value("errors"); off = value("disabled") }
    /<testcase / { case_name = value("classname") "." value("name") }
    /<skipped message=/ {
      reason = value("message")
      sub(/^[^&]*&#x0A;/, "", reason)  # the place
      gsub(/&#x0A;/, " ", reason); gsub(/&apos;/, "\x27", reason); gsub(/&quot;/, "\"", reason); gsub(/&lt;/, "<", reason); gsub(/&gt;/, ">", reason); gsub(/&amp;/, "\\&", reason)
      print "skipped " case_name ": " (reason == "" ? "no reason given" : reason) > "/dev/stderr"
      ++skipped
    }
    END {
      if (verdict != "Passed" && bad == 0) { bad = 1; ++all }
      print all - bad - off - skipped, bad + 0
    }' "$2"
}

passed=0
failed=0
while read -r program verdict; do
  file="$results/$program.xml"
  [[ -f "$file" ]] || file=/dev/null
  read -r good bad < <(count_cases "$verdict" "$file")
  passed=$((passed + good))
  failed=$((failed + bad))
done < <(sed -nE 's/^ *[0-9]+\/[0-9]+ Test +#[0-9]+: ([a-z_]+) \.+[ *]*([A-Za-z]+).*/\1 \2/p' "$log")

if ((passed + failed == 0)); then
  echo "no test of preset $preset ran" >&2
  failed=1
fi
echo "$passed passed, $failed failed"
((failed == 0))
