#!/bin/sh
# deploy/Dockerfile is built and run, with what Debian has for it. The base that it names is made from
# this machine's own package sources, so that no registry of images is asked. Base and layers are
# kept in TIPTAIL_IMAGE_CACHE (default ~/.cache/tiptail-image): about a minute the first time, then
# seconds. Needs root.
cd "$(dirname "$0")/../.." || exit 2
. tests/lint/tap.sh

skip() {
    ok "the image # SKIP $1" 0
    tap_end
    exit
}
[ "$(id -u)" = 0 ] || skip "needs root"
for command in podman runc mmdebstrap; do
    command -v $command >/dev/null || skip "there is no $command: make setup-long"
done
cache=${TIPTAIL_IMAGE_CACHE:-${HOME:-/root}/.cache/tiptail-image}
base=docker.io/library/debian:bookworm-slim
work=build/image-test
rm -rf "$work"
mkdir -p "$cache" "$work"
for driver in overlay vfs; do
    engine="podman --root $cache/$driver --runroot /run/tiptail-image-$driver --storage-driver $driver --cgroup-manager cgroupfs --events-backend file"
    $engine info >"$work/info" 2>&1 && break
done
report=$(cat "$work/info")
$engine info >/dev/null 2>&1
ok "the container engine works" $? "$report"

if ! $engine image exists $base; then
    sources=$(apt-get indextargets --format 'deb $(REPO_URI) $(RELEASE) $(COMPONENT)' 'Created-By: Packages' 'Origin: Debian' | grep ' bookworm' | sort -u)
    [ -n "$sources" ] || skip "this machine has no package sources of Debian 12"
    printf '%s\n' "$sources" | mmdebstrap --variant=minbase --quiet bookworm "$work/base.tar" - 2>"$work/base.log" &&
        $engine import -q "$work/base.tar" $base >/dev/null 2>>"$work/base.log"
    ok "a base is made" $? "$(tail -20 "$work/base.log")"
    rm -f "$work/base.tar"
fi

$engine build -q --isolation chroot --pull=never --layers --format docker --network host -f deploy/Dockerfile -t tiptail . >"$work/build.log" 2>&1
ok "deploy/Dockerfile builds" $? "$(tail -30 "$work/build.log")"
size=$($engine image inspect --format '{{.Size}}' tiptail 2>/dev/null || echo 0)
[ "$size" -gt 1000000 ] && [ "$size" -lt 20000000 ]
ok "the image has less than 20 MB" $? "$size bytes"
echo "# $size bytes"
[ "$($engine image inspect --format '{{.Config.User}}' tiptail)" = 65532:65532 ]
ok "it runs as nobody in particular" $?

# What is in it.
id=$($engine create tiptail)
$engine export "$id" | tar -tvf - >"$work/contents"
$engine rm "$id" >/dev/null
files=$(awk '$1 !~ /^d/' "$work/contents" | sed 's/.*[0-9][0-9]:[0-9][0-9] //; s/ -> .*//')
empty "nothing but the program, libraries and licences" \
    "$(printf '%s\n' "$files" | grep -v -e '^tiptail$' -e '^\(usr/\)\?lib[0-9]*/\([a-z0-9_]*-linux-gnu/\)\?\(lib\|ld-\)[^/]*\.so\.[0-9]*$' -e '^usr/share/doc/[^/]*/copyright$' -e '^\(dev\|etc\|proc\|sys\|run\)/')"
empty "no file that lends its owner's rights" "$(grep -E '^...[sS]|^......[sS]' "$work/contents")"
empty "no shell" "$(printf '%s\n' "$files" | grep -E '(^|/)(ba|da)?sh$|busybox')"
libraries=$(printf '%s\n' "$files" | grep -c '\.so\.')
[ "$libraries" -gt 5 ] && [ "$libraries" -le 20 ]
ok "as many libraries as the program asks for ($libraries)" $?

# It runs, confined as an orchestrator would, and ends in order.
port=$(node -e 'const s = require("net").createServer().listen(0, "127.0.0.1", () => { console.log(s.address().port); s.close(); })')
name=tiptail-test-$$
$engine run -d --name $name --runtime runc --network=host --read-only --cap-drop=ALL --security-opt=no-new-privileges \
    --ulimit nofile=4096:4096 --ulimit nproc=1024:1024 --memory 512m --pids-limit 64 \
    -e TIPTAIL_PORT="$port" -e TIPTAIL_SANDBOX=require tiptail >"$work/run.log" 2>&1
ok "a container starts" $? "$(cat "$work/run.log")"
trap '$engine rm -f $name >/dev/null 2>&1' EXIT
tries=0
until curl -sf -m 2 "http://127.0.0.1:$port/readyz" >/dev/null || [ $tries -ge 50 ]; do
    tries=$((tries + 1))
    sleep 0.1
done
[ $tries -lt 50 ]
ok "it is ready" $? "$($engine logs $name 2>&1 | tail -5)"
echo "# ready after $tries tenths of a second"
$engine healthcheck run $name >"$work/health.log" 2>&1
ok "HEALTHCHECK says that it is well, without a shell" $? "$(cat "$work/health.log")"
answer=$(curl -sS -m 10 -H 'Content-Type: application/json' -d @tests/examples/crane-hook.request.json "http://127.0.0.1:$port/v1/resultant")
finds "it computes" "$answer" '"kind": *"resultant"'
pid=$($engine inspect --format '{{.State.Pid}}' $name)
status=$(cat "/proc/$pid/status")
finds "its user is 65532" "$status" '^Uid:.65532.65532.65532.65532$'
finds "its group is 65532" "$status" '^Gid:.65532.65532.65532.65532$'
for set in CapInh CapPrm CapEff CapBnd CapAmb; do finds "$set is empty" "$status" "^$set:.0*\$"; done
finds "no new privileges" "$status" '^NoNewPrivs:.1$'
finds "its system calls are filtered" "$status" '^Seccomp:.2$'
[ "$(awk '$1 == "Seccomp_filters:" {print $2}' "/proc/$pid/status")" -ge 2 ]
ok "... by the engine's filter and by its own" $?
finds "its root is read-only" "$(awk '$5 == "/" {print $6}' "/proc/$pid/mountinfo")" '^ro\(,\|$\)'
metrics=$(curl -sS -m 10 "http://127.0.0.1:$port/metrics")
finds "Landlock holds within it" "$metrics" 'tiptail_sandbox{layer="landlock"} 1'
$engine stop -t 20 $name >/dev/null 2>&1
code=$($engine inspect --format '{{.State.ExitCode}}' $name)
[ "$code" = 0 ]
ok "it ends with status 0" $? "status $code"
tap_end
