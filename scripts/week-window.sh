#!/usr/bin/env bash
# Walks the supervisor's window over the demo's season by real key presses, on a display of its own; grades a record,
# decides on a precedent, judges the season under its later edition and under a book with a fault, writes the page, and
# asks the log whether all that was done is there. Leaves the picture that the README shows.
#
#   scripts/week-window.sh [FOLDER]  pictures into FOLDER; left out: docs/pictures
#   SIZE=1280x720 scripts/week-window.sh FOLDER
#
# Needs Debian's xvfb, xdotool, imagemagick and the libraries that README.md names.
set -euo pipefail
cd "$(dirname "$0")/.."
. scripts/on-display.sh

"$program" --data "$data" demo --no-window >/dev/null 2>&1
open_window week season
# The season is read meanwhile.
sleep "${READING:-4}"

key 1
picture week-pairs
key 2 Down
picture week-time
key 3
picture week-wording
key 4 u Down m ctrl+Return i
line "the far corner shows the hand"
key k
picture week-whose-call
line 2
key h
picture week-grades
key 6 shift+a
line "7-12: it can happen again"
picture week-precedents
key 7 Down Return
sleep "${JUDGING:-2}"
key Down
picture week-edition
key b
line docs/examples/broken-book
sleep 1
picture week-edition-fault
key Right F9
sleep 3
asked() {
    grep -q "$2" <<<"$1" || { echo "missing in the log or on the page: $2" >&2; exit 1; }
}
grades="$("$program" --data "$data" log grades "$data/demo/season/log.sqlite")"
asked "$grades" "call: incorrect call, by supervisor: the far corner shows the hand"
asked "$grades" "call: missed call, by supervisor (superseded)"
asked "$("$program" --data "$data" precedent list "$data/demo/season/log.sqlite")" "approved weeks 7 to 12"
asked "$grades" "position: line judge, by supervisor"
asked "$(cat "$data/week-1.html")" "<h1>Week 1</h1>"
"$program" --data "$data" log verify "$data/demo/season/log.sqlite"
echo "graded, decided and written by keys; all of it is in the log"
