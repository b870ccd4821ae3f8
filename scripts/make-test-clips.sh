#!/usr/bin/env bash
# Makes the small clips under tests/clips from synthetic sources, and beside each the list of its pictures with
# their SHA-256 as FFmpeg decodes them from the first to the last: what the tests compare with. Run once, by hand;
# what it made is kept, because encoders differ between versions. Made with FFmpeg 5.1.9 (Debian 12).
set -euo pipefail
cd "$(dirname "$0")/.."
out=tests/clips
mkdir -p "$out"
work="$(mktemp -d)"
trap 'rm -rf "$work"' EXIT

ff() { ffmpeg -hide_banner -loglevel error -nostdin -y "$@"; }
# A moving picture of so many frames at a rate: source RATE FRAMES [SIZE]
source_of() { printf 'testsrc2=s=%s:r=%s,trim=end_frame=%s,noise=alls=6:allf=t:all_seed=7,format=yuv420p' "${3:-96x64}" "$1" "$2"; }
x264() { # NAME RATE FRAMES SIZE, then encoder options; bf 0 unless they say otherwise
    local name=$1 rate=$2 frames=$3 size=$4
    shift 4
    ff -f lavfi -i "$(source_of "$rate" "$frames" "$size")" -c:v libx264 -crf 32 -threads 1 -bf 0 "$@" \
        -bitexact -flags:v +bitexact "$out/$name"
}

