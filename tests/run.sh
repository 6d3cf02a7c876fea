#!/usr/bin/env bash
# Installs what is missing, builds Release and runs the tests.
#   bash tests/run.sh          a seeded slice of the random cases
#   bash tests/run.sh --full   all of them (hours)
set -eu
cd "$(dirname "$0")/.."
. .ci/install.sh

full=0
for argument in "$@"; do
    case "$argument" in
        --full) full=1 ;;
        *) echo "usage: bash tests/run.sh [--full]" >&2; exit 2 ;;
    esac
done

install_missing $build_packages $test_packages
build release all

. tests/suite.sh
export ARCHWRIGHT_FULL=$full
run_suite release
