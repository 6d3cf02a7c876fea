#!/usr/bin/env bash
# screenshots.sh BUILD OUT [all]: every stage and state of the editor as a picture, light and dark, at 1x and 2x, and
# in the smaller size; with "all" at 1.5x too. No display is needed. Look at them after a change of the screen.
set -eu
build=$(realpath "$1")
mkdir -p "$2"
out=$(realpath "$2")
home=$(mktemp -d)
trap 'rm -rf "$home"' EXIT
"$build/archwright-demo" "$home/casts" >/dev/null
"$build/archwright-generator" cast "$home/casts/right.ply" --side right --noise 0.02 >/dev/null

take() { # SIZE SCALE THEME
    local size=$1 scale=$2 theme=$3 mark
    mark="$size-${scale}x-$theme"
    shot() { echo "picture $out/$1-$mark.png ${2:-}"; }
    {
        shot first
        echo "press Ctrl+O"
        echo "press Tab"
        shot files
        echo "press Esc"
        echo "example $home/example"
        shot reading now
        echo "wait"
        for stage in receive examine balance dress trim reliefs wall post prove make; do
            echo "stage $stage"
            case $stage in
                receive | examine) echo "view cast on"; echo "view map none" ;;
                trim | post) echo "view cast glass" ;;
                reliefs | wall) echo "view cast lifted"; echo "view map wall" ;;
            esac
            shot "$stage"
        done
        echo "setting person TECH-04"
        echo "stage examine"
        echo "view cast on"
        echo "view map none"
        echo "repair remove air-void"
        echo "wait"
        echo "select finding 1"
        shot examine-finding
        echo "select mark fascia"
        shot examine-mark
        echo "stage receive"
        echo "press N"
        shot next-look
        echo "press Esc"
        echo "stage reliefs"
        echo "view cast lifted"
        echo "view map wall"
        echo "select feature base-relief"
        shot reliefs-chosen
        # what is dragged: handles in plan, section, model and graph
        echo "section F at=53"
        shot drag-relief
        echo "section F at=60"
        echo "stage examine"
        echo "select landmark first_head_plantar"
        shot drag-landmark
        echo "stage wall"
        echo "select region distal-medial"
        shot drag-region
        echo "station add 0.2 3.6"
        echo "station add 0.9 2.6"
        shot drag-stations
        echo "undo 2"
        # columns, bands and what they come to
        echo "select none"
        echo "set wall.medial_column.on yes"
        echo "set wall.medial_column.kind rigidity"
        echo "set wall.medial_column.rigidity 2"
        echo "wall bands heel=1.5 midfoot=1 forefoot=0.6"
        echo "view map rigidity"
        shot wall-zones
        echo "undo 4"
        echo "view map wall"
        echo "stage trim"
        echo "select none"
        echo 'entry add trim.controls {"station": 0.6, "medial": true, "offset_mm": 3}'
        shot drag-trim
        echo "undo"
        echo "stage post"
        echo "select post rearfoot"
        shot drag-post
        echo "stage reliefs"
        echo "view cast lifted"
        echo "view map wall"
        echo "select feature base-relief"
        echo "press Ctrl+K"
        echo "type cup"
        shot commands
        echo "press Esc"
        echo "press Esc"
        # views: from below, before the last step, a drawn section, maps
        echo "view plan below"
        echo "view from below"
        shot below
        echo "view plan above"
        echo "view from medial"
        echo "set trim.distal_first_mm 14"
        echo "wait"
        echo "view before on"
        shot before
        echo "view before off"
        # compared with its cast and with an earlier step, and a way out before it is done
        echo "stage prove"
        shot compare-choice
        echo "compare cast"
        shot compare-cast
        echo "set wall.base_mm 3.8"
        echo "compare step 0"
        shot compare-step
        echo "view plan below"
        echo "view from below"
        shot compare-step-below
        echo "view plan above"
        echo "view from medial"
        echo 'propose "set trim.cup_posterior_mm 19"'
        shot compare-proposal
        echo "propose off"
        echo "undo"
        echo "wait"
        echo "section A [[10, -20], [110, 25]]"
        shot section
        echo "section remove A"
        echo "view cast off"
        for map in rigidity bending mass height deviation slope tool ground shoe; do
            echo "view map $map"
            shot "map-$map"
        done
        # what a printer makes of it
        echo "stage make"
        echo "print printer=powder_bed"
        echo "wait"
        shot make-print
        # and a mill, of another material: the block in its set-ups, once a theme (a minute)
        if [ "$scale" = 1 ]; then
            echo "set material pp_homopolymer"
            echo "wait"
            echo "mill cusp=0.1"
            shot make-planning now
            echo "wait"
            echo "view block 1"
            shot make-set-up
            echo "view cut stays"
            shot make-stays
            echo "view block 2"
            echo "view cut left"
            shot make-left
            echo "undo"
            echo "wait"
        fi
        # at work, and what stops it
        echo "stage balance"
        echo "view cast glass"
        echo "view map wall"
        echo "set balance.heel_deg 8"
        # a picture takes its time: the second shows what takes longer than one
        shot busy now
        shot busy now
        echo "set capture.forefoot corrected"
        shot stop
        echo "stage make"
        shot make-stopped
        echo "undo 3"
        echo "wait"
        echo "set trim.distal_first_mm 60"
        echo "set trim.distal_fifth_mm 60"
        echo "stage trim"
        shot sound
        echo "undo 2"
        # both feet: the other is the same cast's, told to be a right one by its shape
        echo "state unit=cm by=TECH-04"
        echo "stage receive"
        shot ask
        # a pair: the other foot's order on this one, and both compared
        echo "open $home/casts/lark-2207.json discard=yes"
        echo "add $home/casts/right.ply side=right unit=mm by=TECH-04"
        echo "foot right"
        echo "stage trim"
        shot carry
        echo 'propose "carry left"'
        shot carry-proposal
        echo "compare other_foot"
        shot compare-other-foot
    } >"$home/script"
    cd "$home/casts"
    rm -rf "$home/example"
    "$build/archwright-editor" --no-window --clean $([ "$theme" = dark ] && echo --dark) --size "$size" \
        --scale "$scale" --script "$home/script" >"$home/told" || { cat "$home/told"; return 1; }
}

for theme in light dark; do
    take 1600x1000 1 $theme
    take 1600x1000 2 $theme
    take 1280x720 1 $theme
    [ "${3:-}" = all ] && take 1600x1000 1.5 $theme
done
ls "$out" | wc -l | xargs echo "Pictures:"
