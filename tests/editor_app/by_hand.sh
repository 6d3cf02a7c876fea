#!/usr/bin/env bash
# by_hand.sh BUILD: a person at the screen: opens the example, changes values, undoes, redoes, saves, exports. The
# STL that was exported is byte for byte the one archwright makes of the saved job. Ends with 77, saying why, where
# there is no Xvfb or no xdotool.
#
# The editor tells what it did and how it stands (--tell, docs/editor.md); every step here waits until it has told
# what the step must lead to, never for a time.
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
# wait_for SECONDS WHAT COMMAND...: until the command succeeds
wait_for() {
    local until=$((SECONDS + $1)) what=$2
    shift 2
    until "$@"; do
        kill -0 "$editor" 2>/dev/null || failed "the editor ended while waiting until $what"
        [ "$SECONDS" -lt "$until" ] || failed "not within time: $what"
        sleep 0.1
    done
}
# told SECONDS PATTERN...: until the editor has told a line with each pattern, in this order, behind all that was
# waited for before
mark=1
told_now() {
    local at
    at=$(tail -n "+$mark" "$home/said" | grep -n -m 1 -e "$1" | cut -d: -f1)
    [ -n "$at" ] && mark=$((mark + at))
}
told() {
    local seconds=$1 pattern
    shift
    for pattern in "$@"; do wait_for "$seconds" "it tells \"$pattern\"" told_now "$pattern"; done
}

. "$(dirname "$0")/display.sh"

"$build/archwright-editor" --tell --size 1600x1000 --scale 1 >"$home/said" 2>&1 &
editor=$!
window=""
name() { [ -n "$window" ] && xdotool getwindowname "$window" 2>/dev/null || true; }
find_window() { window=$(xdotool search --onlyvisible --pid "$editor" --name Archwright 2>/dev/null | head -1); [ -n "$window" ]; }
has_keys() { xdotool windowfocus "$window" 2>/dev/null && [ "$(xdotool getwindowfocus 2>/dev/null)" = "$window" ]; }
named() { [ "$(name)" = "$1" ]; }
key() { xdotool key --delay 40 "$@"; }
say() { # a command in the command list
    key ctrl+k
    told 300 "open=list"
    xdotool type --delay 20 "$1"
    key Return
    told 300 "^did $1\$" "open=none"
}

wait_for 120 "the window is there" find_window
xdotool windowmove "$window" 0 0
wait_for 300 "the window has the keys" has_keys
told 300 "stage=none .* open=none"

# the first screen: "Open the example case"
place=$(grep -m 1 "^at example " "$home/said" || true)
[ -n "$place" ] || failed "the first screen has no button for the example"
read -r _ _ x y <<<"$place"
xdotool mousemove "$x" "$y" click 1
told 300 "^did example"
told 3000 "stage=receive step=0 .* saved=yes idle=yes"
wait_for 300 "the window has the case's name" named "LARK-2207 – Archwright"

# a value typed into the first box of the trim, a sum: stages by keys, the field by Tab, as fast as can be
key Next Next Next Next Tab
xdotool type --delay 10 "8+0.5"
key Tab Escape
told 300 "^did stage trim" "field=trim.distal_first_mm" "^did set trim.distal_first_mm 8.5" "field=none"
wait_for 300 "the name says that it is not saved" named "* LARK-2207 – Archwright"
# a box clicked and typed into at once: no figure is lost, none is a key of the screen; what is being built may still
# move the rows until it is there
told 300 "idle=yes"
place=$(grep "^at box trim.cup_lateral_mm " "$home/said" | tail -1)
[ -n "$place" ] || failed "the box of trim.cup_lateral_mm is not told"
read -r _ _ _ x y <<<"$place"
xdotool mousemove "$x" "$y" click 1
xdotool type --delay 10 "15.5"
key Return
told 300 "^did set trim.cup_lateral_mm 15.5" "field=none"
# a value by a command, one too much, taken back; and one taken back and done again
say "set trim.cup_posterior_mm 15"
say "set wall.base_mm 3.4"
key ctrl+z ctrl+z ctrl+shift+z
told 300 "^did undo" "^did undo" "^did redo" "step=3 of=4"
# the plan, dragged: the sections follow, the job stays
xdotool mousemove 430 450 mousedown 1 mousemove 450 400 mouseup 1
key ctrl+s
told 300 "^did save" "step=3 of=4 saved=yes"
wait_for 300 "the name says that it is saved" named "LARK-2207 – Archwright"

job="$home/state/archwright/example/lark-2207.json"
[ -f "$job" ] || failed "there is no $job"
grep -q '"distal_first_mm": 8.5' "$job" || failed "the value that was typed is not in the job"
grep -q '"cup_lateral_mm": 15.5' "$job" || failed "the value that was typed behind a click is not in the job"
grep -q '"cup_posterior_mm": 15' "$job" || failed "the value that was done again is not in the job"
grep -q '"base_mm": 3.4' "$job" && failed "the value that was taken back is in the job"

say "export $home/by-hand formats=stl"
told 900 "idle=yes"
written() { ls "$home"/by-hand/*.report.txt >/dev/null 2>&1; }
wait_for 900 "the files are written" written
stl=$(ls "$home"/by-hand/*.stl)
"$build/archwright" --quiet make "$job" -o "$home/made" --format stl >/dev/null ||
    failed "archwright make of the saved job"
cmp "$stl" "$home/made/$(basename "$stl")" || failed "the exported STL is another than archwright makes"
echo "The exported STL is the one archwright makes of the saved job: $(sha256sum <"$stl" | cut -c1-16)"
