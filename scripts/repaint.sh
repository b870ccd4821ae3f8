#!/usr/bin/env bash
# Walks both windows by real key presses, on a display of its own, and compares each screen as it was repainted with the
# same screen drawn anew (the theme is switched twice). Exits with 1 if any pixel differs.
#
#   scripts/repaint.sh FOLDER        pictures into FOLDER
#   SIZE=1280x720 TEXT=115 PROGRAM=target/debug/tellframe scripts/repaint.sh FOLDER
#
# Screens on which a clock runs are left to the tests (`src/desk/booth/tests/repainted.rs`). Needs Debian's xvfb, xdotool,
# imagemagick and the libraries that README.md names.
set -euo pipefail
cd "$(dirname "$0")/.."
[ -n "${1:-}" ] || { echo "say into which folder the pictures go: scripts/repaint.sh FOLDER" >&2; exit 2; }
. scripts/on-display.sh

compared=0
wrong=0
# The screen is drawn anew at several moments, because a caret blinks.
same() {
    local differ moment
    picture "$1"
    for moment in 0 1 2 3 4 5 6; do
        key F8 F8
        sleep "0.$moment"
        picture anew
        differ="$(compare -metric AE "$pictures/$1.png" "$pictures/anew.png" null: 2>&1 | cut -d' ' -f1 || true)"
        [ "$differ" = 0 ] && break
    done
    compared=$((compared + 1))
    [ "$differ" = 0 ] && return
    wrong=$((wrong + 1))
    cp "$pictures/anew.png" "$pictures/$1-anew.png"
    echo "$1: $differ pixels differ from the screen drawn anew" >&2
}
close_window() {
    kill "$desk"; wait "$desk" 2>/dev/null || true
    desk=
}

# A game from its empty card to its log.
booth() {
    open_window
    for text in W01-QL-HK 1 "Harbour Kites, Kites" "Quarry Lanterns" "" "near side, low wall" ""; do
        [ -z "$text" ] || xdotool type --delay 30 "$text"
        key Tab
    done
    same card
    key Return; same checklist
    key 1 Return; same open-items
    key Return; same between-plays
    key e; line "p1 12:00 1&10 k20 ball Kites east"; same first-situation
    key d; line "k24 11:35"; same play
    key d; same typing
    line "no spot"; same refused-line
    key Escape n; same refused
    key BackSpace; same taken-back
    key n c; same challenge
    key Escape; same left
    key F3; same log-of-the-game
    key F7; same larger-text
    close_window
}

# Every tab of the supervisor's week.
week() {
    "$program" --data "$data" demo --no-window >/dev/null 2>&1
    open_window week season
    # The season is read meanwhile.
    sleep "${READING:-4}"
    for tab in 1 2 3 4 5 6 7; do
        key "$tab" Down; same "week-$tab"
    done
    close_window
}

cat >"$data/settings.ron" <<RON
(light: Dark, text_percent: ${TEXT:-100})
RON
booth
week
rm -f "$pictures/anew.png"
if [ "$wrong" -gt 0 ]; then
    echo "$wrong of $compared screens were repainted wrongly" >&2
    exit 1
fi
echo "all $compared screens are what they are when drawn anew"
