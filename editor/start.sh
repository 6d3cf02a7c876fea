#!/usr/bin/env bash
# Installs what is missing, builds Release and makes the demo device into out/demo; opens it in the editor where
# there is a display (and none was told to stay closed: ARCHWRIGHT_NO_WINDOW=1).
set -eu
cd "$(dirname "$0")/.."
. .ci/install.sh
install_missing $build_packages
ARCHWRIGHT_TESTS=OFF build release archwright archwright-script archwright-editor archwright-demo
bash assets/demo/make.sh build/release out/demo
if [ -n "${DISPLAY:-}" ] && [ -z "${ARCHWRIGHT_NO_WINDOW:-}" ]; then
    exec build/release/archwright-editor out/demo/lark-2207.json
fi
echo "  build/release/archwright-editor out/demo/lark-2207.json   opens it on a display"
