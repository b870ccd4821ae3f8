#!/usr/bin/env bash
# Walks the supervisor's window over the demo's season by real key presses, on a display of its own; grades a record,
# decides on a precedent, writes the page, and asks the log whether all of it is there. Leaves the picture that the
# README shows.
#
#   scripts/week-window.sh [FOLDER]  pictures into FOLDER; left out: docs/pictures
#   SIZE=1280x720 scripts/week-window.sh FOLDER
#
# Needs Debian's xvfb, xdotool, imagemagick and the libraries that README.md names.
set -euo pipefail
cd "$(dirname "$0")/.."
pictures="$(realpath -m "${1:-docs/pictures}")"
size="${SIZE:-1440x900}"
program="${PROGRAM:-target/release/tellframe}"
[ -x "$program" ] || cargo build --release
mkdir -p "$pictures"
data="$(mktemp -d)"
number="$(mktemp)"
ended() {
    [ -z "${desk:-}" ] || kill "$desk" 2>/dev/null || true
    [ -z "${screen:-}" ] || kill "$screen" 2>/dev/null || true
    rm -rf "$data" "$number"
}
trap ended EXIT

"$program" --data "$data" demo --no-window >/dev/null 2>&1
Xvfb -displayfd 3 -screen 0 "${size}x24" -noreset -nolisten tcp 3>"$number" 2>/dev/null &
screen=$!
for _ in $(seq 100); do [ -s "$number" ] && break; sleep 0.1; done
export DISPLAY=":$(cat "$number")"
"$program" --data "$data" week season &
desk=$!
window=""
for _ in $(seq 200); do
    window="$(xdotool search --name 'tellframe' 2>/dev/null | tail -1 || true)"
    [ -n "$window" ] && break
    sleep 0.1
done
xdotool windowsize "$window" "${size%x*}" "${size#*x}" windowmove "$window" 0 0
for _ in $(seq 50); do xdotool windowfocus "$window" 2>/dev/null && break; sleep 0.2; done
# The season is read meanwhile.
sleep "${READING:-6}"

key() { for chord in "$@"; do xdotool key --clearmodifiers "$chord"; sleep 0.4; done; }
line() { xdotool type --delay 30 "$1"; sleep 0.4; key Return; }
picture() { sleep 0.6; import -window root "$pictures/$1.png"; }

key 1
picture week-pairs
key 2 Down
picture week-time
key 3
picture week-wording
key 4 u Down m i
line "the far corner shows the hand"
picture week-grades
key 6 shift+a
line "7-12: it can happen again"
picture week-precedents
key Right F9
sleep 3
asked() {
    grep -q "$2" <<<"$1" || { echo "missing in the log or on the page: $2" >&2; exit 1; }
}
grades="$("$program" --data "$data" log grades "$data/demo/season/log.sqlite")"
asked "$grades" "call: incorrect call, by supervisor: the far corner shows the hand"
asked "$grades" "call: missed call, by supervisor  (superseded)"
asked "$("$program" --data "$data" precedent list "$data/demo/season/log.sqlite")" "approved weeks 7 to 12"
asked "$(cat "$data/week-1.html")" "<h1>Week 1</h1>"
"$program" --data "$data" log verify "$data/demo/season/log.sqlite"
echo "graded, decided and written by keys; all of it is in the log"
