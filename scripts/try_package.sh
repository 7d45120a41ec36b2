#!/usr/bin/env bash
# Tries a Debian package in a clean Debian 12: scripts/try_package.sh [PACKAGE.deb]
# debootstrap makes a root in a temporary folder from the mirror that this machine's apt uses. There the package is
# looked over, installed, used as a teacher would, removed and purged. Nothing is installed on this machine. Needs
# root. It takes some minutes, so ./check does not do it. The last line is "N passed, N failed".
set -euo pipefail
cd "$(dirname "$0")/.."

deb="${1:-}"
[[ -n "$deb" ]] || deb="$(find out -maxdepth 1 -name 'fretloom_*.deb' 2>/dev/null | sort -V | tail -n 1)"
if [[ ! -f "$deb" ]]; then
  echo "try: no package; scripts/package.sh builds one" >&2
  exit 2
fi
if ((EUID != 0)); then
  echo "try: a root of its own takes root; run this with sudo" >&2
  exit 2
fi
deb="$(realpath "$deb")"
readonly deb
readonly suite=bookworm
readonly place=/opt/trial  # where the trial's own files lie in the root

trial="$(mktemp -d)"
readonly trial
readonly root="$trial/root"
clean_up() {
  local mounted
  for mounted in dev/pts dev proc sys; do umount -q "$root/$mounted" 2>/dev/null || true; done
  # A folder that is mounted still would be emptied with the root.
  if grep -q " $root" /proc/mounts; then
    echo "try: something is still mounted below $root; it stays" >&2
  else
    rm -rf "$trial"
  fi
}
trap clean_up EXIT
trap 'exit 130' INT TERM  # after the step that is running, which may have something mounted

passed=0
failed=0
step() {  # step WHAT COMMAND...
  local what="$1"
  shift
  if "$@" >"$trial/log" 2>&1; then
    echo "ok      $what"
    passed=$((passed + 1))
  else
    tail -n 40 "$trial/log"
    echo "FAILED  $what"
    failed=$((failed + 1))
  fi
}
inside() { chroot "$root" /usr/bin/env -i PATH=/usr/sbin:/usr/bin:/sbin:/bin LC_ALL=C.UTF-8 HOME=$place \
  DEBIAN_FRONTEND=noninteractive ${http_proxy:+http_proxy="$http_proxy"} "$@"; }

# --- what the package holds, without installing it -----------------------------------------------------------------

fields() { dpkg-deb -f "$deb" "$1"; }
listing() { dpkg-deb -c "$deb"; }

