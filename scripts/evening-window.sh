#!/usr/bin/env bash
# A short game by real key presses, on a display of its own: kickoff, three plays with penalties, the desk handed over, a
# camera out, overtime, the end, and the game reopened. Compares what the log shows then with what it should be, and leaves
# pictures.
#
#   scripts/evening-window.sh FOLDER      pictures into FOLDER
#   PROGRAM=target/debug/tellframe scripts/evening-window.sh FOLDER
#
# Needs Debian's xvfb, xdotool, imagemagick and the libraries that README.md names.
set -euo pipefail
cd "$(dirname "$0")/.."
[ -n "${1:-}" ] || { echo "say into which folder the pictures go: scripts/evening-window.sh FOLDER" >&2; exit 2; }
. scripts/on-display.sh

open_window
for text in W05-MO-HK 5 "Harbour Kites, Kites" "Millrace Otters, Otters" "the Turbine Shed" "near side, high end, low wall" \
    "replay official: booth-07, referee: referee-03" ""; do
    [ -z "$text" ] || xdotool type --delay 30 "$text"
    key Tab
done
key Return 1 2 3 4 5 Return
# The opening kick stands in the line.
key e Return
key k; line "x40 14:50"
key d; line "x16 14:20"
# A false start: before the snap, no play was run, accepted.
key p; line "false start"; key 1 Return Return 1; picture false-start; key Return
# Holding on a run, at the spot of the foul, accepted.
key p; line "holding"; key 1 1; line "x13"; key Return d; line "x30 13:50"; picture holding; key 1 Return
# A face mask on a touchdown, enforced on the try.
key p; line "face mask"; key 2 1 Return t; line "13:20"; picture face-mask; key 1 1 Return
key g; line ""
# The end of regulation, level.
key e ctrl+a; line "p4 0:05 1&10 k20 ball Kites east 7-7"
key d; line "x24 0:00"
key F4 w; line "booth-11"
key 2; line "no signal"; picture at-the-desk; key Escape
key shift+n; picture level; key Escape
key n 1 ctrl+Return; picture overtime
key g; line ""
key v; line "x30"
key shift+n; picture end; key ctrl+Return
key F3; picture games; key Return; line "a protest"; picture reopened

"$program" --data "$data" log verify
found="$("$program" --data "$data" log show W05-MO-HK | sed -n 's/^ *[0-9]*  20[^ ]*  //p' | tail -n +7)"
expected="set: period 1, 15:00, home ball, free kick at 0; 0 : 0, timeouts 3 : 3
kicked, the play over at 40 at 14:50: period 1, 14:50, visitors ball, down 1 and 10 at 10; 0 : 0, timeouts 3 : 3
down at 16 at 14:20: period 1, 14:20, visitors ball, down 2 and 4 at 16; 0 : 0, timeouts 3 : 3
no play at 14:20; false start, before the snap on the offense; false start is accepted: period 1, 14:20, visitors ball, down 2 and 9 at 11; 0 : 0, timeouts 3 : 3
down at 30 at 13:50; holding, while the ball was live on the offense, spot 13; holding is accepted: period 1, 13:50, visitors ball, down 2 and 13.5 at 6.5; 0 : 0, timeouts 3 : 3
touchdown at 13:20; face mask, while the ball was live on the defense; face mask is accepted; enforced on the try: period 1, 13:20, visitors ball, try at 49; 0 : 6, timeouts 3 : 3
try kicked at 13:20: period 1, 13:20, visitors ball, free kick at 0; 0 : 7, timeouts 3 : 3
corrected: period 4, 0:05, home ball, down 1 and 10 at 20; 7 : 7, timeouts 3 : 3
down at 24 at 0:00: period 4, 0:00, home ball, down 2 and 6 at 24; 7 : 7, timeouts 3 : 3
booth-07 handed the desk over to booth-11
camera high end is out, because: no signal
the period begins: period 5, 15:00, home ball, down 1 and 10 at 25; 7 : 7, timeouts 1 : 1
field goal good at 15:00: period 5, 15:00, visitors ball, down 1 and 10 at 25; 10 : 7, timeouts 1 : 1
turnover, the play over at 30 at 15:00: period 5, 15:00, home ball, down 1 and 10 at 25; 10 : 7, timeouts 1 : 1
closed
reopened, because: a protest"
diff <(echo "$expected") <(echo "$found") && echo "the log is the evening's"
