# Sourced by tests/run.sh and .ci/run: runs the test programs of one build and repeats what was left out.

# make_locales: German for the locale tests, made in the build folder (nothing on the machine is changed).
make_locales() {
    mkdir -p build/locales
    [ -e build/locales/de_DE.utf8 ] || localedef -i de_DE -f UTF-8 "build/locales/de_DE.utf8" >/dev/null 2>&1 || true
}

# run_suite PRESET
run_suite() {
    local folder="build/$1" status=0
    make_locales
    export LOCPATH="$PWD/build/locales"
    (cd "$folder" && ctest --output-on-failure --timeout 5000 --parallel "$(nproc)") || status=$?
    local log="$folder/Testing/Temporary/LastTest.log"
    if [ -f "$log" ]; then
        echo
        echo "Random cases run, and what was skipped ($1):"
        grep -aE '^ *(cases|skipped): ' "$log" | sed 's/^ */  /' || echo "  none"
    fi
    echo
    # the closing line, once more, for whoever reads only the end
    if [ -f "$log" ]; then
        local failed passed
        failed=$(grep -acE '^Test Failed\.' "$log" || true)
        passed=$(grep -acE '^Test Passed\.' "$log" || true)
        echo "$1: $passed passed, $failed failed"
    fi
    return $status
}
