#!/usr/bin/env bash
# A whole split beside a script that only cuts a model into a grid of cells, in turn:
#
#     tests/references/compare_grid.sh MODEL.stl NX NY NZ [RUNS]
#
# PYTHON names an interpreter that has the packages of requirements.txt. Prints the
# median of each in seconds and their ratio.
set -euo pipefail
cd "$(dirname "$0")/../.."
model=$1 nx=$2 ny=$3 nz=$4 runs=${5:-5}
python=${PYTHON:-python3}
out=$(mktemp -d)
trap 'rm -rf "$out"' EXIT
cargo build --release --quiet
seconds() {
  local start end
  start=$(date +%s.%N)
  "$@" >/dev/null
  end=$(date +%s.%N)
  echo "$end - $start" | bc
}
for _ in $(seq "$runs"); do
  seconds "$python" tests/references/cut_grid.py "$model" "$nx" "$ny" "$nz" "$out/cells" >>"$out/plain"
  seconds target/release/seamwright split "$model" --bed 220x220x250 --out "$out/split" --force --quiet >>"$out/whole"
  rm -rf "$out/split"
done
median() { sort -n "$1" | sed -n "$((runs / 2 + 1))p"; }
plain=$(median "$out/plain") whole=$(median "$out/whole")
echo "cells alone $plain s, whole split $whole s, ratio $(echo "scale=2; $whole / $plain" | bc)"
