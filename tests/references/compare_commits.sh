#!/usr/bin/env bash
# Whether two commits write the same pieces, plates and pictures, byte for byte,
# for every case that CI judges and some more:
#   tests/references/compare_commits.sh OLD_COMMIT [NEW_COMMIT]
# The new one is the working tree where it is not given. A change that is to
# change no split is shown so; where a mended fault changes bytes, the case is
# named here and in the commit.
set -euo pipefail
top=$(git rev-parse --show-toplevel)
work=${COMPARE_FOLDER:-$(mktemp -d)}

built() { # COMMIT FOLDER: the folder of its program and examples
  git clone --quiet "$top" "$2"
  git -C "$2" checkout --quiet "$1"
  (cd "$2" && cargo build --release --quiet --workspace --examples --bins)
}

cases() { # TREE OUT: runs every case of a built tree
  local bin=$1/target/release/seamwright out=$2 bed="--bed 220x220x250"
  mkdir -p "$out"
  run() { # NAME WORDS…
    local name=$1
    shift
    (cd "$top" && "$bin" "$@" --out "$out/$name" --quiet >"$out/$name.said" 2>&1) || echo "exit $?" >>"$out/$name.said"
  }
  one() { # MODEL WAYS…
    local model=$1 how
    shift
    # shellcheck disable=SC2086 # the words of an option and its value
    for how in "$@"; do run "$model$how" split "fixtures/$model.stl" $bed $how; done
  }
  one side-table "--joint auto" "--joint wedge-fingers" "--joint butterfly" "--hide +z,-y" "--scarf" \
    "--joint dovetail" "--joint braced-dovetail" "--joint tongue" "--joint tenon" "--no-labels" \
    "--format 3mf" "--clearance 0.2" "--keep-out 0,0,0:100,100,100" "--bed 180x180x180"
  one stool "--joint auto" "--hide +z,-y" "--joint wedge-fingers" "--joint butterfly" "--joint tenon"
  one splayed-table "--joint auto" "--joint butterfly"
  one board "--joint auto" "--joint butterfly" "--scarf" "--joint wedge-fingers" "--seam-at x=600"
  one bench "--joint auto" "--joint wedge-fingers" "--scarf"
  one wall-shelf "--joint auto"
  local bars=$work/bars
  [ -d "$bars" ] || "$1/target/release/examples/make-bars" "$bars"
  for bar in "$bars"/*.stl; do
    for plan in "$bars"/*.toml; do
      run "$(basename "$plan" .toml)-on-$(basename "$bar" .stl)" split "$bar" --plan "$plan"
    done
  done
  for model in side-table bench; do
    local first="$out/$model--joint auto" printed
    printed=$(python3 -c "import json, sys; print(','.join(p['id'] for p in json.load(open(sys.argv[1] + '/report.json'))['pieces'][::3]))" "$first")
    run "$model-larger" resplit "$first" --bed 300x300x350 --printed "$printed" --model "fixtures/$model.stl"
    run "$model-smaller" resplit "$out/$model-larger" --bed 180x180x180 --model "fixtures/$model.stl"
  done
}

[ -x "$work/old/target/release/seamwright" ] || built "$1" "$work/old"
if [ $# -gt 1 ]; then built "$2" "$work/new"; else
  (cd "$top" && cargo build --release --quiet --workspace --examples --bins)
  ln -sfn "$top" "$work/new"
fi
cases "$work/old" "$work/from-old"
cases "$work/new" "$work/from-new"
same=0 other=0
for folder in "$work"/from-old/*/; do
  name=$(basename "$folder")
  for part in pieces plates pictures; do
    if [ -d "$folder$part" ]; then
      if diff -rq "$folder$part" "$work/from-new/$name/$part"; then same=$((same + 1)); else other=$((other + 1)); fi
    fi
  done
done
echo "$same folders the same, $other not"
[ "$other" = 0 ]
