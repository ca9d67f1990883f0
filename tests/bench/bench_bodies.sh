#!/bin/sh
# A resultant, a beam on a pin and a roller, and a body in space with six reactions, without HTTP:
# microseconds a request, and an equation solved beside one sum of the resultant.
set -eu
cd "$(dirname "$0")/../.."
mkdir -p build/bench
${CC:-gcc} -std=c17 -D_POSIX_C_SOURCE=200809L -O2 -Wall -Wextra -Isrc -o build/bench/stages \
    tests/bench/stages.c build/release/libtiptail.a $(pkg-config --libs libmicrohttpd libcjson libpcre2-8) -pthread -lm
for round in 1 2 3 4 5; do
    build/bench/stages tests/bench/request.json resultant 5000 | sed 's/^/2 resultant: /'
    build/bench/stages tests/bench/beam.json equilibrium 2000 | sed 's/^/3 beam: /'
    build/bench/stages tests/bench/space_body.json equilibrium 2000 | sed 's/^/6 body in space: /'
done | sort | awk -F': ' '
    {split($1, head, " "); name = substr($1, 3); match($0, /in all [0-9.]+/)
     us = substr($0, RSTART + 7, RLENGTH - 7) + 0; n[name]++; equations[name] = head[1]
     if (n[name] == 1 || us < best[name]) {best[name] = us; line[name] = $0}}
    END {for (name in best) print line[name]
         base = best["resultant"] / equations["resultant"]
         for (name in best) printf "%s: %.1f us an equation, %.2f of a sum of the resultant\n",
             name, best[name] / equations[name], best[name] / equations[name] / base}'
