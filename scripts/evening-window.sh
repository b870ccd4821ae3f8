#!/usr/bin/env bash
# A short game on film by real keys and clicks, on a display of its own: kickoff, penalties, six reviews of six questions with
# marks on frames of the film, the desk handed over, a camera out, overtime, the end, and the game reopened. Compares what
# the log shows then with what it should be, says how many keys each review took from `C` to its signature, and leaves pictures.
#
#   scripts/evening-window.sh FOLDER      pictures into FOLDER
#   FILMS=FOLDER scripts/evening-window.sh FOLDER      keeps the films there, or takes them from there
#   PROGRAM=target/debug/tellframe PACE=2 scripts/evening-window.sh FOLDER      waits twice as long for pictures
#
# Needs Debian's xvfb, xdotool, imagemagick and the libraries that README.md names; the clicks a PYTHON with OpenCV and
# NumPy.
set -euo pipefail
cd "$(dirname "$0")/.."
[ -n "${1:-}" ] || { echo "say into which folder the pictures go: scripts/evening-window.sh FOLDER" >&2; exit 2; }
. scripts/on-display.sh

films="${FILMS:-$data/films}"
recorder="$data/recorder"
mkdir -p "$films" "$recorder"
film() {
    local camera
    for camera in "${@:2}"; do
        "$program" --data "$films" demo --footage-only --play "$1" --camera "$camera" >/dev/null 2>&1
    done
}
film three-down "near side"
film catch-beyond-wall "near side" "high end" "low wall"
film down-or-fumble "near side"
film pass-interference "near side"
film inside-line "near side"

