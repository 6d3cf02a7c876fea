#!/usr/bin/env bash
# The engine's threads under ThreadSanitizer: every test that runs a step with several threads. Builds first.
# There parallel_for runs on plain threads (engine/base/parallel.cpp): Debian's TBB is not built with the
# sanitizer, which takes its hand-overs for races.
set -eu
cd "$(dirname "$0")/.."
. .ci/install.sh
install_missing $build_packages $test_packages
build tsan all
export TSAN_OPTIONS="suppressions=$PWD/.ci/tsan.supp:halt_on_error=1:second_deadlock_stack=1" ARCHWRIGHT_TENTH=1
# some kernels lay memory out at random further than the sanitizer can follow
for program in mesh scan surface picture generator build; do
    echo "tsan: $program"
    setarch "$(uname -m)" -R "build/tsan/tests/test_$program" "*number of threads*,*2 and 8 threads*"
done
echo "tsan: editor_model"
setarch "$(uname -m)" -R build/tsan/tests/test_editor_model "rebuild: *"
setarch "$(uname -m)" -R build/tsan/tests/test_batch "~generated jobs*" "~a STEP file*"
