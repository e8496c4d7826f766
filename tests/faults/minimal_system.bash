# SPDX-License-Identifier: Apache-2.0
# shellcheck shell=bash
# Sourced by the scripts beside it, after cmake/house.sh: makes a minimal Debian 12 in $system, with this machine's own
# archive as its apt source, and removes it when the shell ends. Needs root, debootstrap and the archive.
if [[ $(id -u) != 0 ]]; then
  say "making a minimal system needs root."
  # shellcheck disable=SC2154  # of cmake/house.sh
  exit "$status_needs_root"
fi

scratch=$(mktemp -d /var/tmp/fuelwright-minimal-XXXXXX) || exit 5
system="$scratch/system"
clean_up() {
  # Never delete through a mount that could not be undone.
  local place
  for place in ccache dev/pts proc; do
    if mountpoint -q "$system/$place"; then umount "$system/$place" || umount -l "$system/$place" || return; fi
  done
  rm -rf --one-file-system -- "$scratch"
}
trap clean_up EXIT
trap 'exit 1' INT TERM HUP

failures=0
fail() {
  failures=$((failures + 1))
  printf 'FAIL: %s\n' "$*"
}

give_up() {
  printf 'FAIL: %s\n' "$*"
  exit 1
}

# inside USER COMMAND...: runs in the minimal system with nothing of this environment.
inside() {
  local user=$1
  shift
  chroot --userspec="$user:$user" "$system" /usr/bin/env -i PATH=/usr/sbin:/usr/bin:/sbin:/bin HOME="$(home_of "$user")" "$@"
}

home_of() { awk -F: -v user="$1" '$1 == user { print $6 }' "$system/etc/passwd"; }

# The Debian archive of this machine's own apt, as one-line sources. The names in $() are apt's.
# shellcheck disable=SC2016
sources=$(apt-get indextargets --format 'deb $(REPO_URI) $(RELEASE) $(COMPONENT) $(CREATED_BY)' |
  awk '$NF == "Packages" && $3 ~ /^bookworm/ && $4 ~ /^(main|contrib|non-free)/ && $2 !~ /^(file|cdrom|copy)/ {
    print $1, $2, $3, $4 }' | sort -u)
archive=$(awk '$3 == "bookworm" && $4 == "main" { print $2; exit }' <<<"$sources")
[[ -n $archive ]] || give_up "this machine's apt knows no archive of bookworm"
proxies=$(apt-config dump | grep -E '^Acquire::(http|https)::')
http_proxy=${http_proxy:-$(sed -n 's/^Acquire::http::Proxy "\(.*\)";$/\1/p' <<<"$proxies")}
[[ -n $http_proxy ]] && export http_proxy

printf 'making a minimal system\n'
debootstrap --variant=minbase bookworm "$system" "$archive" >"$scratch/debootstrap.log" 2>&1 ||
  { tail -n 20 "$scratch/debootstrap.log"; give_up "debootstrap failed"; }
printf '%s\n' "$sources" >"$system/etc/apt/sources.list"
printf '%s\n' "$proxies" >"$system/etc/apt/apt.conf.d/10host"
cp /etc/resolv.conf /etc/hosts "$system/etc/"
mount -t proc proc "$system/proc" || give_up "could not mount proc"
