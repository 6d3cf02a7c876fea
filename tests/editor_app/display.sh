# Sourced with `home` set: a display of its own that the server chooses, for a person at a window. Sets x_server,
# DISPLAY and where the editor keeps its state; ends with 77, saying why, where no display starts.
Xvfb -displayfd 3 -screen 0 1600x1000x24 -nolisten tcp 3>"$home/display" 2>/dev/null &
x_server=$!
for _ in $(seq 300); do
    [ -s "$home/display" ] && break
    kill -0 "$x_server" 2>/dev/null || break
    sleep 0.1
done
[ -s "$home/display" ] || { echo "SKIPPED: Xvfb does not start here."; exit 77; }
DISPLAY=":$(cat "$home/display")"
export DISPLAY XDG_STATE_HOME="$home/state" XDG_CONFIG_HOME="$home/config"
