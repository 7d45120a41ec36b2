#!/usr/bin/env bash
# Builds the Debian package out/fretloom_VERSION_ARCH.deb from the release preset: scripts/package.sh
# Needs dpkg-dev, which finds the libraries' packages.
set -euo pipefail
cd "$(dirname "$0")/.."

if ! command -v dpkg-shlibdeps >/dev/null; then
  echo "package: dpkg-shlibdeps is missing; install dpkg-dev" >&2
  exit 1
fi
# The time in the archive is that of the last change, so that the same source gives the same package.
if [[ -z "${SOURCE_DATE_EPOCH:-}" ]]; then
  SOURCE_DATE_EPOCH="$(git log -1 --format=%ct 2>/dev/null || stat -c %Y CHANGELOG.md)"
fi
export SOURCE_DATE_EPOCH

# A tree that ./check has set up keeps its tests; they are not built here.
extra=-DFRETLOOM_TESTS=OFF
[[ -f build/release/.configured ]] && extra="$(cat build/release/.configured)"
EXTRA="$extra" scripts/build.sh release --target fretloom music_outlines man_page
umask 022
(cd build/release && cpack -G DEB)
ls -l out/fretloom_*.deb
