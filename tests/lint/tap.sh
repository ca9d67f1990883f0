# tap.sh: to be sourced. ok NAME STATUS [OUTPUT] prints a TAP line; the plan comes at the end.
tap_count=0
tap_failed=0
ok() {
    tap_count=$((tap_count + 1))
    if [ "$2" = 0 ]; then
        echo "ok $tap_count - $1"
    else
        tap_failed=$((tap_failed + 1))
        echo "not ok $tap_count - $1"
        [ -z "${3:-}" ] || printf '%s\n' "$3" | sed 's/^/# /'
    fi
}
# empty NAME OUTPUT: good where there is nothing to report.
empty() { if [ -z "$2" ]; then ok "$1" 0; else ok "$1" 1 "$2"; fi; }
# finds NAME OUTPUT PATTERN: good where the report names what was planted.
finds() { if printf '%s\n' "$2" | grep -q -- "$3"; then ok "$1" 0; else ok "$1" 1 "not found: $3"; fi; }
tap_end() {
    echo "1..$tap_count"
    [ $tap_failed = 0 ]
}
