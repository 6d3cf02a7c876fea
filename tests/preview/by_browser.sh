#!/usr/bin/env bash
# by_browser.sh BUILD [FOLDER]: the preview of the demonstration in a real browser, at the size of a desk and of a
# telephone; pictures go to FOLDER where it is named. Ends with 77, saying why, where there is no browser for it.
set -eu
build=$1
pictures=${2:-}
for program in chromium chromedriver; do
    if ! command -v "$program" >/dev/null 2>&1; then
        echo "SKIPPED: $program is not there (Debian packages chromium-driver and python3-selenium)."
        exit 77
    fi
done
if ! /usr/bin/python3 -c "import selenium" 2>/dev/null; then
    echo "SKIPPED: there is no selenium for /usr/bin/python3 (Debian package python3-selenium)."
    exit 77
fi
folder=$(mktemp -d)
trap 'rm -rf "$folder"' EXIT
"$build/archwright-demo" "$folder"
"$build/archwright" --quiet preview "$folder/lark-2207.json" -o "$folder/out" >/dev/null
/usr/bin/python3 "$(dirname "$0")/by_browser.py" "$folder/out/LARK-2207-left-A.preview.html" "$folder" $pictures
for reply in "$folder"/desk-*.txt "$folder"/telephone-*.txt; do
    "$build/archwright" reply "$reply" "$folder/lark-2207.json" >"$folder/told" || {
        echo "FAILED: archwright reply of $(basename "$reply")"
        cat "$reply" "$folder/told"
        exit 1
    }
    grep -q "The reply is of the design as it is: LARK-2207 left, revision A" "$folder/told"
done
for reply in "$folder"/*-questions.txt; do
    "$build/archwright" reply "$reply" "$folder/lark-2207.json" >"$folder/told"
    grep -qF '1. Softer here? "2 mm" & </script> <b>Fuß €' "$folder/told"
    grep -q "foot side" "$folder/told"
    grep -q "2. And the edge?" "$folder/told"
done
"$build/archwright" reply "$folder/desk-accepted.txt" "$folder/lark-2207.json" | grep -q "P-12 accepts the design"
# after any change of the design the answer is of another one
"$build/archwright" --quiet set "$folder/lark-2207.json" trim.cup_posterior_mm=15 >/dev/null
if "$build/archwright" reply "$folder/desk-accepted.txt" "$folder/lark-2207.json" >"$folder/told"; then
    echo "FAILED: an answer to an older design was taken for one of the newest"
    exit 1
fi
grep -q "changed since" "$folder/told"
echo "The answers came back as they were given, and are void once the design is changed."
