#!/usr/bin/env bash
# How many pictures a second the window really shows of six 1080p59.94 cameras at full speed: the screen is filmed at
# 60 pictures a second, and the changes within each picture of the window are counted.
#
#   scripts/screen-rate.sh [FOLDER]     PROGRAM as in the other scripts; a picture of the window into FOLDER
#
# What runs is the demo's film of one play, enlarged to 1080p with two B-frames in groups of 60. Filming the screen takes
# a part of the cores itself, so the figures are lower bounds. Needs Debian's ffmpeg, xvfb, xdotool, imagemagick and
# python3.
set -euo pipefail
cd "$(dirname "$0")/.."
# The places of the pictures below are those of a window of this size.
SIZE=1440x900
. scripts/on-display.sh

play=catch-beyond-wall
"$program" --data "$data" demo --footage-only --play "$play" >/dev/null
for clip in "$data/demo/footage/$play"/*.mp4; do
    timecode="$(ffprobe -v error -show_entries stream_tags=timecode -of csv=p=0 "$clip" | head -1)"
    ffmpeg -hide_banner -loglevel error -nostdin -y -i "$clip" -map 0:v -map '0:a?' -vf scale=1920:1080 \
        -c:v libx264 -preset veryfast -crf 24 -bf 2 -g 60 -c:a copy -timecode "$timecode" "$data/large.mp4"
    mv "$data/large.mp4" "$clip"
done
open_window demo --play "$play"
key ctrl+a; line "o11.5 4:37.4"
# The small copies are made first.
sleep "${WAIT:-30}"
key Home
sleep 2
key p
sleep 0.3
ffmpeg -hide_banner -loglevel error -nostdin -f x11grab -draw_mouse 0 -framerate 60 -video_size "$size" \
    -i "$DISPLAY" -t 5 -f rawvideo -pix_fmt bgr0 - | python3 -c '
import sys

WIDE, HIGH = 1440, 900
# Left, top, right, bottom, well within each picture.
PLACES = {"large": (700, 160, 1300, 480), "small 1": (625, 575, 755, 625), "small 2": (783, 575, 913, 625),
          "small 3": (941, 575, 1071, 625), "small 4, a clock in tenths": (1099, 575, 1229, 625),
          "small 5": (1257, 575, 1387, 625)}
size, taken, last, changes = WIDE * HIGH * 4, 0, {}, dict.fromkeys(PLACES, 0)
while len(screen := sys.stdin.buffer.read(size)) == size:
    taken += 1
    for name, (left, top, right, bottom) in PLACES.items():
        rows = [screen[(y * WIDE + left) * 4 : (y * WIDE + right) * 4] for y in range(top, bottom, 5)]
        if last.get(name) != rows:
            last[name], changes[name] = rows, changes[name] + 1
for name, count in changes.items():
    print(f"{name}: {count * 60 / taken:.0f} pictures a second")
'
picture screen-rate
