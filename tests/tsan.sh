#!/usr/bin/env bash
# The engine's threads under ThreadSanitizer (preset tsan, built first).
# TBB is not instrumented; what happens inside it is not ours to report.
set -eu
cd "$(dirname "$0")/.."
export TSAN_OPTIONS="suppressions=$PWD/.ci/tsan.supp:halt_on_error=1:second_deadlock_stack=1" ARCHWRIGHT_TENTH=1
# some kernels lay memory out at random further than the sanitizer can follow
for program in base mesh surface scan foot build batch; do
    echo "tsan: $program"
    setarch "$(uname -m)" -R "build/tsan/tests/test_$program" --order lex
done
