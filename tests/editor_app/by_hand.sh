#!/usr/bin/env bash
# by_hand.sh BUILD: a person at the screen: opens the example, changes values, undoes, redoes, saves, exports. The
# STL that was exported is byte for byte the one archwright makes of the saved job. Ends with 77, saying why, where
# there is no Xvfb or no xdotool.
set -eu
build=$1
for program in Xvfb xdotool; do
    if ! command -v "$program" >/dev/null 2>&1; then
        echo "SKIPPED: $program is not there (Debian packages xvfb and xdotool)."
        exit 77
    fi
done
home=$(mktemp -d)
x_server="" editor=""
finish() {
    [ -n "$editor" ] && kill "$editor" 2>/dev/null
    [ -n "$x_server" ] && kill "$x_server" 2>/dev/null
    wait 2>/dev/null
    rm -rf "$home"
}
trap finish EXIT
failed() {
    echo "FAILED: $*"
    echo "The window's name: $(name)"
    cat "$home/said" 2>/dev/null || true
    exit 1
}

# the server chooses a display that is free
Xvfb -displayfd 3 -screen 0 1600x1000x24 -nolisten tcp 3>"$home/display" 2>/dev/null &
x_server=$!
for _ in $(seq 100); do
    [ -s "$home/display" ] && break
    sleep 0.1
done
[ -s "$home/display" ] || { echo "SKIPPED: Xvfb does not start here."; exit 77; }
DISPLAY=":$(cat "$home/display")"
export DISPLAY XDG_STATE_HOME="$home/state" XDG_CONFIG_HOME="$home/config"

"$build/archwright-editor" --size 1600x1000 --scale 1 >"$home/said" 2>&1 &
editor=$!
window=""
name() { [ -n "$window" ] && xdotool getwindowname "$window" 2>/dev/null || true; }
# wait_for SECONDS WHAT COMMAND...: until the command succeeds
wait_for() {
    local until=$((SECONDS + $1)) what=$2
    shift 2
    until "$@"; do
        kill -0 "$editor" 2>/dev/null || failed "the editor ended while waiting until $what"
        [ "$SECONDS" -lt "$until" ] || failed "not within time: $what"
        sleep 0.3
    done
}
find_window() { window=$(xdotool search --onlyvisible --pid "$editor" --name Archwright 2>/dev/null | head -1); [ -n "$window" ]; }
named() { name | grep -q -- "$1"; }
saved_name() { [ "$(name)" = "LARK-2207 – Archwright" ]; }
changed_name() { [ "$(name)" = "* LARK-2207 – Archwright" ]; }
key() { xdotool key --delay 80 "$@"; sleep 0.4; }
say() { # a command in the command list
    key ctrl+k
    xdotool type --delay 40 "$1"
    sleep 0.5
    key Return
}

wait_for 120 "the window is there" find_window
xdotool windowmove "$window" 0 0
focus() { xdotool windowfocus "$window" 2>/dev/null; }
wait_for 60 "the window has the keys" focus
sleep 1

# the first screen: "Open the example case"
xdotool mousemove 953 447
sleep 0.5
xdotool click 1
wait_for 600 "the example is open" saved_name

# a value typed into the first box of the trim, a sum: stages by keys, the field by Tab
key Next Next Next Next
key Tab
xdotool type --delay 40 "8+0.5"
key Tab
key Escape
wait_for 60 "a value was changed" changed_name
# a value by a command, one too much, taken back; and one taken back and done again
say "set trim.cup_posterior_mm 15"
say "set wall.base_mm 3.4"
key ctrl+z
key ctrl+z
key ctrl+shift+z
# the plan, dragged: the sections follow, the job stays
xdotool mousemove 430 450 mousedown 1
sleep 0.3
xdotool mousemove 450 400
sleep 0.3
xdotool mouseup 1
key ctrl+s
wait_for 60 "the job is saved" saved_name

job="$home/state/archwright/example/lark-2207.json"
[ -f "$job" ] || failed "there is no $job"
grep -q '"distal_first_mm": 8.5' "$job" || failed "the value that was typed is not in the job"
grep -q '"cup_posterior_mm": 15' "$job" || failed "the value that was done again is not in the job"
grep -q '"base_mm": 3.4' "$job" && failed "the value that was taken back is in the job"

say "export $home/by-hand formats=stl"
sleep 1
written() { ls "$home"/by-hand/*.report.txt >/dev/null 2>&1; }
wait_for 900 "the files are written" written
stl=$(ls "$home"/by-hand/*.stl)
"$build/archwright" --quiet make "$job" -o "$home/made" --format stl || failed "archwright make of the saved job"
cmp "$stl" "$home/made/$(basename "$stl")" || failed "the exported STL is another than archwright makes"
echo "The exported STL is the one archwright makes of the saved job: $(sha256sum <"$stl" | cut -c1-16)"
