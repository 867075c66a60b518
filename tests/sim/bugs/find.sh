#!/usr/bin/env bash
# Plants each bug of this folder in turn and shows that the simulation finds it: the patch goes on, the seeds must fail, the patch comes off.
#   tests/sim/bugs/find.sh [SEEDS]        # 2,000 seeds at the most for each bug; most are found in the first hundred
set -uo pipefail
cd "$(dirname "$0")/../../.."
seeds=${1:-2000}
missed=0
for bug in tests/sim/bugs/*.patch; do
  git apply "$bug" || exit 1
  trap 'git apply -R "$bug"' EXIT
  if out=$(RUST_BACKTRACE=0 SIM_SEEDS=$seeds cargo test --quiet --test sim many 2>&1); then
    echo "MISSED $bug in $seeds seeds"
    missed=1
  elif line=$(grep -m1 'broke a promise' <<<"$out"); then
    echo "found  $(basename "$bug" .patch): $line"
  else
    echo "$bug does not build:"; tail -20 <<<"$out"
    missed=1
  fi
  git apply -R "$bug"
  trap - EXIT
done
exit $missed
