#!/usr/bin/env bash
# Installs what is missing, builds Release and makes the demo device into out/demo.
set -eu
cd "$(dirname "$0")/.."
. .ci/install.sh
install_missing $build_packages
ARCHWRIGHT_TESTS=OFF build release archwright archwright-script archwright-demo
bash assets/demo/make.sh build/release out/demo
