# Read by the scripts that drive the window: a display of its own, a data folder of its own, keys, clicks, pictures. FOLDER
# for pictures is the first argument; SIZE, PROGRAM as those scripts say.
pictures="$(realpath -m "${1:-docs/pictures}")"
size="${SIZE:-1440x900}"
program="${PROGRAM:-target/release/tellframe}"
[ -x "$program" ] || cargo build --release
mkdir -p "$pictures"
data="$(mktemp -d)"
number="$(mktemp)"
# How many keys were pressed, and buttons clicked.
presses=0
clicks=0
ended() {
    [ -z "${desk:-}" ] || kill "$desk" 2>/dev/null || true
    [ -z "${screen:-}" ] || kill "$screen" 2>/dev/null || true
    rm -rf "$data" "$number"
}
trap ended EXIT

# The display chooses its own free number, and stays although its only client goes.
Xvfb -displayfd 3 -screen 0 "${size}x24" -noreset -nolisten tcp 3>"$number" 2>/dev/null &
screen=$!
for _ in $(seq 100); do [ -s "$number" ] && break; sleep 0.1; done
export DISPLAY=":$(cat "$number")"

# Opens the program's window with these arguments, at its size, with the focus.
open_window() {
    "$program" --data "$data" "$@" >/dev/null 2>&1 &
    desk=$!
    window=""
    for _ in $(seq 200); do
        window="$(xdotool search --name 'tellframe' 2>/dev/null | tail -1 || true)"
        [ -n "$window" ] && break
        sleep 0.1
    done
    xdotool windowsize "$window" "${size%x*}" "${size#*x}" windowmove "$window" 0 0
    # A window can take the focus once it is shown.
    for _ in $(seq 50); do xdotool windowfocus "$window" 2>/dev/null && break; sleep 0.2; done
    sleep 2
}

key() { for chord in "$@"; do xdotool key --clearmodifiers "$chord"; presses=$((presses + 1)); sleep 0.35; done; }
line() { xdotool type --delay 30 "$1"; presses=$((presses + ${#1})); sleep 0.35; key Return; }
picture() { sleep 0.5; import -window root "$pictures/$1.png"; }

# Waits until this screen is open, by the title of the window.
on() {
    for _ in $(seq 40); do
        [ "$(xdotool getwindowname "$window")" != "$1 · tellframe" ] || return 0
        sleep 0.25
    done
    echo "not on the screen \`$1\` but on \`$(xdotool getwindowname "$window")\`" >&2
    import -window root "$pictures/lost.png"
    exit 1
}

# Clicks these words where they stand in the window; SIZE_OF the type in pixels, 18 unless told.
click_on() {
    local place="" try
    for try in 1 2 3 4 5 6; do
        import -window root "$data/screen.png"
        place="$("${PYTHON:-python3}" scripts/find-words.py "$data/screen.png" "$1" "${2:-18}")" && break
        sleep 1
    done
    [ -n "$place" ] || exit 1
    xdotool mousemove $place; sleep 0.2; xdotool click 1; clicks=$((clicks + 1)); sleep 0.6
}
