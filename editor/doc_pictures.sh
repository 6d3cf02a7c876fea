#!/usr/bin/env bash
# doc_pictures.sh BUILD: the pictures of the editor in the documents, made anew in docs/pictures (pngquant, of Debian,
# keeps them below 300 kB each; apngasm, of Debian, makes the one that moves, below 1.5 MB). After a change of the
# screen; look at them before they are committed.
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

# a region of the wall dragged back under the arch and forward again; the shell follows
{
    echo "example $home/example"
    echo "wait"
    printf '%s\n' "stage wall" "view cast off" "view map wall" "section F at=96" \
        "set wall.regions[distal-medial].wall_mm 2" "select region distal-medial"
    for i in 0 1 2 3 4 5 6 7 8; do
        back=$((8 * i))
        echo "set wall.regions[distal-medial].outline [[$((98 - back)),10],[$((160 - back)),4],[$((160 - back)),60],[$((98 - back)),60]]"
        echo "picture $home/drag0$i.png"
    done
} >"$home/script"
"$build/archwright-editor" --no-window --clean --size 1200x700 --scale 1 --script "$home/script" \
    --picture "$home/last.png" >/dev/null
for i in 1 2 3 4 5 6 7; do cp "$home/drag0$i.png" "$home/drag$((16 - i)).png"; done
apngasm "$out/editor_drag.png" "$home"/drag??.png 4 10 -z0 >/dev/null
ls -l "$out"/editor_*.png
