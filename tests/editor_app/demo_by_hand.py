"""demo_by_hand.py BUILD HOME: makes the demonstration case by hand from HOME/hand/lark-2207-left.ply, saves and exports
it, and compares it with HOME/demo (job and report of the demonstration). Run by demo_by_hand.sh."""
import glob
import json
import os
import subprocess
import sys

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
from compare_by_hand import compare  # noqa: E402
from hand_at_window import Hand  # noqa: E402

MOST_ACTIONS = 150


def receive(hand):
    hand.form("person", "TECH-04", "^setting person")
    hand.press("accept Side0", "^state side=left")
    hand.press("accept Unit0", "^state unit=in")
    hand.press("accept inside out0", "^state inside_out=yes")
    hand.put("case", "LARK-2207")
    hand.put("laboratory", "LAB-1")
    hand.put("order.prescriber", "CLIN-12")
    hand.put("order.body_mass_kg", 68)
    hand.choose("order.footwear", "boot")
    for name, value in (("length", 252), ("ball", 94), ("heel", 72), ("clearance", 1.5)):
        hand.put("order.insole_%s_mm" % name, value)
    hand.choose("order.activity", "high")
    hand.put("order.complaint", "sore 5th metatarsal base, small firm nodule in the plantar fascia, lateral unsteadiness")
    hand.put("order.asked", "rigid under the lateral column, flexible under the medial forefoot, deep heel cup")
    hand.choose("capture.method", "prone_non_weight_bearing")
    hand.put("capture.by", "CLIN-12")
    hand.choose("capture.reference", "subtalar_neutral")
    hand.choose("capture.forefoot", "as_found")
    hand.put("capture.arrived", "2026-11-13")
    hand.put("capture.received_by", "TECH-04")
    hand.choose("capture.dampness", "dry")
    hand.put("calipers.heel_breadth_mm", 64.5)
    hand.put("calipers.ball_breadth_mm", 93)


def examine(hand):
    hand.stage("examine")
    hand.idle()
    hand.press("finding 1", "^select finding 1")
    hand.press("answer 12", "^repair add bump")  # the air under the 1st head
    hand.idle()
    hand.press("look for ink0", "^marks find")
    hand.idle()
    for found, name, meaning in (("fascia", "fascia", 0), ("lesion", "nodule", 1), ("fifth-base", "sore-base", 2)):
        hand.press("mark " + found, '^select mark "?' + found)
        hand.press("drop meaning " + found, shows="item meaning %s%d" % (found, meaning))
        hand.press("item meaning %s%d" % (found, meaning), "^mark accept")
        hand.idle()  # what was accepted moves the rows below
        if name != found:
            hand.press("mark does %s2" % found, shows="form rename")
            hand.form("rename", name, "^mark rename")
            hand.idle()
        if name != "nodule":
            hand.press("mark does %s1" % name, "^mark relieve")
            hand.idle()
    landmarks(hand)


def landmarks(hand):
    """A person sets them where the skin was marked; what no picture of this cast shows is typed: every place as the
    demonstration has it, on record with a code."""
    with open(sys.argv[2] + "/demo/lark-2207.json") as job:
        known = json.load(job)["left"]["landmarks"]
    for name in sorted(known):
        place = ",".join("%.4f" % one for one in known[name]["position"])
        hand.command("landmark set %s %s by=TECH-04" % (name, place), "^landmark set " + name)


def order(hand):
    hand.stage("balance")
    hand.choose("balance.method", "heel_bisection")
    hand.choose("balance.forefoot", "platform")
    hand.put("balance.intrinsic_deg", -3)
    hand.stage("dress")
    hand.put("dress.arch_fill_mm", 2)
    hand.put("dress.lateral_expansion_mm", 3)
    hand.put("dress.lateral_skive.depth_mm", 3)
    hand.stage("trim")
    for where in ("medial", "posterior", "lateral"):
        hand.put("trim.cup_%s_mm" % where, 16)
    hand.put("trim.lateral_border_mm", 14)


def trim_dragged(hand):
    hand.idle()
    if hand.state.get("stage") != "trim":
        hand.stage("trim")
    hand.key("Escape")  # nothing is selected: the trim line can be taken
    hand.actions += 1
    x, y = hand.rests("handle line")
    hand.drag((x, y), (x + 14, y), slow=True, leads_to="^step end")


def named(hand, row, name):
    hand.press("feature " + row, "^select feature")
    rename(hand, name)


def rename(hand, name):
    hand.press("rename feature", shows="form rename")
    hand.form("rename", name, "^feature rename")


