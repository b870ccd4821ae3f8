#!/usr/bin/env bash
# Holds whole games by keys, drawn by chance, against a second reckoning (`tests/reckoning`), two in a log, and prints what
# they were made of. An evening that fails prints its seed and its keys.
#
#   scripts/evenings.sh          500 games
#   scripts/evenings.sh 40       40 games
set -euo pipefail
cd "$(dirname "$0")/.."
TELLFRAME_EVENINGS="${1:-500}" cargo test --release --workspace --lib -- --nocapture \
    evenings_held_by_keys_agree_with_a_second_reckoning_and_their_logs_verify
