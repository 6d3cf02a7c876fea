#!/usr/bin/env bash
# Times every step and its peers on this machine, Release, median of five; leave the machine alone meanwhile.
#   bash tests/bench/run.sh [100k 500k 1M 5M]
# Tables on standard output; figures in build/bench/bench.json.
set -eu
cd "$(dirname "$0")/../.."
. .ci/install.sh
install_missing $build_packages $test_packages $bench_packages
export ARCHWRIGHT_BENCH=ON
build release archwright archwright-bench archwright-editor-bench archwright-flex-bench archwright-ask-bench archwright-mill-bench archwright-registration-bench >/dev/null
build/release/tests/archwright-bench build/bench "$@"
build/release/tests/archwright-editor-bench build/bench
build/release/tests/archwright-flex-bench ccx
build/release/tests/archwright-ask-bench
build/release/tests/archwright-mill-bench
build/release/tests/archwright-registration-bench 50
