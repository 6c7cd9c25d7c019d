#!/bin/bash
# with_display.sh COMMAND [ARGS]: runs the command on a screen of its own. The server itself takes a
# free number and tells it once it listens: looked for beforehand, two would take the same.
set -u
folder=$(mktemp -d)
mkfifo "${folder}/number"
Xvfb -displayfd 3 -screen 0 2800x1900x24 -nolisten tcp 3> "${folder}/number" 2> /dev/null &
server=$!
trap 'kill "${server}" 2> /dev/null; wait "${server}"; rm -rf "${folder}"' EXIT
if ! read -r -t 60 number < "${folder}/number"; then
  printf 'with_display.sh: Xvfb did not come up\n' >&2
  exit 1
fi
DISPLAY=":${number}" "$@"
