#!/usr/bin/env bash
# Plays one whole challenge in the window by real key presses, on a display of its own, and compares what the log
# says then with what the same challenge comes to from its script. Leaves the pictures that the README shows.
#
#   scripts/window.sh [FOLDER]       pictures into FOLDER; left out: docs/pictures
#   SIZE=1280x720 LIGHT_RON=Light TEXT=115 scripts/window.sh FOLDER
#   FOOTAGE=1 scripts/window.sh      the demo's clips are filmed first, so that they stand in the pictures; then a
#                                    camera is calibrated and a toe measured by real clicks (scripts/place-clicks.py)
#   PART=place FOOTAGE=1 scripts/window.sh FOLDER   the clicks alone
#
# Needs Debian's xvfb, xdotool, imagemagick and the libraries that README.md names; the clicks a PYTHON with OpenCV and
# NumPy.
set -euo pipefail
cd "$(dirname "$0")/.."
. scripts/on-display.sh

cat >"$data/settings.ron" <<RON
(light: ${LIGHT_RON:-Dark}, text_percent: ${TEXT:-100})
RON
# Opens the window on the demo's challenge about a play, and waits until it can be typed in.
open_challenge() {
    if [ -n "${FOOTAGE:-}" ]; then
        "$program" --data "$data" demo --footage-only --play "$1" >/dev/null
    fi
    open_window demo --play "$1"
}
close_window() {
    kill "$desk"; wait "$desk" 2>/dev/null || true
    desk=
}
# To a frame of the camera in hand, by keys: the first, then by tens and by ones.
frame() {
    key Home
    for _ in $(seq $(($1 / 10))); do xdotool key --clearmodifiers shift+Right; sleep 0.06; done
    for _ in $(seq $(($1 % 10))); do xdotool key --clearmodifiers Right; sleep 0.06; done
    sleep 2
}
# Looks, marks, answers: camera, what is typed (the timecode, where there is no film), answer, frame of the film, and
# what is typed beside the frame.
step() {
    if [ -n "${FOOTAGE:-}" ]; then
        key "$1"; frame "$4"
        if [ -n "${5:-}" ]; then key shift+m; line "$5"; else key m; fi
        sleep 2; key "$3"
    else
        key "$1" l shift+m; line "$2"; key "$3"
    fi
}

click() { xdotool mousemove "$1" "$2"; sleep 0.2; xdotool click 1; sleep 0.5; }

# A whole challenge by keys.
whole() {
open_challenge catch-beyond-wall
picture challenge
key ctrl+a; line "o11.5 4:37.4"
if [ -n "${FOOTAGE:-}" ]; then
    # The clips are there: to the second in which he leaves the field, and on by frames.
    sleep 6; key ctrl+Right ctrl+Right Right Right; sleep 2
    picture pictures
fi
step a 411704 y 274
step a 411719 y 289
picture walk-open
step c "411800 c4:37" y 330 c4:37
step c 411817 y 347
step b "411719 o5" 2 289 o5
picture walk-settled
key Return
picture ruling
key ctrl+Return k shift+a Return
picture between-plays
key F3
picture log-of-the-game
key F1
picture keys
key Escape
close_window

"$program" --data "$data" log verify demo
found="$("$program" --data "$data" log export demo | tail -1)"
expected="$("$program" --data "$data/by-script" demo --no-window --play catch-beyond-wall --json)"
python3 - "$found" "$expected" <<'PYTHON'
import json, sys
found, expected = json.loads(sys.argv[1]), json.loads(sys.argv[2])["reviews"][0]["ruling"]
for name, was, should in [
    ("outcome", found["outcome"], expected["outcomes"][0]),
    ("finding", found["finding"], expected["findings"][0]),
    ("after", found["after"], expected["after"]),
    ("won", found["won"], expected["won"]),
]:
    if was != should:
        sys.exit(f"{name}: the window came to {was}, the script to {should}")
print("the window's ruling is the script's")
PYTHON
}

# A camera calibrated by eight clicks, and a toe measured by one more: what the log has then, beside the truth. Keys are
# given the time that a slow machine needs, so the limit may be reached, and the answer that is taken then asks for a reason.
place() {
    local truth="$data/demo/footage/inside-line/truth.json" screen="$pictures/place-screen.png"
    clicks() { "${PYTHON:-python3}" scripts/place-clicks.py "$1" "$truth" "near side" "$screen" "${@:2}"; }
    open_challenge inside-line
    key ctrl+a; line "o18 12:09.8"
    sleep 6; key a; frame 72
    key m; sleep 4; key i; sleep 2
    import -window root "$screen"
    eval "$(clicks landmarks 8)"
    picture place-calibrated
    key Return; sleep 2; key s; sleep 2
    eval "$(clicks toe 72 31 O52)"
    picture place-measured
    key Return; sleep 4
    picture place-offered
    key t; sleep 3
    picture place-answered
    close_window
    rm "$screen"
    "$program" --data "$data" log verify demo
    local review
    review="$("$program" --data "$data" log show demo | grep -o '^r-[0-9a-f]*' | tail -1)"
    "$program" --data "$data" log show demo "$review" --html "$pictures/place.html" --force >/dev/null
    "$program" --data "$data" log show demo "$review" | grep "placed .toes" ||
        { echo "no point was placed" >&2; exit 1; }
}

case "${PART:-all}" in
all) whole; [ -z "${FOOTAGE:-}" ] || place ;;
whole | place) "$PART" ;;
*) echo "PART is whole or place" >&2; exit 2 ;;
esac
