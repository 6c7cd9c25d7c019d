#!/usr/bin/env bash
# What the shell offers, asked as the shell asks. usage: completion_test.sh COMPLETION PROGRAM
set -euo pipefail
completion=$(realpath "$1")
program=$(realpath "$2")
folder=$(mktemp -d)
trap 'rm -r "${folder}"' EXIT
cd "${folder}"
touch van.toml results.csv notes.txt
mkdir set
# shellcheck disable=SC1090
source "${completion}"
failed=0

# offered WORD...: what is offered for the last of the words, sorted, in one line.
offered() {
  COMP_WORDS=("${program}" "$@")
  COMP_CWORD=$#
  COMPREPLY=()
  _holeward 2>/dev/null
  printf '%s\n' "${COMPREPLY[@]}" | LC_ALL=C sort | paste -sd ' '
}

# expect OFFER WORD...
expect() {
  local wanted=$1 found
  shift
  found=$(offered "$@")
  [[ ${found} == "${wanted}" ]] && return
  printf 'for "%s" offered: %s\n  wanted: %s\n' "$*" "${found}" "${wanted}" >&2
  failed=1
}

expect 'check' che
expect 'issue' iss
expect '--version' --v
expect 'left right' check van.toml --side ''
expect 'de' issue van.toml --language d
expect 'arm channel solid tube' new ''
expect 'set' issue van.toml --to ''
expect 'results.csv set van.toml' check ''
expect '' check nothing
expect '--to' issue --to
# Every command the program has is offered, and no other.
expect "$("${program}" --help | sed -n '/^Commands:/,/^$/s/^  \([a-z][a-z]*\) .*/\1/p' |
  LC_ALL=C sort |
  paste -sd ' ' | sed 's/^/--help --version /;s/  */ /g')" ''
exit "${failed}"