rest() { sleep "$(echo "$1 * ${PACE:-1}" | bc)"; }
# The cameras' recorder writes the clips of a play, under names of their own.
records() {
    local clip
    for clip in "$films/demo/footage/$1"/*.mp4; do cp "$clip" "$recorder/$presses-$1-$(basename "$clip")"; done
    at=0
    rest 5
}
# On to a frame, or back: by seconds, which are 59 frames from one frame to another, by tens and by ones.
frame() {
    local far=$(($1 - at)) way=Right
    [ "$far" -ge 0 ] || { far=$((-far)); way=Left; }
    steps() { for _ in $(seq "$1"); do xdotool key --clearmodifiers "$2"; presses=$((presses + 1)); sleep 0.08; done; }
    [ "$way" = Left ] || { steps $((far / 59)) "ctrl+Right"; far=$((far % 59)); }
    steps $((far / 10)) "shift+$way"
    steps $((far % 10)) "$way"
    at=$1
    rest 1.5
}
mark() { if [ -n "${1:-}" ]; then key shift+m; line "$1"; else key m; fi; rest 1.5; }
# The review is signed: what it took, and on with the game.
table=""
signed() {
    picture "$1-ruling"
    key ctrl+Return
    table="$table$(printf '%-36s %4s keys %3s clicks' "$1" "$((presses - from))" "$((clicks - from_clicks))")\n"
    key k shift+a Return
    on "between plays"
}
# Begins a review: who asks, the question's words, the digit of the call; the call is read back as it was entered.
challenge() {
    from=$presses from_clicks=$clicks
    on "between plays"
    key c "$1"; on challenge; line "$2"; key "$3" ctrl+Return
}

open_window
for text in W05-MO-HK 5 "Harbour Kites, Kites" "Millrace Otters, Otters" "the Turbine Shed" "near side, high end, low wall" \
    "replay official: booth-07, referee: referee-03" ""; do
    [ -z "$text" ] || xdotool type --delay 30 "$text"
    key Tab
done
key Return 1 2 3 4 5 Return; on "between plays"
# The opening kick stands in the line.
key e Return
key k; line "x40 14:50"
# A false start: before the snap, no play was run, accepted.
key p; on penalties; line "false start"; key 1 Return Return 1; picture false-start; key Return; on "between plays"

# Linemen that were not down, entered with the play; the visitors challenge it.
key e; rest 1; key ctrl+a; line "p1 6:36 2&8 k24 ball Kites east 0-7"
key p; on penalties; line "linemen"; key 1 Return i; line "6:28"; key 1; picture penalty-linemen; key Return; on "between plays"
challenge 2 "three" 1; picture three-down-read-back; key Return; on review
key o; line "$recorder"; records three-down
key a; frame 96; mark; picture three-down-walk; key y
key l y
key Return; on ruling; signed three-down

# A catch beyond the wall, ruled incomplete. The desk is handed over while the call is read back.
key e; rest 1; key ctrl+a; line "p2 4:42 4&1.5 o11.5 ball Kites east 14-14"
records catch-beyond-wall
key i; line "4:37"
challenge 1 "beyond wall" 2
key F4 w; line "booth-11"; key Escape; picture catch-read-back; key Return; on review
key a; frame 274; mark; key y
frame 289; mark; key y
key c; frame 330; mark "c4:37"; picture catch-walk; key y
frame 347; mark; key y
key b; frame 289; mark o5; key 2
picture catch-settled
key Return; on ruling; signed catch-beyond-wall

# A fumble that the defense recovered, a turnover: the booth's. Once he was not down first, nothing could change it.
key e; rest 1; key ctrl+a; line "p3 8:33 2&4 o4 ball Kites east 14-14"
records down-or-fumble
key v; line "o1 8:28"
challenge 3 "fumble" 2; key Return; on review
key a; frame 214; mark; key y
frame 183; mark; key y
frame 216; mark; key n
picture fumble-walk
key Return; on ruling; signed down-or-fumble

# Interference on an incomplete pass, accepted; the visitors challenge it.
key e; rest 1; key ctrl+a; line "p3 1:36 1&10 k20 ball Kites east 14-14"
records pass-interference
key p; on penalties; line "pass interference"; key 1; line "o22"; key Return i; line "1:29"; key 1; picture penalty-interference; key Return; on "between plays"
challenge 2 "interference" 1; key Return; on review
key a; frame 187; mark; frame 251; mark; key y
frame 254; mark; key y
key p; rest 2; key n p; rest 2; key y p; rest 2; key n
picture interference-walk
key Return; on ruling; signed pass-interference

# A defender inside the alignment line, by the mouse as far as it goes. The toes are not clear: it stands.
key e; rest 1; key ctrl+a; line "p4 12:14 4&1 o19 ball Kites east 14-14"
records inside-line
key p; on penalties; line "inside the alignment"; key 1 Return d; line "o18.5 12:10"; key 1 Return; on "between plays"
from=$presses from_clicks=$clicks
click_on challenge; click_on "Otters coach"; click_on "Defender inside the alignment line"; click_on "Ask the gate"
click_on "It is read back"; on review
key a; frame 72; mark
picture inside-line-walk
click_on unclear; click_on Rule; picture inside-line-ruling; click_on "Sign the ruling"
table="$table$(printf '%-36s %4s keys %3s clicks' "inside-line, by the mouse" "$((presses - from))" "$((clicks - from_clicks))")\n"
key k shift+a Return; on "between plays"

# The end of regulation, level; a camera is out and back.
key e; rest 1; key ctrl+a; line "p4 0:05 1&10 k20 ball Kites east 17-17"
key d; line "k24 0:00"
key F4 2; line "no signal"; picture at-the-desk; key 2 Escape
key shift+n; picture level; key Escape
key n 1 ctrl+Return; picture overtime
# A touchdown that was short: the booth's, in overtime.
records down-or-fumble
key d; line "o4"
key t; line ""
challenge 3 "4.23" 3; key Return; on review
key a; frame 212; mark; key n
frame 216; mark c15:00; mark o1; key n
picture goal-line-walk
key Return; on ruling; signed line-reached
key g; line ""
key v; line "x30"
key shift+n; picture end; key ctrl+Return
key F3; picture games; key Return; line "a protest"; picture reopened

"$program" --data "$data" log verify
printf "$table"
found="$("$program" --data "$data" log show W05-MO-HK | sed -n 's/^ *[0-9]*  20[^ ]*  //p' | tail -n +7 | sed 's/ r-[0-9a-f]*//')"
expected="$(cat scripts/evening-window.txt)"
diff <(echo "$expected") <(echo "$found") && echo "the log is the evening's"