def reliefs(hand):
    hand.stage("reliefs")
    named(hand, "fascia-relief", "fascial-groove")
    groove = "features[fascial-groove]."
    hand.put(groove + "width_mm", 11)
    hand.choose(groove + "underside", "stays")
    hand.put(groove + "least_wall_mm", 1.5)
    for _ in range(5):  # each in the middle of the widest gap: 0.13, 0.25, 0.38, 0.5, 0.75 in the end
        hand.press("add station0", "^entry add")
    for number, along in ((4, 1), (3, 0.7), (2, 0.5), (1, 0.3), (0, 0)):
        hand.put(groove + "stations[%d].along" % number, along)
    hand.put(groove + "stations[2].width_mm", 16)
    hand.put(groove + "width_mm", 15)  # the stations go before it

    named(hand, "sore-base-relief", "base-relief")
    relief = "features[base-relief]."
    for key, value in (("depth_mm", 2.5), ("width_mm", 18), ("length_mm", 18), ("flank_mm", 6), ("medial_mm", 6)):
        hand.put(relief + key, value)

    hand.press("add pad", "^feature add pad-1")
    hand.done("^select feature")
    hand.idle()
    hand.drag(hand.rests("handle whole"), hand.on_plan(96, -24), leads_to="^step end")
    rename(hand, "lateral-pad")
    pad = "features[lateral-pad]."
    for key, value in (("height_mm", 2.5), ("width_mm", 18), ("length_mm", 38), ("flank_mm", 8)):
        hand.put(pad + key, value)


def wall(hand):
    hand.stage("wall")
    hand.idle()
    hand.choose("material", "pa11")
    hand.press("brush0", shows=lambda: hand.state.get("tool") == "brush")
    for value, radius, a, b in ((4.0, 20, (26, -32), (116, -32)), (2.4, 25, (123, 33), (165, 33))):
        hand.form("brush value", value)
        hand.form("brush radius", radius)
        hand.idle()
        hand.drag(hand.on_plan(*a), hand.on_plan(*b), leads_to="^step end", steps=24)
        hand.idle()
    hand.press("brush0", shows=lambda: hand.state.get("tool") == "none")


def finish(hand):
    hand.stage("post")
    hand.choose("posts.rearfoot.on", "yes")
    hand.put("posts.rearfoot.height_mm", 3)
    hand.choose("posts.forefoot.on", "yes")
    hand.put("posts.forefoot.extrinsic_deg", -2)
    hand.press("add cover0", "^entry add covers")
    cover = "covers[cover-1]."
    hand.put(cover + "material", "EVA, 25 Shore A")
    hand.put(cover + "thickness_mm", 2)
    hand.choose(cover + "length", "sulcus")
    hand.put(cover + "name", "top")
    hand.stage("make")
    hand.choose("lettering.on", "yes")
    hand.idle()


def main():
    build, home = sys.argv[1:3]
    folder = home + "/hand"
    hand = Hand(build + "/archwright-editor", [folder + "/lark-2207-left.ply"], home + "/said")
    try:
        hand.wait(lambda: hand.state.get("stage") == "receive", 900, "the cast is read")
        hand.idle()
        for step in (receive, examine, order, trim_dragged, reliefs, wall, finish):
            step(hand)
            print("%-14s %3d actions, %3d turns of the wheel" % (step.__name__, hand.actions, hand.wheel), flush=True)
        hand.key("ctrl+s")
        hand.actions += 1
        hand.done("^save")
        hand.wait(lambda: hand.state.get("saved") == "yes", 60, "it is saved")
        hand.press("export files", "^export")
        made = folder + "/made/*.report.json"
        hand.wait(lambda: glob.glob(made), 1500, "the files are written")
        hand.idle()
    except Exception as trouble:
        print("FAILED:", trouble)
        print("places:", sorted(hand.places))
        return 1
    finally:
        hand.end()
    print("%d actions (clicks, figures and words typed, drags, strokes, keys), %d turns of the wheel, %d clicks beside what had moved"
          % (hand.actions, hand.wheel, hand.missed))
    job = glob.glob(folder + "/*.json")[0]
    failures = compare(job, glob.glob(made)[0], home + "/demo/lark-2207.json",
                       glob.glob(home + "/demo/made/*.report.json")[0])
    if hand.actions >= MOST_ACTIONS:
        failures.append("%d actions, %d are too many" % (hand.actions, MOST_ACTIONS))
    # what went out is what the saved job gives
    subprocess.run([build + "/archwright", "--quiet", "make", job, "-o", home + "/again", "--format", "stl"], check=True,
                   stdout=subprocess.DEVNULL)
    stl = glob.glob(folder + "/made/*.stl")[0]
    with open(stl, "rb") as one, open(home + "/again/" + os.path.basename(stl), "rb") as other:
        if one.read() != other.read():
            failures.append("the exported STL is another than archwright makes of the saved job")
        else:
            print("the exported STL is the one archwright makes of the saved job")
    for one in failures:
        print("FAILED:", one)
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
