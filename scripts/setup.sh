#!/usr/bin/env bash
# Installs what is missing on Debian 12: scripts/setup.sh [core|check]
#   core   what building and running takes (default)
#   check  core and what ./check takes
# Does nothing, and asks no server, when everything is there.
set -euo pipefail
cd "$(dirname "$0")/.."

readonly what="${1:-core}"
case "$what" in
  core | check) ;;
  *) echo "usage: scripts/setup.sh [core|check]" >&2; exit 2 ;;
esac

packages=(
  g++                  # the compiler
  cmake ninja-build    # the build
  libtomlplusplus-dev  # lesson files
  nlohmann-json3-dev   # JSON results
  libcli11-dev         # the command line
  libfmt-dev           # printing
  libcairo2-dev        # sheets: PDF and PNG
  libpango1.0-dev      # sheets: prose in any script
  libqrencode-dev      # sheets: the QR code of a lesson's link
  fonts-sil-gentiumplus  # sheets: the text font
  libfreetype-dev      # the build: the music font's outlines
  libsndfile1-dev      # sound: audio files
  libebur128-dev       # sound: loudness
  libfluidsynth-dev    # sound: drums and keys
  fluid-soundfont-gm   # their samples
  libzip-dev           # compressed MusicXML, packs
  libssl-dev           # hashes
  libmicrohttpd-dev    # the studio's server
  zlib1g-dev           # the studio's page, packed
  clang-16 lld-16      # the engine as a WebAssembly module, for the pages: compiler and linker,
  libc++-16-dev-wasm32     # the C++ library,
  libc++abi-16-dev-wasm32  # what it stands on,
  wasi-libc                # the C library,
  libclang-rt-16-dev-wasm32  # the compiler's own functions,
  binaryen             # and what makes the module smaller
)
# Debian's own only where the machine has none: a newer one must not be replaced.
command -v node >/dev/null || packages+=(nodejs)  # fetches the fonts, builds the pages; a second opinion in tests
command -v npm >/dev/null || packages+=(npm)

if [[ "$what" == check ]]; then
  packages+=(
    git                  # the list of tracked files
    libgtest-dev         # tests
    librapidcheck-dev    # laws that must hold for any input
    libbenchmark-dev     # benchmarks
    libclang-rt-16-dev   # fuzzers and the second compiler: sanitizers and fuzzing engine
    clang-tidy-16        # lint
    clang-format-14      # layout of the source
    libpugixml-dev       # MusicXML read back
    libfluidsynth-dev fluid-soundfont-gm  # sampled guitars beside our string
    libkissfft-dev       # spectra in the sound tests
    python3-mido midicsv # MIDI files read by strangers
    libxml2-utils unzip  # MusicXML against its schema; its compressed form
    groff-base           # the manual page set
    qpdf poppler-utils   # PDF structure, text, fonts, pixels
    sox flac ffmpeg      # audio files read by strangers
    chromium             # the pages in a browser
  )
fi

installed="$(dpkg-query -W -f '${Package}=${db:Status-Status}\n' "${packages[@]}" 2>/dev/null || true)"
missing=()
for package in "${packages[@]}"; do
  case $'\n'"$installed"$'\n' in
    *$'\n'"$package=installed"$'\n'*) ;;
    *) missing+=("$package") ;;
  esac
done
if ((${#missing[@]} > 0)); then
  as_root=()
  if ((EUID != 0)); then
    if ! command -v sudo >/dev/null; then
      echo "setup: missing packages: ${missing[*]}; run this as root, or install sudo" >&2
      exit 1
    fi
    as_root=(sudo)
  fi
  echo "setup: installing ${missing[*]}"
  "${as_root[@]}" apt-get update -qq
  "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive \
    apt-get install -y -qq --no-install-recommends "${missing[@]}"
fi

# The lock file that was installed lies beside its packages: a changed one installs anew.
readonly stamp=node_modules/.fretloom-lock
if ! cmp -s package-lock.json "$stamp"; then
  echo "setup: installing the npm packages of package-lock.json"
  npm ci --ignore-scripts --no-audit --no-fund --loglevel=error
  cp package-lock.json "$stamp"
fi
