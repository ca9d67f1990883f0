#!/bin/sh
# Who may include whom. Each row: folder, the folders of ours it may include, the system headers that
# are its alone to use or that it must not use are below.
cd "$(dirname "$0")/../.." || exit 2
. tests/lint/tap.sh

arrows='
base      base
json      base json
schema    base json schema
vector    base vector
work      base vector work
render    base work render vector
statics   base vector work statics
marking   base vector work statics marking
endpoints base json schema vector work statics marking endpoints
server    base json schema vector work render endpoints server
main.c    base server
'
# Headers of other libraries, each in one place.
owners='
microhttpd.h    src/server/worker.h src/server/exchange.h
cjson/cJSON.h   src/json/
pcre2.h         src/schema/
linux/          src/server/connection.c src/server/sandbox.c
seccomp.h       src/server/sandbox.c
sys/            src/server/ src/main.c
pthread.h       src/server/worker.h src/server/log.c src/server/pool.c src/main.c
'
# The pure core sees no clock, no locale and no files.
pure='vector work statics marking'
impure='stdio.h time.h locale.h signal.h unistd.h threads.h'

# check ROOT: one line for each include that breaks a rule.
check() {
    (
        cd "$1" || exit
        grep -rHno '^ *# *include *[<"][^>"]*[>"]' src --include='*.[ch]' |
            sed 's/: *# *include *\(.\)\(.*\).$/:\1 \2/' | tr -d '\r'
    ) | ARROWS="$arrows" OWNERS="$owners" PURE=" $pure " IMPURE=" $impure " awk '
        BEGIN {
            n = split(ENVIRON["ARROWS"], line, "\n")
            for (i = 1; i <= n; i++)
                if (split(line[i], word, " ")) {
                    may[word[1]] = line[i] " "
                    sub(/^[^ ]+/, "", may[word[1]])
                }
            owned = split(ENVIRON["OWNERS"], owner, "\n")
        }
        {
            at = $1; sub(/:[<"]$/, "", at)
            file = at; sub(/:.*/, "", file)
            quote = substr($1, length($1)); header = $2
            split(file, part, "/"); from = part[2]
            if (!(from in may)) { print at ": no arrows are known for " from; next }
            if (quote == "\"") {
                to = header
                if (!sub(/\/.*/, "", to)) { print at ": write \"folder/" header "\""; next }
                if (index(may[from], " " to " ") == 0) print at ": " from " must not see " header
                next
            }
            if (index(ENVIRON["PURE"], " " from " ") && index(ENVIRON["IMPURE"], " " header " "))
                print at ": " from " is pure, it must not see <" header ">"
            for (i = 1; i <= owned; i++) {
                places = split(owner[i], word, " ")
                if (!places || index(header, word[1]) != 1) continue
                found = 0
                for (k = 2; k <= places; k++) if (index(file, word[k]) == 1) found = 1
                if (!found) print at ": <" header "> belongs to" substr(owner[i], length(word[1]) + 1)
            }
        }'
}

# circles ROOT: files that stand on each other, in the folders whose files form layers. A .c file and
# its header are one.
layered='base json schema marking endpoints server'
circles() {
    for folder in $layered; do
        ls "$1/src/$folder/"*.[ch] 2>/dev/null | xargs -r grep -Ho "^#include \"$folder/[a-z_]*\.h\"" |
            sed 's|^.*/\([a-z_]*\)\.[ch]:.include ".*/\(.*\)\.h"|\1 \2|'
    done | sort -u | awk '$1 != $2' | tsort 2>&1 >/dev/null
}

empty "every include follows the arrows" "$(check .)"
empty "no two files stand on each other" "$(circles .)"

# The check itself: plant one offender of each kind and see that it is named.
planted=$(mktemp -d)
trap 'rm -rf "$planted"' EXIT
mkdir -p "$planted/src/statics" "$planted/src/base" "$planted/src/server" "$planted/src/other"
echo '#include "json/json.h"' >"$planted/src/statics/a.c"
echo '# include <stdio.h>' >"$planted/src/statics/b.c"
echo '#include <cjson/cJSON.h>' >"$planted/src/base/c.c"
echo '#include <microhttpd.h>' >"$planted/src/server/guard.c"
echo '#include "arena.h"' >"$planted/src/base/d.c"
echo '#include "base/arena.h"' >"$planted/src/other/e.c"
echo '#include "statics/statics.h"' >"$planted/src/main.c"
echo '#include "server/pool.h"' >"$planted/src/server/log.c"
echo '#include "server/log.h"' >"$planted/src/server/pool.h"
report=$(check "$planted")
finds "sees a wrong arrow" "$report" 'a.c:1: statics must not see json/json.h'
finds "sees an impure header" "$report" 'b.c:1: statics is pure'
finds "sees a foreign library" "$report" 'c.c:1: <cjson/cJSON.h> belongs to'
finds "sees the HTTP library outside its file" "$report" 'guard.c:1: <microhttpd.h> belongs to'
finds "sees an include without its folder" "$report" 'd.c:1: write'
finds "sees a folder that has no rule" "$report" 'e.c:1: no arrows'
finds "sees main.c reach too deep" "$report" 'main.c:1: main.c must not see'
finds "sees two files on each other" "$(circles "$planted")" 'pool'
tap_end
