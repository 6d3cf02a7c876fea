#!/usr/bin/env bash
# Feeds the readers and the job parser with made-up files.
#   bash tests/fuzz/run.sh MINUTES        each target for so long, both cores
#   bash tests/fuzz/run.sh --runs N       each target N inputs, the same ones every time (CI)
# New finds go to build/fuzz/finds/TARGET; a crash is kept there as crash-*, timeout-* or oom-*.
set -eu
cd "$(dirname "$0")/../.."
. .ci/install.sh

case "${1:-}" in
    --runs) limit="-runs=${2:?how many?} -seed=1"; jobs=1 ;;
    ''|*[!0-9]*) echo "usage: bash tests/fuzz/run.sh MINUTES | --runs N" >&2; exit 2 ;;
    *) limit="-max_total_time=$(( $1 * 60 ))"; jobs=$(nproc) ;;
esac

install_missing $build_packages $test_packages $fuzz_packages
targets="stl ply obj 3mf job"
build asan $(for t in $targets; do echo "fuzz_$t"; done)

export ASAN_OPTIONS="detect_leaks=1:allocator_may_return_null=1" LSAN_OPTIONS="suppressions=$PWD/.ci/leaks.supp:print_suppressions=0"
export UBSAN_OPTIONS="print_stacktrace=1:halt_on_error=1"
failed=0
for target in $targets; do
    corpus="tests/fuzz/corpus/$target" finds="build/fuzz/finds/$target"
    mkdir -p "$finds"
    workers=""
    [ "$jobs" -gt 1 ] && workers="-fork=$jobs"
    echo "fuzz: $target"
    # 1 GB is some hundred times what a file of 64 kB may cost; 20 s is a hang
    # shellcheck disable=SC2086
    "build/asan/tests/fuzz/fuzz_$target" $limit $workers -max_len=65536 -rss_limit_mb=1024 -malloc_limit_mb=512 \
        -timeout=20 -print_final_stats=1 -dict="tests/fuzz/corpus/$target.dict" -artifact_prefix="$finds/" \
        "$finds" "$corpus" >"build/fuzz/$target.log" 2>&1 || failed=1
    grep -aE '^(ERROR|SUMMARY|stat::number_of_executed_units|stat::peak_rss_mb|artifact_prefix)|runtime error' "build/fuzz/$target.log" |
        sed 's/^/  /' || true
done
[ "$failed" = 0 ] || { echo "fuzz: a target failed; its log is build/fuzz/TARGET.log" >&2; exit 1; }
