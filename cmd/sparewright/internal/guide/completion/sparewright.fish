# Completion of sparewright for fish. To use it: sparewright completion fish | source
# The words of the line go to the program as they are; fish quotes what comes back; nothing of them is run.
function __sparewright_complete
    set -l typed (commandline -opc)
    set -l program $typed[1]
    set -e typed[1]
    set -l current (commandline -ct | string unescape)
    set -l answer ($program complete fish -- $typed "$current" 2>/dev/null)
    set -l kind $answer[1]
    set -e answer[1]
    if test "$kind" = files
        __fish_complete_path (commandline -ct)
    else if set -q answer[1]
        printf '%s\n' $answer
    end
end
complete -c sparewright -f -a '(__sparewright_complete)'