n=30000/1001 f=60000/1001
x264 baseline.mp4 $n 36 96x64 -profile:v baseline -g 12
x264 main.mp4 25 30 96x54 -profile:v main -g 10
x264 slices.mp4 50 30 96x64 -profile:v high -g 15 -x264-params slices=3:weightp=2
x264 high.mp4 $f 36 96x64 -profile:v high -g 12
x264 high-b.mp4 $f 36 96x64 -profile:v high -g 12 -bf 2
x264 fifty-b.mp4 50 30 96x64 -profile:v main -g 15 -bf 3
x264 open-group.mp4 25 40 96x64 -profile:v high -g 10 -bf 3 -x264-params open-gop=1:scenecut=0
x264 long-group.mp4 $f 90 64x48 -profile:v high -g 600 -keyint_min 600
x264 long-group-b.mp4 $f 90 64x48 -profile:v high -g 600 -bf 3 -x264-params b-pyramid=normal
x264 intra-refresh.mp4 25 40 96x64 -profile:v main -g 10 -x264-params intra-refresh=1
x264 all-intra.mp4 $f 20 64x48 -profile:v high -g 1
x264 fragmented.mp4 $n 36 96x64 -profile:v high -g 12 -movflags frag_keyframe+empty_moov+default_base_moof
x264 fragmented-b.mp4 $n 36 96x64 -profile:v high -g 12 -bf 2 -movflags frag_keyframe+empty_moov
x264 interlaced.mp4 25 25 96x64 -profile:v high -g 12 -bf 2 -flags:v +ildct+ilme -x264-params tff=1
x264 timecode.mp4 $n 20 64x48 -profile:v baseline -g 10 -timecode '00:41:17;22'
x264 b-in.ts $f 36 96x64 -profile:v high -g 12 -bf 2
x264 high.mkv $f 36 96x64 -profile:v high -g 12
x264 high-b.mkv 25 30 96x64 -profile:v high -g 12 -bf 2
# Ten bits, four chroma samples
ff -f lavfi -i "$(source_of $n 20),format=yuv420p10le" -c:v libx264 -crf 32 -threads 1 -profile:v high10 -g 10 -bf 2 -bitexact "$out/ten-bit.mp4"
ff -f lavfi -i "$(source_of $n 12),format=yuv444p" -c:v libx264 -crf 34 -threads 1 -profile:v high444 -g 10 -bf 0 -bitexact "$out/four-four-four.mp4"
ff -f lavfi -i "$(source_of $f 30)" -c:v libx265 -crf 32 -x265-params log-level=error:pools=1:frame-threads=1:keyint=12:info=0 -tag:v hvc1 -bitexact "$out/hevc.mp4"
ff -f lavfi -i "$(source_of 50 20),format=yuv420p10le" -c:v libx265 -crf 32 -x265-params log-level=error:pools=1:frame-threads=1:keyint=10:info=0 -bitexact "$out/hevc-ten-bit.mkv"
ff -f lavfi -i "$(source_of $n 24)" -c:v libvpx-vp9 -b:v 60k -g 12 -threads 1 -bitexact "$out/vp9.webm"
ff -f lavfi -i "$(source_of 25 16)" -c:v mpeg2video -q:v 16 -g 8 -bf 2 -flags:v +ildct+ilme -top 1 -threads 1 -bitexact "$out/mpeg2.ts"
ff -f lavfi -i "$(source_of 25 8 64x48),format=yuvj422p" -c:v mjpeg -q:v 24 -threads 1 -bitexact "$out/mjpeg.mov"
# Edit lists: begins between two keys, with and without B-frames; begins late
ff -ss 0.3 -i "$out/high.mp4" -c copy -bitexact "$out/edit-list.mp4"
ff -ss 0.3 -i "$out/high-b.mp4" -c copy -bitexact "$out/edit-list-b.mp4"
ff -itsoffset 0.5 -i "$out/baseline.mp4" -c copy -bitexact "$out/begins-late.mp4"
# Times that do not say the order of showing: pictures are stamped as they are decoded
untimed() { # FROM RAW-FORMAT NAME
    ff -i "$out/$1" -c copy -bitexact -f "$2" "$work/raw.$2"
    ff -r $f -i "$work/raw.$2" -c copy -bitexact "${@:4}" "$out/$3"
}
untimed fifty-b.mp4 h264 untimed-b.mp4
untimed hevc.mp4 hevc untimed-hevc.mp4 -tag:v hvc1
ff -i "$out/untimed-b.mp4" -c copy -bitexact "$out/untimed-b.mkv"
ff -i "$out/untimed-b.mp4" -c copy -bitexact "$out/untimed-b.ts"
# Uneven times: a third of the frames left out; one gap; the header's rate is wrong
ff -f lavfi -i "$(source_of 50 60),select='mod(n\,5)-1+mod(floor(n/7)\,2)'" -fps_mode vfr -c:v libx264 -crf 32 -threads 1 -bf 0 -g 12 -bitexact "$out/variable.mp4"
ff -f lavfi -i "$(source_of 25 40),select='not(between(n\,12\,15))'" -fps_mode vfr -c:v libx264 -crf 32 -threads 1 -bf 0 -g 12 -bitexact "$out/dropped.mp4"
# The same picture three times, from frame 10 on
ff -f lavfi -i "$(source_of 25 30),select='1+between(n\,10\,10)',loop=loop=2:size=1:start=10,setpts=N/25/TB" -c:v libx264 -crf 30 -threads 1 -bf 0 -g 12 -bitexact "$out/repeated.mp4"
# Sound: a second more than the picture
ff -f lavfi -i "$(source_of $n 20 64x48)" -f lavfi -i sine=d=1.7:r=8000 -c:v libx264 -crf 32 -threads 1 -bf 0 -g 10 -c:a aac -b:a 8k -ac 1 -bitexact "$out/sound-longer.mp4"
# Turned a quarter
ff -i "$out/main.mp4" -c copy -metadata:s:v rotate=90 -bitexact "$out/rotated.mp4"
# Cut off: index first, index last (nothing to be done), fragments, stream
ff -i "$out/high-b.mp4" -c copy -movflags +faststart -bitexact "$work/whole.mp4"
cut() { head -c "$(($(stat -c %s "$1") * $3 / 100))" "$1" >"$2"; }
cut "$work/whole.mp4" "$out/truncated.mp4" 70
ff -i "$out/baseline.mp4" -c copy -movflags +faststart -bitexact "$work/plain.mp4"
cut "$work/plain.mp4" "$out/truncated-plain.mp4" 70
cut "$out/high.mp4" "$out/truncated-no-index.mp4" 60
cut "$out/fragmented.mp4" "$out/truncated-fragmented.mp4" 70
cut "$out/b-in.ts" "$out/truncated.ts" 70
# Begins in the middle of a group: the first key is missing
ff -f lavfi -i "$(source_of 25 40)" -c:v libx264 -crf 32 -threads 1 -bf 2 -g 20 -x264-params scenecut=0 -bitexact "$work/whole.ts"
tail -c +"$((188 * 40 + 1))" "$work/whole.ts" >"$out/no-first-key.ts"

for clip in "$out"/*; do
    case $clip in *.frames) continue ;; esac
    # The times are those of the file, the pictures unturned.
    ff -noautorotate -copyts -i "$clip" -map 0:v:0 -fps_mode passthrough -enc_time_base -1 -f framehash -hash sha256 "$work/all" 2>/dev/null || true
    if [ -s "$work/all" ]; then
        awk -F', *' '/^#tb/ || /^#dimensions/ { print } /^[^#]/ { print $3, $6 }' "$work/all" >"$clip.frames"
        rm "$work/all"
    fi
done
du -sh "$out"
