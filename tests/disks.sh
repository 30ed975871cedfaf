#!/usr/bin/env bash
# Disks that fill up or cannot be written, for real: small file systems in memory, mounted where only this
# script sees them. Needs the right to mount in a namespace of its own (root, or user namespaces).
#
#     tests/disks.sh target/debug/pacewright
set -euo pipefail

if [ "${1:-}" != inside ]; then
    exec unshare --map-root-user --mount "$0" inside "$(realpath "${1:?give the program}")"
fi
program=$2
disk=$(mktemp -d)
trap 'umount "$disk" 2>/dev/null || true; rmdir "$disk"' EXIT

# expect WHAT CODE WORDS COMMAND...: the command ends with this code and says these words.
expect() {
    local what=$1 code=$2 words=$3 said status=0
    shift 3
    said=$("$@" 2>&1) || status=$?
    if [ "$status" != "$code" ] || ! grep -qF "$words" <<<"$said"; then
        echo "$what: ended with $status, said: $said" >&2
        exit 1
    fi
    echo "$what: $(grep -F "$words" <<<"$said" | head -n 1)"
}

mount -t tmpfs -o size=64k,mode=700 none "$disk"
expect "a disk that fills up" 2 "No space left on device" "$program" demo --out "$disk/data"
expect "what it holds is read" 1 "0 damaged" bash -c '"$1" check "$2"; exit 1' - "$program" "$disk/data"
head -c 1M /dev/zero >"$disk/full" 2>/dev/null || true
expect "a full disk" 1 "No space left on device" "$program" demo --out "$disk/data"

mount -o remount,ro "$disk"
expect "a disk that cannot be written" 1 "Read-only file system" "$program" demo --out "$disk/data"
expect "a new folder on it" 1 "Read-only file system" "$program" demo --out "$disk/new"
