# SPDX-License-Identifier: Apache-2.0
# shellcheck shell=bash disable=SC2034
# What ./run and ./test share: the package lists, installing, locking, building with a log.
# Sourced, never run. Expects `root` (the project folder) to be set. Everything said goes to stderr.
: "${root:?}"

export LC_ALL=C.UTF-8

# The packages, by what needs them. This is the only list.
packages_run=(
  g++ cmake ninja-build ccache pkg-config
  libfmt-dev libexpected-dev libtomlplusplus-dev nlohmann-json3-dev libcli11-dev libboost-dev libeigen3-dev
  libpango1.0-dev libjpeg62-turbo-dev libpng-dev fonts-b612
)
packages_test=(libgtest-dev libgmock-dev librapidcheck-dev libvalijson-dev
  clang-format-19 poppler-utils qpdf)
packages_tidy=(clang-tidy-19 clang-19)
packages_fuzz=(clang-19 libclang-rt-19-dev)
packages_cov=(gcovr)
packages_bench=(libbenchmark-dev libsundials-dev)
packages_minimal=(debootstrap)
packages_shell=(shellcheck)
packages_release=(dpkg-dev)

# Exit statuses of the house. 0, 2 and 3 belong to the program.
status_needs_root=4
status_house_failed=5

log_dir="$root/build/log"

say() { printf 'fuelwright: %s\n' "$*" >&2; }

# The end of a log, for somebody who has to see why a step failed.
show_tail() {
  say "the end of ${1#"$root"/}:"
  tail -n 40 -- "$1" | sed 's/^/  | /' >&2
}

make_log_dir() {
  mkdir -p -- "$log_dir" 2>/dev/null && [[ -w $log_dir ]] && return
  say "cannot write to $root/build. Make the folder writable, or copy the project to one of your own."
  exit "$status_house_failed"
}

# Sets `missing` to those of the named packages that are not installed.
find_missing() {
  local status package
  local -A installed=()
  missing=()
  while read -r status package; do
    [[ $status == installed ]] && installed[$package]=1
  done < <(dpkg-query -W -f '${db:Status-Status} ${Package}\n' -- "$@" 2>/dev/null)
  for package in "$@"; do
    [[ ${installed[$package]:-} || " ${missing[*]} " == *" $package "* ]] || missing+=("$package")
  done
}

# Installs those of the named packages that are missing; asks for nothing when none is.
ensure_packages() {
  if ! command -v dpkg-query >/dev/null; then
    say "no dpkg-query here (not a Debian system): going on without looking for packages."
    return
  fi
  local missing=()
  find_missing "$@"
  ((${#missing[@]} == 0)) && return

  local as_root=()
  if [[ $(id -u) != 0 ]]; then
    if sudo -n true 2>/dev/null; then
      as_root=(sudo -n)
    elif command -v sudo >/dev/null && [[ -t 0 && -t 2 ]]; then
      as_root=(sudo)
    else
      say "packages are missing. As root: apt-get update && apt-get install -y --no-install-recommends ${missing[*]}"
      exit "$status_needs_root"
    fi
  fi

  lock_build packages
  find_missing "$@"
  if ((${#missing[@]} == 0)); then
    unlock_build
    return
  fi
  local log="$log_dir/packages.log"
  local apt=("${as_root[@]}" env DEBIAN_FRONTEND=noninteractive LC_ALL=C.UTF-8
    apt-get -q -o DPkg::Lock::Timeout=300 -o Acquire::Retries=3)
  say "installing ${#missing[@]} packages (${log#"$root"/}): ${missing[*]}"
  : >"$log"
  # One unreachable source is no reason to stop: the install that follows decides.
  "${apt[@]}" update </dev/null >>"$log" 2>&1 || say "apt-get update failed; trying to install all the same."
  if ! "${apt[@]}" install -y --no-install-recommends "${missing[@]}" </dev/null >>"$log" 2>&1; then
    show_tail "$log"
    say "apt-get could not install the packages."
    exit "$status_house_failed"
  fi
  unlock_build
}

# How many compilers fit: one per core, and one per GiB of free memory. FW_JOBS overrides.
count_jobs() {
  local cores free_kB
  cores=$(nproc)
  free_kB=$(awk '$1 == "MemAvailable:" { print $2 }' /proc/meminfo 2>/dev/null)
  jobs=${FW_JOBS:-$cores}
  if [[ -z ${FW_JOBS:-} && -n $free_kB ]] && ((free_kB / 1048576 < jobs)); then
    jobs=$((free_kB / 1048576))
  fi
  ((jobs >= 1)) || jobs=1
}

# Holds the lock named (a preset, or `packages`) until the shell ends or `unlock_build` is called. One at a time.
lock_build() {
  make_log_dir
  exec 9>>"$root/build/.$1.lock"
  if ! flock -n 9; then
    say "another call is at work on '$1'; waiting for it."
    flock 9
  fi
}

unlock_build() { exec 9>&-; }

# A build tree made for another place (a copied folder) cannot be continued.
drop_foreign_tree() {
  local cache="$root/build/$1/CMakeCache.txt" home
  [[ -f $cache ]] || return 0
  home=$(sed -n 's/^CMAKE_HOME_DIRECTORY:INTERNAL=//p' "$cache")
  [[ $home == "$root" ]] || rm -rf -- "${root:?}/build/$1"
}

# Runs ninja, everything into the log, a short word on stderr as it goes.
ninja_with_progress() {
  local label=$1 log=$2 line tenth last=-1
  shift 2
  ninja "$@" 2>&1 9>&- </dev/null | while IFS= read -r line; do
    printf '%s\n' "$line" >>"$log"
    [[ $line =~ ^\[([1-9][0-9]*)/([0-9]+)\]\ [^R] ]] || continue  # not ninja's own "Re-checking", "Re-running"
    if [[ -t 2 ]]; then
      printf '\rfuelwright: %s %s of %s' "$label" "${BASH_REMATCH[1]}" "${BASH_REMATCH[2]}" >&2
      [[ ${BASH_REMATCH[1]} == "${BASH_REMATCH[2]}" ]] && printf '\n' >&2
    else
      tenth=$((BASH_REMATCH[1] * 5 / BASH_REMATCH[2]))
      ((tenth != last)) && say "$label ${BASH_REMATCH[1]} of ${BASH_REMATCH[2]}"
      last=$tenth
    fi
  done
  return "${PIPESTATUS[0]}"
}

# build_preset PRESET [TARGET...]: configures and builds; on failure shows the tail of the log and returns 1.
build_preset() {
  local preset=$1 log jobs
  shift
  log="$log_dir/$preset.log"
  count_jobs
  # Without a home that can be written to, ccache refuses to compile at all.
  [[ -n ${CCACHE_DIR:-} || -w ${HOME:-/nonexistent} ]] || export CCACHE_DISABLE=1
  drop_foreign_tree "$preset"
  : >"$log"
  if ! (cd -- "$root" && cmake --preset "$preset") >>"$log" 2>&1 </dev/null 9>&-; then
    show_tail "$log"
    say "configuring '$preset' failed."
    return 1
  fi
  if ! ninja_with_progress "building $preset" "$log" -C "$root/build/$preset" -j "$jobs" "$@"; then
    show_tail "$log"
    say "building '$preset' failed."
    return 1
  fi
}

# NUL-separated paths of the project's own files, relative to the folder named. Git's list where git answers.
list_files() {
  git -C "$1" ls-files -z 2>/dev/null && return
  (cd -- "$1" && find . \( -path ./build -o -path ./out -o -path ./.git -o -name node_modules \) -prune \
    -o -type f -print0 | sed -z 's|^\./||')
}
