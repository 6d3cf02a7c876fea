#!/usr/bin/env bash
# doc_pictures.sh BUILD: the pictures of the editor in the documents, made anew in docs/pictures (pngquant, of Debian,
# keeps them below 300 kB each). After a change of the screen; look at them before they are committed.
set -eu
build=$(realpath "$1")
out=$(realpath "$(dirname "$0")/../docs/pictures")
home=$(mktemp -d)
trap 'rm -rf "$home"' EXIT
shoot() { # NAME SIZE OPTION LINES...
    local name=$1 size=$2 option=$3
    shift 3
    { echo "example $home/example"; echo "wait"; printf '%s\n' "$@"; } >"$home/script"
    "$build/archwright-editor" --no-window --clean $option --size "$size" --scale 1 --script "$home/script" \
        --picture "$home/$name.png" >/dev/null
    pngquant --nofs --speed 1 --force --output "$out/$name.png" 256 "$home/$name.png"
}
shoot editor_reliefs 1600x1000 "" "stage reliefs" "view cast lifted" "view map wall" "select feature base-relief"
shoot editor_stop 1600x1000 "" "set balance.heel_deg 8" "set capture.forefoot corrected" "stage balance" "view cast glass"
shoot editor_examine 1280x720 --dark "setting person TECH-04" "stage examine" "view cast on" "view map none" \
    "repair remove air-void" "wait" "select finding 1"
ls -l "$out"/editor_*.png