has_a_good_control_file() {
  [[ "$(fields Package)" == fretloom && "$(fields Version)" =~ ^[0-9] && "$(fields Section)" == sound ]] || return 1
  [[ "$(fields Maintainer)" == *"<"*"@"*">" && "$(fields Depends)" == *libc6* && "$(fields Depends)" == *gentium* ]] || return 1
  local synopsis
  synopsis="$(fields Description | head -n 1)"
  [[ ${#synopsis} -le 80 && "$synopsis" != *. && ! "$synopsis" =~ ^(A|An|The)\  ]] || return 1
  [[ "$(fields Description | wc -l)" -gt 1 ]] && ! fields Description | grep -qE '.{81}'
}

# Owners, rights and places as Debian's policy has them (sections 9 and 10).
has_good_files() {
  ! listing | awk '
    $2 != "root/root" { print; bad = 1 }
    /^d/ && $1 != "drwxr-xr-x" { print; bad = 1 }
    /^-/ && $1 != ($6 ~ /^\.\/usr\/bin\// ? "-rwxr-xr-x" : "-rw-r--r--") { print; bad = 1 }
    /^[^d-]/ { print; bad = 1 }
    $6 !~ /^\.\/$|^\.\/usr\/$|^\.\/usr\/(bin|share)\// { print; bad = 1 }
    END { exit !bad }'
}

has_what_debian_asks_for() {
  local file
  listing >"$trial/listing"
  for file in doc/fretloom/copyright doc/fretloom/CHANGELOG.md man/man1/fretloom.1.gz; do
    grep -q " ./usr/share/$file\$" "$trial/listing" || { echo "no $file"; return 1; }
  done
  dpkg-deb --fsys-tarfile "$deb" | tar xO ./usr/share/doc/fretloom/copyright >"$trial/copyright"
  grep -q '^License: OFL-1.1' "$trial/copyright" && grep -q 'SIL OPEN FONT LICENSE' "$trial/copyright" &&
    grep -q '^License: Expat' "$trial/copyright"
}

names_no_machine() {
  mkdir -p "$trial/look"
  dpkg-deb -x "$deb" "$trial/look"
  ! grep -rlaF -e "$PWD" -e node_modules/ "$trial/look/usr/bin" "$trial/look/usr/share/fretloom" "$trial/look/usr/share/man"
}

is_stripped_and_without_rpath() {
  ! readelf -S "$trial/look/usr/bin/fretloom" | grep -E '\.(symtab|debug_info)' &&
    ! readelf -d "$trial/look/usr/bin/fretloom" | grep -E 'R(UN)?PATH'
}

# Sums of all files, and no more than the files.
has_sums_of_all_files() {
  dpkg-deb -e "$deb" "$trial/control"
  (cd "$trial/look" && md5sum --quiet -c "$trial/control/md5sums") || return 1
  [[ "$(wc -l <"$trial/control/md5sums")" == "$(find "$trial/look" -type f | wc -l)" ]]
}

step "the control file" has_a_good_control_file
step "owners, rights and places of the files" has_good_files
step "copyright, changes and manual page" has_what_debian_asks_for
step "no path of this machine" names_no_machine
step "the program is stripped" is_stripped_and_without_rpath
step "the sums of the files" has_sums_of_all_files

# --- a clean root --------------------------------------------------------------------------------------------------

# debootstrap from where it is installed, or else from its package unpacked here.
find_debootstrap() {
  command -v debootstrap >/dev/null && return
  mkdir "$trial/tool"
  (cd "$trial/tool" && apt-get -o APT::Sandbox::User=root download -qq debootstrap && dpkg-deb -x debootstrap_*.deb .)
  export DEBOOTSTRAP_DIR="$trial/tool/usr/share/debootstrap" PATH="$PATH:$trial/tool/usr/sbin"
}

# apt's own word for its sources: URI, release and component of each.
# shellcheck disable=SC2016  # apt fills these in, not the shell
sources() { apt-get indextargets --format '$(REPO_URI) $(RELEASE) $(COMPONENT)' 'Created-By: Packages' | sort -u; }

make_root() {
  local mirror
  mirror="$(sources | awk -v suite="$suite" '$2 == suite && $3 == "main" { print $1; exit }')"
  [[ -n "$mirror" ]] || { echo "apt knows no mirror of $suite"; return 1; }
  debootstrap --variant=minbase "$suite" "$root" "$mirror" || return 1
  sources | awk -v suite="$suite" '$3 == "main" && $2 ~ "^" suite { print "deb", $1, $2, $3 }' >"$root/etc/apt/sources.list"
  cp /etc/resolv.conf /etc/hosts "$root/etc/"
  mkdir -p "$root$place"
  mount -t proc proc "$root/proc"
  inside apt-get update -qq
}

files_of_root() { find "$root" -xdev -path "$root/proc" -prune -o -path "$root$place" -prune -o -printf '%P\n' | sort; }

# The packages that ours needs stay, and apt keeps its logs; of ours nothing may be left.
leaves_nothing() {
  files_of_root >"$trial/after"
  ! comm -13 "$trial/before" "$trial/after" | grep -i fretloom && ! inside dpkg-query -W fretloom
}

install_package() {
  cp "$deb" "$root$place/fretloom.deb"
  inside apt-get install -y -qq --no-install-recommends "$place/fretloom.deb"
}
pack_demos() { inside sh -c "cd $place && fretloom pack /usr/share/fretloom/demos -o packs"; }
verify_packs() { inside sh -c "cd $place && for zip in packs/*.zip; do fretloom verify \"\${zip%.zip}\" || exit 1; done"; }
start_a_lesson() { inside sh -c "cd $place && fretloom new first.toml && fretloom check first.toml && fretloom sheet first.toml -o first.pdf && test -s first.pdf"; }
writes_the_studio() { inside sh -c "cd $place && fretloom studio --export page && test -s page/index.html"; }
draws_as_here() {
  local format
  for format in pdf svg png; do
    inside sh -c "cd $place && fretloom sheet /usr/share/fretloom/demos -o drawn-$format --format $format" || return 1
    "$trial/look/usr/bin/fretloom" sheet "$trial/look/usr/share/fretloom/demos" -o "$trial/drawn-$format" --format "$format" || return 1
    diff -rq "$root$place/drawn-$format" "$trial/drawn-$format" || return 1
  done
}
install_man() {
  # A small root leaves out pages and documents of what it installs; only the page itself is needed.
  inside apt-get install -y -qq --no-install-recommends man-db
}
show_page() {
  inside sh -c 'MANPAGER=cat man -l /usr/share/man/man1/fretloom.1.gz' >"$trial/page" || return 1
  grep -q '^SYNOPSIS' "$trial/page" && grep -q 'fretloom pack' "$trial/page" && grep -q FRETLOOM_DATA "$trial/page"
}
lint() {
  inside apt-get install -y -qq --no-install-recommends lintian || return 1
  inside lintian --no-cfg --allow-root --fail-on error,warning --suppress-tags "$1" "$place/fretloom.deb"
}
remove_package() { inside apt-get remove -y -qq fretloom && ! inside sh -c 'command -v fretloom'; }
purge_package() { inside apt-get purge -y -qq fretloom; }

SECONDS=0
find_debootstrap
step "a clean root" make_root
echo "        $SECONDS seconds; $(inside dpkg-query -W -f '.\n' | wc -l) packages"
files_of_root >"$trial/before"
step "the package installs" install_package
echo "        $SECONDS seconds; $(inside dpkg-query -W -f '.\n' | wc -l) packages"
step "the demos are packed" pack_demos
step "the packs agree with their lessons" verify_packs
step "a new lesson is checked and drawn" start_a_lesson
step "the studio's page is written" writes_the_studio
step "sheets are drawn as on this machine, to the byte" draws_as_here
step "man is installed" install_man
step "the manual page is shown" show_page
# Changes in the form of Debian's archive are for packages of that archive; ours stand in CHANGELOG.md.
step "lintian finds nothing else" lint no-changelog
step "the package is removed" remove_package
step "nothing is left" leaves_nothing
step "it installs again" install_package
step "it is purged" purge_package
step "nothing is left" leaves_nothing

echo "$deb: $(stat -c %s "$deb") bytes; $SECONDS seconds"
echo "$passed passed, $failed failed"
((failed == 0))
