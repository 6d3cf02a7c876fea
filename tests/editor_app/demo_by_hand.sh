#!/usr/bin/env bash
# demo_by_hand.sh BUILD [OUT]: the whole demonstration case made by a hand at the window, from the bare cast to its
# files: mouse and keys of demo_by_hand.py on a display of its own. It takes minutes, so it runs with
# tests/run.sh --full (ARCHWRIGHT_FULL=1) alone. Ends with 77, saying why, where it skips. With OUT what was made
# stays there.
set -eu
if [ "${ARCHWRIGHT_FULL:-0}" != 1 ]; then
    echo "SKIPPED: the demonstration by hand takes minutes; bash tests/run.sh --full runs it (ARCHWRIGHT_FULL=1)."
    exit 77
fi
for program in Xvfb xdotool python3; do
    if ! command -v "$program" >/dev/null 2>&1; then
        echo "SKIPPED: $program is not there (Debian packages xvfb, xdotool, python3)."
        exit 77
    fi
done
build=$(realpath "$1")
home=$(mktemp -d)
x_server=""
finish() {
    [ -n "$x_server" ] && kill "$x_server" 2>/dev/null
    wait 2>/dev/null
    rm -rf "$home"
}
trap finish EXIT

# the bare cast alone in one folder, the demonstration's own device in another
"$build/archwright-demo" "$home/demo"
mkdir "$home/hand"
cp "$home/demo/lark-2207-left.ply" "$home/hand/"
"$build/archwright" --quiet make "$home/demo/lark-2207.json" -o "$home/demo/made" --format stl >/dev/null

. "$(dirname "$0")/display.sh"
result=0
python3 "$(dirname "$0")/demo_by_hand.py" "$build" "$home" || result=$?
if [ -n "${2:-}" ]; then
    mkdir -p "$2"
    cp -r "$home/hand" "$home/demo" "$home/said" "$2/"
fi
exit "$result"
