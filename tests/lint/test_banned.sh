#!/bin/sh
# Calls that are not made, or only in named files.
cd "$(dirname "$0")/../.." || exit 2
. tests/lint/tap.sh

# Memory outside the arena, and who owns it.
memory_files='src/base/arena.c src/json/read.c src/schema/ src/vector/field.c src/server/http.c
    src/server/connection.c src/server/listen.c src/server/log.c
    src/server/metrics.c src/server/pool.c src/server/rate.c src/main.c'
print_files='src/main.c'

# Comments and strings taken out, so that prose may name what code may not call.
code() {
    sed 's/\\.//g; s/"[^"]*"/""/g; s/'"'"'[^'"'"']*'"'"'/0/g; s://.*::; s:/\*[^*]*\*/::g; /^ *\/\*/,/\*\//d; /^ \* /d' "$1"
}

# scan ROOT PATTERN ALLOWED...: file: offending line
scan() {
    root=$1 pattern=$2
    shift 2
    find "$root/src" -name '*.[ch]' | sort | while read -r file; do
        name=${file#"$root"/}
        for allowed in "$@"; do
            case $name in "$allowed"*) continue 2 ;; esac
        done
        code "$file" | grep -E "(^|[^A-Za-z0-9_])($pattern) *\(" | sed "s|^ *|$name: |"
    done
}
check() {
    scan "$1" 'sprintf|vsprintf|strcpy|strcat|atoi|atol|atof|strtok|gets|setlocale|rand|srand|system|popen|alloca|cJSON_GetErrorPtr|exit|abort'
    # shellcheck disable=SC2086
    scan "$1" 'malloc|calloc|realloc|strdup|strndup|free' $memory_files
    scan "$1" 'printf|fprintf|puts|fputs|putchar|perror' $print_files
    scan "$1" 'localtime|gmtime|strftime|gmtime_r|clock_gettime|time' src/server/ src/main.c
}

empty "no banned call" "$(check .)"

planted=$(mktemp -d)
trap 'rm -rf "$planted"' EXIT
mkdir -p "$planted/src/statics" "$planted/src/server"
cat >"$planted/src/statics/a.c" <<'C'
/* says strcpy(a, b) in a comment */
static const char prose[] = "atoi(1) in a string";
int a(void) { return atoi("7"); }
void *b(void) { return malloc(7); }
void c(void) { printf("x"); }
C
echo 'void d(void) { sprintf(x, "%d", 1); localtime(0); }' >"$planted/src/server/d.c"
report=$(check "$planted")
finds "sees atoi" "$report" 'a.c: int a(void)'
finds "sees malloc outside its files" "$report" 'a.c: void \*b'
finds "sees printf" "$report" 'a.c: void c'
finds "sees sprintf" "$report" 'd.c: .*sprintf'
empty "leaves prose alone" "$(printf '%s\n' "$report" | grep -e prose -e strcpy)"
tap_end
