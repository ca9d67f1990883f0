#!/bin/sh
# The service as an ordinary client sees it: curl, with what it sends by itself.
cd "$(dirname "$0")/../.." || exit 2
. tests/lint/tap.sh
program=${PROGRAM:-build/asan/tiptail}
work=$(mktemp -d)
TIPTAIL_PORT=0 TIPTAIL_DRAIN_DELAY=0 TIPTAIL_SANDBOX=off "$program" >"$work/out" 2>"$work/log" &
server=$!
trap 'kill $server 2>/dev/null; rm -rf "$work"' EXIT
tries=0
until grep -q listening "$work/out"; do
    tries=$((tries + 1))
    [ $tries -lt 100 ] || { ok "the server starts" 1 "$(cat "$work/log")"; tap_end; exit 1; }
    sleep 0.1
done
url=$(sed -n 's/^listening on //p' "$work/out")

# says NAME EXPECTED CURL-ARGUMENTS...: status and media type
says() {
    name=$1 expected=$2
    shift 2
    got=$(curl -sS -m 20 -o "$work/body" -w '%{http_code} %{content_type}' "$@" 2>&1)
    if [ "$got" = "$expected" ]; then ok "$name" 0; else ok "$name" 1 "$got, not $expected: $(head -c 400 "$work/body")"; fi
}
json='Content-Type: application/json'
cat >"$work/problem" <<'JSON'
{"units": {"force": "kN"}, "forces": [{"name": "P", "magnitude": 4.2, "direction": {"angle": 62.5}},
 {"name": "W", "magnitude": 6.5, "direction": {"angle": 248.2}}]}
JSON
says "a computation" "200 application/json" -H "$json" --data-binary @"$work/problem" "$url/v1/resultant"
grep -q '"kind"' "$work/body"
ok "its answer says its kind" $?
says "the same by HTTP/1.0" "200 application/json" --http1.0 -H "$json" --data-binary @"$work/problem" "$url/v1/resultant"
says "chunked" "200 application/json" -H "$json" -H 'Transfer-Encoding: chunked' --data-binary @"$work/problem" "$url/v1/resultant"
says "as a sheet" "200 text/plain; charset=utf-8" -H "$json" -H 'Accept: text/plain' --data-binary @"$work/problem" "$url/v1/resultant"
says "as LaTeX" "200 text/x-latex; charset=utf-8" -H "$json" -H 'Accept: text/x-latex' --data-binary @"$work/problem" "$url/v1/resultant"
says "curl's own media type is refused with advice" "415 application/problem+json" --data-binary @"$work/problem" "$url/v1/resultant"
grep -q 'Content-Type: application/json' "$work/body"
ok "the advice names the right one" $?
says "HEAD" "200 application/json" -I "$url/v1"
says "OPTIONS" "204 " -X OPTIONS "$url/v1/resultant"
says "the server as a whole" "204 " -X OPTIONS --request-target '*' "$url"
says "a browser's Accept" "200 application/json" -H 'Accept: text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8' "$url/v1"
says "an offer of HTTP/2 is left alone" "200 application/json" --http2 "$url/v1"
head -c 20000000 /dev/zero | tr '\0' ' ' >"$work/large"
says "an upload of 20 MB, announced" "413 application/problem+json" -H "$json" -H 'Expect:' --data-binary @"$work/large" "$url/v1/resultant"
says "... chunked" "413 application/problem+json" -H "$json" -H 'Expect:' -H 'Transfer-Encoding: chunked' --data-binary @"$work/large" "$url/v1/resultant"
says "... with Expect: 100-continue" "413 application/problem+json" -H "$json" -H 'Expect: 100-continue' --data-binary @"$work/large" "$url/v1/resultant"
got=$(curl -sS -o /dev/null -w '%{num_connects} ' "$url/nope" -o /dev/null "$url/v1" -o /dev/null "$url/readyz")
[ "$got" = "1 0 0 " ]
ok "three requests share one connection, though the first is a 404" $? "$got"
etag=$(curl -sSI "$url/v1/openapi.json" | tr -d '\r' | sed -n 's/^ETag: //p')
says "a copy that is still good" "304 " -H "If-None-Match: $etag" "$url/v1/openapi.json"
says "health" "200 text/plain; charset=utf-8" "$url/healthz"

kill $server
wait $server
status=$?
[ $status = 0 ] && ! grep -q 'ERROR: \|runtime error' "$work/log"
ok "the server ends with status 0" $? "status $status: $(tail -20 "$work/log")"
tap_end
