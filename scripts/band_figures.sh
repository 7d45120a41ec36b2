#!/usr/bin/env bash
# Measures the band again and draws its rhythms: scripts/band_figures.sh
# Writes the tables of docs/band.md between their marks, and docs/band/RHYTHM.png: two bars at 112 beats a minute, 40 Hz
# to 16 kHz, by ffmpeg. Takes the bench preset's programs; FRETLOOM_BUILD names another build folder.
set -euo pipefail
cd "$(dirname "$0")/.."
readonly build="${FRETLOOM_BUILD:-build/bench}"
readonly work="$(mktemp -d)"
trap 'rm -rf "$work"' EXIT
mkdir -p docs/band
"$build/bench/band_figures" demos/*.toml > "$work/tables.md"
"$build/src/cli/fretloom" list rhythms | awk 'NR > 1' > "$work/rhythms"
for rhythm in held "whole notes" halves quarters eighths triplets sixteenths off-beats "half time" two-beat waltz gallop \
  shuffle "walking bass" drone; do
  grep -q "$rhythm" "$work/rhythms" || { echo "band_figures: no rhythm $rhythm" >&2; exit 2; }
  meter=4/4 beats=8
  [[ "$rhythm" != waltz ]] || { meter=3/4 beats=6; }
  printf 'format = 1\ntitle = "%s"\nkey = "E dorian"\nmeter = "%s"\nvamp = { chords = "Em7 | A7", rhythm = "%s" }\nlayout = { from = 12 }\n[[idea]]\ncell = "1 3 2 3 + 2 1"\n' \
    "$rhythm" "$meter" "$rhythm" > "$work/lesson.toml"
  "$build/src/cli/fretloom" sound "$work/lesson.toml" -o "$work" --what band --tempo 112 --format wav > "$work/log" 2>&1
  ffmpeg -nostdin -loglevel error -y -t "$(awk "BEGIN { print $beats * 60 / 112 }")" -i "$work/band-112.wav" -lavfi \
    "aformat=channel_layouts=mono,showspectrumpic=s=560x128:legend=0:scale=log:fscale=log:start=40:stop=16000:color=fire:drange=70,palettegen=max_colors=32" \
    "$work/palette.png"
  ffmpeg -nostdin -loglevel error -y -t "$(awk "BEGIN { print $beats * 60 / 112 }")" -i "$work/band-112.wav" -i "$work/palette.png" -lavfi \
    "[0:a]aformat=channel_layouts=mono,showspectrumpic=s=560x128:legend=0:scale=log:fscale=log:start=40:stop=16000:color=fire:drange=70[p];[p][1:v]paletteuse=dither=none" \
    "docs/band/${rhythm// /-}.png"
done
awk -v tables="$work/tables.md" '
  /^<!-- figures -->/ { print; while ((getline line < tables) > 0) print line; skip = 1; next }
  /^<!-- end of figures -->/ { skip = 0 }
  !skip' docs/band.md > "$work/band.md"
cp "$work/band.md" docs/band.md
