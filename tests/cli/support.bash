# SPDX-License-Identifier: Apache-2.0
# Sourced by the scripts beside it. $1: the program, $2: the project's folder.
# shellcheck disable=SC2034 # status is read by the scripts
set -u
program=$1
project=$2
work=$(mktemp -d)
trap 'rm -rf -- "$work"' EXIT
faults=0

# expect WHAT COMMAND...: the command must succeed.
expect() {
  local what=$1
  shift
  if ! "$@"; then
    printf 'FAIL: %s\n' "$what"
    faults=$((faults + 1))
  fi
}

# run ARGS...: runs the program in $work; output in $work/stdout and $work/stderr, its status in $status.
run() {
  (cd -- "$work" && "$program" "$@" >stdout 2>stderr </dev/null)
  status=$?
}

same() { [[ $1 == "$2" ]] || { printf '  found %s, expected %s\n' "$1" "$2"; return 1; }; }
holds() { grep -qF -- "$2" "$work/$1" || { printf '  no "%s" in %s:\n' "$2" "$1"; head -n 20 "$work/$1"; return 1; }; }
matches() { grep -qE -- "$2" "$work/$1" || { printf '  nothing like "%s" in %s:\n' "$2" "$1"; head -n 20 "$work/$1"; return 1; }; }
lines() { same "$(wc -l <"$work/$1")" "$2" || { cat "$work/$1"; return 1; }; }

finish() {
  ((faults == 0)) || { printf '%d faults\n' "$faults"; exit 1; }
}
