# Completion of serveplumb for bash: asks the program itself, so that it cannot fall behind.
_serveplumb() {
    local word=${COMP_WORDS[COMP_CWORD]} command=${COMP_WORDS[1]:-} program=${COMP_WORDS[0]}
    COMPREPLY=()
    if [ "$COMP_CWORD" -eq 1 ] || [ "$command" = help ]; then
        COMPREPLY=($(compgen -W "$("$program" help 2>/dev/null | sed -n 's/^  serveplumb \([a-z][a-z]*\).*/\1/p')" -- "$word"))
    fi
    if [ "$COMP_CWORD" -gt 1 ] && [[ $word == -* ]]; then
        COMPREPLY=($(compgen -W "$("$program" help "$command" 2>/dev/null | grep -o -- '--[a-z][a-z-]*')" -- "$word"))
    fi
    [ "$command" = help ] || COMPREPLY+=($(compgen -f -- "$word"))
}
complete -o filenames -F _serveplumb serveplumb
