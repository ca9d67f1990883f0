#!/bin/sh
# Installs what is missing of deploy/packages.txt, and the packages of tests/npm and
# tests/deploy/npm into build/.
# Usage: sh deploy/setup.sh [PURPOSE...]    (default: build test)
set -eu
cd "$(dirname "$0")/.."
[ $# -gt 0 ] || set -- build test

missing=
while read -r package purpose command; do
    case $package in '' | '#'*) continue ;; esac
    wanted=no
    for p in "$@"; do [ "$p" = "$purpose" ] && wanted=yes; done
    [ $wanted = yes ] || continue
    if [ -n "$command" ] && command -v "$command" >/dev/null; then continue; fi
    case $(dpkg-query -W -f '${Status}' "$package" 2>/dev/null) in
    *' installed') ;;
    *) missing="$missing $package" ;;
    esac
done <deploy/packages.txt

if [ -n "$missing" ]; then
    if [ "$(id -u)" = 0 ]; then
        as_root=
    elif command -v sudo >/dev/null && sudo -n true 2>/dev/null; then
        as_root='sudo -n'
    else
        echo "These packages are missing, and installing them needs root. Run:" >&2
        echo "  sudo apt-get install$missing" >&2
        exit 1
    fi
    echo "installing:$missing"
    install() {
        $as_root env DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends $missing
    }
    install || { $as_root env DEBIAN_FRONTEND=noninteractive apt-get update -q && install; }
fi

# The packages of a folder's lock file into a folder of build/.
node_packages() {
    cmp -s "$1/package-lock.json" "$2/installed" && return
    mkdir -p "$2"
    cp "$1/package.json" "$1/package-lock.json" "$2/"
    npm ci --prefix "$2" --no-audit --no-fund --loglevel=error
    cp "$1/package-lock.json" "$2/installed"
}
for p in "$@"; do
    case $p in
    test) node_packages tests/npm build/npm ;;
    deploy) node_packages tests/deploy/npm build/npm-deploy ;;
    esac
done
