# Completion for bash. What can be typed is asked of the program itself, so that it is never out of
# date.

# Prints the commands, or the options of the command named.
_holeward_words() {
  local program=$1
  shift
  if (($# > 0)); then
    "${program}" "$1" --help 2>/dev/null | grep -oE '^  --[a-z-]+' | tr -d ' '
  else
    "${program}" --help 2>/dev/null | sed -n '/^Commands:/,/^$/s/^  \([a-z]*\) .*/\1/p'
  fi
}

_holeward() {
  local program=${COMP_WORDS[0]} typed=${COMP_WORDS[COMP_CWORD]} before=${COMP_WORDS[COMP_CWORD - 1]}
  local command=${COMP_WORDS[1]-}
  COMPREPLY=()
  if ((COMP_CWORD == 1)); then
    mapfile -t COMPREPLY < <(compgen -W "$(_holeward_words "${program}") --help --version" -- "${typed}")
  elif [[ ${before} == --side ]]; then
    mapfile -t COMPREPLY < <(compgen -W 'left right' -- "${typed}")
  elif [[ ${before} == --language ]]; then
    mapfile -t COMPREPLY < <(compgen -W 'en de es' -- "${typed}")
  elif [[ ${before} == --picture ]]; then
    compopt -o filenames 2>/dev/null
    mapfile -t COMPREPLY < <(compgen -f -- "${typed}")
  elif [[ ${before} == --to ]]; then
    compopt -o filenames 2>/dev/null
    mapfile -t COMPREPLY < <(compgen -d -- "${typed}")
  elif [[ ${typed} == -* ]]; then
    mapfile -t COMPREPLY < <(compgen -W "$(_holeward_words "${program}" "${command}")" -- "${typed}")
  elif [[ ${command} == new ]]; then
    mapfile -t COMPREPLY < <(compgen -W 'arm tube channel solid' -- "${typed}")
  else
    compopt -o filenames 2>/dev/null
    mapfile -t COMPREPLY < <(
      compgen -f -X '!*.toml' -- "${typed}"
      compgen -f -X '!*.csv' -- "${typed}"
      compgen -d -- "${typed}"
    )
  fi
}

complete -F _holeward holeward
