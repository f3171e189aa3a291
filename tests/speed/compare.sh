#!/usr/bin/env bash
# The batch beside the NumPy program doing the same, in turn on the same files: tests/speed/compare.sh [FILES] [ROUNDS]
# Prints wall seconds of each run and the median ratios. Run by hand: it takes minutes and wants a quiet machine.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/../.."
files=${1:-10000}
rounds=${2:-3}
python=$(tests/outside/prepare.sh)
cargo build --release --quiet -p springline-cli
springline=${CARGO_TARGET_DIR:-target}/release/springline
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
"$python" tests/speed/make_batch.py "$work/clips" --files "$files" >/dev/null
export OMP_NUM_THREADS=1 OPENBLAS_NUM_THREADS=1

timed() { # NAME COMMAND...: appends wall seconds to $work/NAME, peak memory of the process in kB to $work/NAME.kb
    local name=$1
    shift
    "$python" - "$work/$name" "$@" <<'PY'
import resource, subprocess, sys, time
out, *command = sys.argv[1:]
start = time.monotonic()
subprocess.run(command, check=True, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
wall = time.monotonic() - start
used = resource.getrusage(resource.RUSAGE_CHILDREN)
open(out, "a").write(f"{wall:.3f} {used.ru_utime + used.ru_stime:.3f} {used.ru_maxrss}\n")
print(f"{out.rsplit('/', 1)[1]:12} {wall:8.2f} s wall {used.ru_utime + used.ru_stime:8.2f} s cpu {used.ru_maxrss:8d} kB")
PY
}

clips=$work/clips/attempts
for ((round = 1; round <= rounds; round++)); do
    for threads in 1 2; do
        rm -rf "$work/tables"
        timed "ours-$threads" "$springline" batch "$clips" --drill handspring-floor --rate 60 --threads "$threads" --out "$work/tables"
    done
    timed numpy-1 "$python" tests/speed/numpy_batch.py "$clips" "$work/numpy.csv"
    timed numpy-2 "$python" tests/speed/numpy_batch.py "$clips" "$work/numpy.csv" --processes 2
done
"$python" - "$work" <<'PY'
import statistics, sys
work = sys.argv[1]
median = lambda name: statistics.median(float(line.split()[0]) for line in open(f"{work}/{name}"))
one, two = median("ours-1"), median("ours-2")
print(f"NumPy by ours, one core each: {median('numpy-1') / one:.1f}; two cores each: {median('numpy-2') / two:.1f}")
print(f"ours, two threads by one: {one / two:.2f} times faster")
PY
