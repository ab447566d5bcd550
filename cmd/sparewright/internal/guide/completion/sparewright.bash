# Completion of sparewright for bash. To use it: source <(sparewright completion bash)
# The words of the line go to the program as they are and come back quoted; nothing of them is run.
_sparewright() {
    local line kind=
    COMPREPLY=()
    while IFS= read -r line; do
        if [[ -z $kind ]]; then kind=$line; else COMPREPLY+=("$line"); fi
    done < <("$1" complete bash -- "${COMP_LINE:0:COMP_POINT}" 2>/dev/null)
    if [[ $kind == files ]]; then
        compopt -o default
    elif [[ ${#COMPREPLY[@]} -eq 1 && ${COMPREPLY[0]} == *= ]]; then
        compopt -o nospace
    fi
}
complete -F _sparewright sparewright
