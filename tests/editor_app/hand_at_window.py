"""A hand at the editor's window: mouse and keys by xdotool, seeing what the editor tells (--tell, docs/editor.md).

Every action waits until the editor has told what it must lead to; only the pace of the hand itself is a time.
"""
import re
import subprocess
import threading
import time

QUIET = 0.7  # seconds without news: what moved has come to rest
PACE = 0.08  # seconds between what one hand does


class Hand:
    def __init__(self, program, files, log):
        self.places, self.did, self.state = {}, [], {}
        self.heard = time.monotonic()  # when the editor told anything
        self.seen = 0  # of self.did, up to where it was waited for
        self.actions, self.wheel, self.missed = 0, 0, 0
        self.log = open(log, "w")
        self.changed = threading.Condition()
        self.editor = subprocess.Popen([program, "--tell", "--size", "1280x800", "--scale", "1", *files],
                                       stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
        threading.Thread(target=self._read, daemon=True).start()
        self.wait(lambda: "stage" in self.state, 600, "the screen is there")
        window = self._xdo("search", "--onlyvisible", "--pid", str(self.editor.pid), "--name", ".").split()[0]
        self._xdo("windowmove", window, "0", "0")
        self._xdo("windowfocus", "--sync", window)

    def _read(self):
        for line in self.editor.stdout:
            self.log.write(line)
            self.log.flush()
            word, _, rest = line.rstrip("\n").partition(" ")
            with self.changed:
                self.heard = time.monotonic()
                if word == "at":
                    name, x, y = rest.rsplit(" ", 2)
                    self.places[name] = (int(x), int(y))
                elif word == "gone":
                    self.places.pop(rest, None)
                elif word == "did":
                    self.did.append(rest)
                elif word == "is":
                    self.state = dict(one.split("=", 1) for one in rest.split(" "))
                self.changed.notify_all()

    @staticmethod
    def _xdo(*words):
        return subprocess.run(["xdotool", *map(str, words)], check=True, capture_output=True, text=True).stdout

    def wait(self, condition, seconds, what):
        until = time.monotonic() + seconds
        with self.changed:
            while not condition():
                if self.editor.poll() is not None:
                    raise RuntimeError("the editor ended while waiting until " + what)
                if time.monotonic() > until:
                    raise RuntimeError("not within time: " + what + "; state " + str(self.state) +
                                       "; last done " + str(self.did[-3:]))
                self.changed.wait(0.2)

    def done(self, pattern, seconds=300):
        """Waits for a command that was done behind all that was waited for before; returns it."""
        found = []

        def there():
            for i in range(self.seen, len(self.did)):
                if re.search(pattern, self.did[i]):
                    found.append(self.did[i])
                    self.seen = i + 1
                    return True
            return False

        self.wait(there, seconds, 'it tells "did %s"' % pattern)
        return found[0]

    def idle(self, seconds=1500):
        """Until everything is built and shown, and has been for a moment."""
        quiet = 0
        while quiet < 4:
            self.wait(lambda: self.state.get("idle") == "yes", seconds, "it is idle")
            time.sleep(0.15)
            quiet = quiet + 1 if self.state.get("idle") == "yes" else 0

    def rests(self, name):
        """Where a thing is, once nothing on the screen moves any more."""
        self.wait(lambda: name in self.places, 300, '"%s" is on the screen' % name)
        until = time.monotonic() + 60
        while time.monotonic() - self.heard < QUIET and time.monotonic() < until:
            time.sleep(0.05)
        return self.places.get(name)

    def in_sight(self, name):
        """Turns the wheel over the inspector until the thing is in it."""
        at = self.rests(name)
        if at is None:
            raise RuntimeError('"%s" went away' % name)
        top, bottom = self.places["inspector top"], self.places["inspector bottom"]
        if at[0] < top[0] - 170:
            return at  # not in the inspector
        for _ in range(120):
            covered = 40 if "to the stop" in self.places else 8  # by the strip that tells of a stop above
            if top[1] + covered <= at[1] <= bottom[1] - 24:
                return at
            self._xdo("mousemove", top[0] + 140, (top[1] + bottom[1]) // 2,
                      "click", 5 if at[1] > bottom[1] - 24 else 4)
            self.wheel += 1
            time.sleep(PACE)
            at = self.rests(name)
        raise RuntimeError('"%s" does not come into sight' % name)

    def press(self, name, leads_to=None, shows=None, count=True):
        """A click on what has this name, until it led to a command that is done or to something that is shown. On a
        slow screen a row may move off under the hand: then it clicks again, where the row is now."""
        for attempt in range(5):
            x, y = self.in_sight(name)
            self._xdo("mousemove", x, y)
            time.sleep(PACE)
            self._xdo("mousedown", 1)
            time.sleep(PACE)
            self._xdo("mouseup", 1)
            self.missed += 1 if attempt else 0
            try:
                if leads_to:
                    told = self.done(leads_to, 20)
                elif shows:
                    told = self.wait(shows if callable(shows) else lambda: shows in self.places, 20, "it shows")
                else:
                    told = time.sleep(4 * PACE)
                self.actions += 1 if count else 0
                return told
            except RuntimeError:
                if self.editor.poll() is not None or attempt == 4:
                    raise
        return None

    def key(self, *names):
        self._xdo("key", "--delay", 40, *names)

    def type(self, text):
        self._xdo("type", "--delay", 12, "--", text)

    def put(self, parameter, value, leads_to=None):
        """A figure or words typed into the box of a parameter: one action."""
        self.press("box " + parameter, shows=lambda: self.state.get("field") == parameter, count=False)
        self.key("ctrl+a")
        self.type(str(value))
        self.key("Return")
        self.actions += 1
        told = self.done(leads_to or "^set " + re.escape(parameter) + " ")
        self.wait(lambda: self.state.get("field") == "none", 120, "the box is left")
        return told

    def choose(self, parameter, word):
        """One of a few words, or one of a list."""
        few, yes_no, drop = "choice %s%s" % (parameter, word.replace("_", " ")), "flag %s%s" % (
            parameter, word), "drop " + parameter
        self.wait(lambda: any(one in self.places for one in (few, yes_no, drop)), 120, parameter + " is there")
        for name in (few, yes_no):
            if name in self.places:
                return self.press(name, "^set " + re.escape(parameter) + " ")
        self.press(drop, shows="item " + parameter + word)
        return self.press("item " + parameter + word, "^set " + re.escape(parameter) + " " + word)

    def form(self, name, text, leads_to=None):
        """Words typed into a form, ended by Enter."""
        typed_in = "form:" + name.replace(" ", "-")
        self.press("form " + name, shows=lambda: self.state.get("field") == typed_in, count=False)
        self.key("ctrl+a")
        self.type(str(text))
        self.key("Return")
        self.actions += 1
        if leads_to:
            return self.done(leads_to)
        return self.wait(lambda: self.state.get("field") == "none", 120, "the field is left")

    def command(self, line, leads_to):
        """A command typed into the command list: one action."""
        self.idle()
        self.key("ctrl+k")
        self.wait(lambda: self.state.get("open") == "list", 120, "the command list is open")
        self.type(line)
        self.key("Return")
        self.actions += 1
        return self.done(leads_to)

    def on_plan(self, forward, medial):
        """The pixel of a place of the plan, mm."""
        origin, f, m = (self.places["plan " + one] for one in ("origin", "forward", "medial"))
        return tuple(round(origin[i] + forward * (f[i] - origin[i]) / 100 + medial * (m[i] - origin[i]) / 100)
                     for i in (0, 1))

    def drag(self, start, *ends, leads_to=None, steps=10, slow=False):
        """Pressed at a pixel, moved through others, let go: one action. Slow: a tenth as far (Ctrl)."""
        self._xdo("mousemove", *start)
        time.sleep(3 * PACE)
        self._xdo("mousedown", 1)
        time.sleep(3 * PACE)
        if slow:
            self._xdo("keydown", "ctrl")
        at = start
        for end in ends:
            for i in range(1, steps + 1):
                self._xdo("mousemove", round(at[0] + (end[0] - at[0]) * i / steps),
                          round(at[1] + (end[1] - at[1]) * i / steps))
                time.sleep(PACE)
            at = end
        time.sleep(3 * PACE)
        self._xdo("mouseup", 1)
        if slow:
            self._xdo("keyup", "ctrl")
        self.actions += 1
        return self.done(leads_to) if leads_to else None

    def stage(self, word):
        self.idle()  # reasons come and go under the stages, and move those below
        self.press("stage" + word, "^stage " + word)
        self.wait(lambda: self.state.get("stage") == word, 120, "the stage is " + word)

    def end(self):
        self.editor.terminate()
        self.editor.wait(20)
