#!/usr/bin/env bash
# Measures the sound again and writes the tables of docs/sound.md between their marks: scripts/sound_figures.sh
# Builds the bench preset's sound_figures, which needs libfluidsynth-dev and fluid-soundfont-gm (scripts/setup.sh check).
set -euo pipefail
cd "$(dirname "$0")/.."
readonly font=/usr/share/sounds/sf2/FluidR3_GM.sf2
[[ -f "$font" ]] || { echo "sound_figures: $font is missing; install fluid-soundfont-gm" >&2; exit 2; }
readonly tool="${FRETLOOM_BUILD:-build/bench}/bench/sound_figures"
now="$(mktemp)"
trap 'rm -f "$now" "$now.md"; rm -rf "$now.d"' EXIT
"$tool" "$font" > "$now"
# Half an hour of sound takes minutes: only when asked for, scripts/sound_figures.sh long
[[ "${1:-}" != long ]] || "$tool" --half-hour "$now.d" >> "$now"
{
  echo '| what | before | now |'
  echo '| --- | --- | --- |'
  awk -F'\t' 'NR == FNR { old[$1] = $2; next } $1 !~ /^(ours|sampled) / { sub("/", ": ", $1); key = $1; sub(": ", "/", key); print "| " $1 " | " (key in old ? old[key] : "-") " | " $2 " " $3 " |" }' docs/sound/before.tsv "$now"
  echo
  echo '| instrument | rise ms | strays dB | falls at first, later dB/s | centroid at 0.02, 0.3, 1.5 s, Hz | side to middle dB | strokes spread dB |'
  echo '| --- | --- | --- | --- | --- | --- | --- |'
  awk -F'\t' '
    $1 ~ /^(ours|sampled) / { i = index($1, "/"); n = substr($1, 1, i - 1); m = substr($1, i + 1); v[n, m] = $2; if (!(n in seen)) { seen[n] = 1; order[++count] = n } }
    END { for (k = 1; k <= count; ++k) { n = order[k]
      spread = (n, "repeated strokes spread by") in v ? v[n, "repeated strokes spread by"] : "-"
      side = v[n, "side to middle"] < -100 ? "none" : v[n, "side to middle"]
      printf "| %s | %s | %s | %s, %s | %d, %d, %d | %s | %s |\n", n, v[n, "rise"], v[n, "strays from a straight decay"], v[n, "falls at first"], v[n, "falls later"], v[n, "centroid at 0.02 s"], v[n, "centroid at 0.3 s"], v[n, "centroid at 1.5 s"], side, spread } }' "$now" \
    <(grep -P '^ours (clean|lead)/' docs/sound/before.tsv | sed 's/^ours \([a-z]*\)/ours before, \1/')
} > "$now.md"
awk -v tables="$now.md" '
  /^<!-- figures -->/ { print; while ((getline line < tables) > 0) print line; skip = 1; next }
  /^<!-- end of figures -->/ { skip = 0 }
  !skip' docs/sound.md > "$now"
cp "$now" docs/sound.md
