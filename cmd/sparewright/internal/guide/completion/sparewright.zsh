#compdef sparewright
# Completion of sparewright for zsh. To use it, after compinit: source <(sparewright completion zsh)
# The words of the line go to the program as they are; zsh quotes what comes back; nothing of them is run.
_sparewright() {
    local line kind=
    local -a typed values shown open
    typed=("${(@Q)words[2,CURRENT-1]}" "${(Q)PREFIX}")
    while IFS= read -r line; do
        if [[ -z $kind ]]; then
            kind=$line
            continue
        fi
        if [[ ${line%%$'\t'*} == *= ]]; then
            open+=("${line%%$'\t'*}")
        else
            values+=("${line%%$'\t'*}")
            shown+=("${line/$'\t'/  }")
        fi
    done < <("${(Q)words[1]}" complete zsh -- "${typed[@]}" 2>/dev/null)
    if [[ $kind == files ]]; then
        _files
        return
    fi
    (( ${#values} )) && compadd -l -d shown -a -- values
    (( ${#open} )) && compadd -S '' -a -- open
}
if [[ ${funcstack[1]} == _sparewright ]]; then
    _sparewright "$@"
else
    compdef _sparewright sparewright
fi
