#!/usr/bin/env bash
# Compares exact frames of real camera footage with FFmpeg's: four calibrated cameras, people moving, 60 a second.
# The footage is that of the package pose2sim 0.10.49 (BSD 3-Clause), fetched from the Python package index into a
# folder that is kept, target/real-footage; it is not shipped with tellframe.
#
# usage: scripts/real-footage.sh [FRAMES-PER-CLIP]
set -euo pipefail
cd "$(dirname "$0")/.."
count=${1:-12}
folder=target/real-footage
if [ ! -d "$folder/videos" ]; then
    mkdir -p "$folder"
    compgen -G "$folder/pose2sim-*" >/dev/null || python3 -m pip download --quiet --no-deps --dest "$folder" pose2sim==0.10.49
    python3 - "$folder" <<'PY'
import glob, os, sys, zipfile, tarfile
folder = sys.argv[1]
os.makedirs(folder + "/videos", exist_ok=True)
package = glob.glob(folder + "/pose2sim-*")[0]
wanted = lambda name: name.endswith(".mp4") and "/videos/" in name
save = lambda name, data: open(folder + "/videos/" + name.split("Demo_")[-1].replace("/", "-"), "wb").write(data)
if package.endswith(".whl"):
    with zipfile.ZipFile(package) as held:
        for name in filter(wanted, held.namelist()):
            save(name, held.read(name))
else:
    with tarfile.open(package) as held:
        for member in held.getmembers():
            if wanted(member.name):
                save(member.name, held.extractfile(member).read())
PY
fi
tellframe=${TELLFRAME:-target/debug/tellframe}
[ -x "$tellframe" ] || cargo build --quiet
wrong=0
for clip in "$folder"/videos/*.mp4; do
    ffmpeg -hide_banner -loglevel error -nostdin -noautorotate -copyts -i "$clip" -map 0:v:0 -fps_mode passthrough \
        -enc_time_base -1 -f framehash -hash sha256 - | awk -F', *' '/^[^#]/ { print $3, $6 }' >"$folder/reference"
    total=$(wc -l <"$folder/reference")
    "$tellframe" probe --quick "$clip"
    for index in $(seq 0 $((count - 1))); do
        frame=$(((index * 7919 + 31) % total))
        found=$("$tellframe" probe "$clip" --frame "$frame" --hash --json)
        read -r pts hash < <(sed -n "$((frame + 1))p" "$folder/reference")
        case $found in
        *"\"pts\":$pts,\"exact\":true,"*"\"sha256\":\"$hash\""*) ;;
        *) echo "frame $frame: expected $pts $hash, found $found" && wrong=$((wrong + 1)) ;;
        esac
    done
    echo "$(basename "$clip"): $count of $total frames compared"
done
echo "$wrong wrong"
[ "$wrong" -eq 0 ]
