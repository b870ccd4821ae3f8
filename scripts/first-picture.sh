#!/usr/bin/env bash
# How long the desk needs from its start to its first picture, beside a window of the same toolkit with nothing in it, in
# the same run, each several times in turn. Prints the medians in milliseconds.
#
# Needs Debian's xvfb and x11-apps, and `cargo build --release --example empty_window` before.
set -euo pipefail
cd "$(dirname "$0")/.."
runs="${1:-7}"
data="$(mktemp -d)"
number="$(mktemp)"
trap 'kill "$screen" 2>/dev/null || true; rm -rf "$data" "$number"' EXIT
Xvfb -displayfd 3 -screen 0 1440x900x24 -nolisten tcp 3>"$number" 2>/dev/null &
screen=$!
for _ in $(seq 100); do [ -s "$number" ] && break; sleep 0.1; done
export DISPLAY=":$(cat "$number")"
# One client stays, so that the server does not start anew between two windows.
xev -root >/dev/null & keeper=$!
sleep 1

look() { xwd -root -silent | md5sum; }
first() { # milliseconds until the screen changes
    local black began desk
    black="$(look)"
    began="$(date +%s%3N)"
    "$@" >/dev/null 2>&1 & desk=$!
    until [ "$(look)" != "$black" ]; do :; done
    echo $(($(date +%s%3N) - began))
    kill "$desk"; wait "$desk" 2>/dev/null || true
    sleep 0.5
}
median() { sort -n | awk '{ all[NR] = $1 } END { print all[int((NR + 1) / 2)] }'; }

: >"$data/desk"; : >"$data/empty"
for _ in $(seq "$runs"); do
    first target/release/examples/empty_window >>"$data/empty"
    first target/release/tellframe --data "$data/own" >>"$data/desk"
done
kill "$keeper"
echo "empty window: $(median <"$data/empty") ms, the desk: $(median <"$data/desk") ms (medians of $runs)"
