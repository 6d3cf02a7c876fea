#!/usr/bin/env bash
# make.sh BUILD OUT: makes the demonstration device with the programs of a build folder.
set -eu
build=$1 out=$2
mkdir -p "$out"
"$build/archwright-demo" "$out"
"$build/archwright" --quiet make "$out/lark-2207.json" -o "$out"
"$build/archwright" --quiet picture "$out/lark-2207.json" -o "$out/LARK-2207-left-A.png" --scale 1.5
cat <<END

The demonstration device is in $out. Look at
  $out/LARK-2207-left-A.png          the shell on its foot, plan, sections, wall map
  $out/LARK-2207-left-A.report.txt   why it may be trusted: every check with its figure
  $out/LARK-2207-left-A.{stl,3mf,step}   the device itself, mm, a left one
  $out/lark-2207.json                the job: everything a person decided
  $out/lark-2207-b.json, -pp.json    its revision B, and the same device in milled polypropylene
README.md tours the command line.
END
