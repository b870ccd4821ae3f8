#!/usr/bin/env bash
# Kills the scripted review at random moments and looks at what is left: no acknowledged event may be lost,
# every log must verify, and every review must resume and end.
#
#   scripts/kill-and-resume.sh [TIMES] [PROGRAM]
set -euo pipefail
times=${1:-200}
program=${2:-target/release/tellframe}
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
number() { sed -n "s/.*\"$1\":\([0-9]*\).*/\1/p" | head -n 1; }
killed=0
for ((round = 1; round <= times; round++)); do
    # The pace makes the walk of about 130 scripted seconds take about a quarter of a second.
    "$program" --data "$folder" demo --no-window --pace 0.002 >"$folder/said" 2>"$folder/err" &
    walk=$!
    sleep "0.$(printf '%03d' $((RANDOM % 300)))"
    if kill -9 "$walk" 2>/dev/null; then killed=$((killed + 1)); fi
    wait "$walk" 2>/dev/null || true
    if [ -e "$folder/demo/log.sqlite" ]; then
        acknowledged=$(sed -n 's/^entry *\([0-9]*\) .*/\1/p' "$folder/said" | tail -n 1)
        verified=$("$program" --data "$folder" log verify --json "$folder/demo/log.sqlite")
        kept=$(printf '%s' "$verified" | number entries)
        if [ "${acknowledged:-0}" -gt "$kept" ]; then
            echo "round $round: entry $acknowledged was acknowledged, and the log holds $kept" >&2
            exit 1
        fi
    fi
    "$program" --data "$folder" demo --no-window >"$folder/said" || { cat "$folder/said"; exit 1; }
    grep -q '^Announce: ' "$folder/said" || { echo "round $round: the review did not end" >&2; exit 1; }
    "$program" --data "$folder" log verify "$folder/demo/log.sqlite" >/dev/null
done
echo "killed $killed of $times times: nothing acknowledged was lost, every log verified, every review resumed"
