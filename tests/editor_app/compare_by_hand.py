"""Compares a job made by hand, and its report, with the demonstration's: what was typed is the same to the last digit;
what was measured lies within a tolerance that is printed beside it, with its reason."""
import json

# How far a figure may lie from the demonstration's, and why.
LANDMARKS = "the same landmarks to 0.003 mm, other repairs of the cast: the report's own doubt of both"
ASKED = "within the gate of what was asked"
BRUSHED = "two regions brushed, not drawn: their corners are round"
DRAGGED = "within the gate of what was asked, and what the trim line was dragged by"
ROUNDED = "the trim line dragged out at one place: less round there"
PLACED = "dragged to its place by whole pixels"

# of the job: what was not typed, so that it is not the same
NOT_TYPED = ("landmarks", "marks", "repairs", "answers", "cast", "side", "sign_offs", "approvals", "presets",
             "wall.regions", "trim.controls", "revisions")


def leaves(value, path=""):
    """Name and value of everything in a job; entries of lists by their names."""
    if isinstance(value, dict):
        for key, one in value.items():
            yield from leaves(one, path + ("." if path else "") + key)
    elif isinstance(value, list) and value and isinstance(value[0], dict):
        for i, one in enumerate(value):
            yield from leaves(one, "%s[%s]" % (path, one.get("name", i)))
    else:
        yield path, value


def typed(job, demo, failures):
    ours, theirs = dict(leaves(job)), dict(leaves(demo))
    same = 0
    for name in sorted(set(ours) | set(theirs)):
        bare = name.split("left.", 1)[-1]
        if bare.startswith(NOT_TYPED):
            continue
        if bare == "features[lateral-pad].points":
            a, b = ours[name][0], theirs[name][0]
            way = max(abs(a[i] - b[i]) for i in (0, 1))
            print("  %-34s %10.1f mm from it, at most 1.0: dragged by whole pixels" % (bare, way))
            if way > 1.0:
                failures.append("the pad was dragged to %s, not %s" % (a, b))
        elif ours.get(name) != theirs.get(name):
            failures.append("%s is %s, in the demonstration %s" % (name, ours.get(name), theirs.get(name)))
        else:
            same += 1
    print("  %d values of the order are the demonstration's, to the last digit" % same)


def figures(report):
    """The measured figures of a report: name, value, doubt."""
    for one in report["measurements"]:
        yield "measured " + one["id"], one["value"], one["uncertainty"]
    for key, value in report["trim"].items():
        if isinstance(value, float):
            yield "trim " + key, value, 0
    for key, value in report["trim"]["distal_edge_behind_mm"].items():
        yield "distal edge behind " + key, value, 0
    for one in report["features"]:
        yield one["name"] + " measured_mm", one["measured_mm"], 0
        yield one["name"] + " volume_mm3", one["volume_mm3"], 0
    for one in report["dressing"]["steps"]:
        yield "dressed " + one["id"] + " largest_mm", one["largest_mm"], 0
    for key in ("least_wall_mm", "mean_wall_mm", "greatest_wall_mm", "rim_least_mm", "mass_g", "area_mm2"):
        yield "shell " + key, report["shell"][key], 0
    for key in ("least_mm", "greatest_mm"):
        yield "wall asked " + key, report["wall_map"][key], 0
    for one in report["checks"]:
        if one["id"] in ("post.faces", "wall.slope"):
            yield one["id"], one["figure"], 0


GATE_MM = 0.2  # of what was asked of trim line and dressing


def tolerance(name, value, dragged):
    """So far apart they may be, and why; None: the doubt of both. `dragged`: the trim line, mm."""
    if name.startswith("measured "):
        return None, LANDMARKS
    if name.startswith("wall asked"):
        return 0.0, "typed"
    if name.endswith("measured_mm"):
        return 0.05, "typed, and made within the gate of 0.05 mm"
    if name == "trim length_mm":
        return GATE_MM + 2 * dragged, DRAGGED + ", there and back"
    if name in ("trim least_radius_mm", "trim corner_radius_mm"):
        return 0.5, ROUNDED
    if name.startswith(("trim ", "distal edge")):
        return GATE_MM + dragged, DRAGGED
    if name.endswith("volume_mm3"):
        return 0.03 * abs(value), PLACED
    if name.startswith("dressed"):
        return GATE_MM, ASKED
    if name in ("shell mass_g", "shell area_mm2"):
        return 0.01 * abs(value), BRUSHED + "; the trim line dragged"
    if name == "shell mean_wall_mm":
        return 0.08, BRUSHED
    if name.startswith("shell"):
        return 0.1, "typed, and measured on triangles of another mesh"
    if name == "post.faces":
        return 0.5, "typed; the gate of the faces"
    return 0.05, BRUSHED


def compare(job, report, demo_job, demo_report):
    with open(job) as a, open(demo_job) as b:
        failures = []
        print("The order:")
        made = json.load(a)
        typed(made, json.load(b), failures)
    controls = made["left"]["trim"]["controls"]
    dragged = max((abs(one["offset_mm"]) for one in controls), default=0.0)
    if not 0.1 <= dragged <= 2.0:
        failures.append("the trim line was dragged by %s, not by about a millimetre" % controls)
    with open(report) as a, open(demo_report) as b:
        ours, theirs = json.load(a), json.load(b)
    print("The figures:   by hand, the demonstration's, apart, at most")
    if ours["verdict"]["word"] != theirs["verdict"]["word"]:
        failures.append("the verdict is %s" % ours["verdict"]["word"])
    theirs_by = {name: (value, doubt) for name, value, doubt in figures(theirs)}
    ours_by = {name: (value, doubt) for name, value, doubt in figures(ours)}
    for name, (value, doubt) in theirs_by.items():
        if name not in ours_by:
            failures.append("there is no " + name)
            continue
        mine, my_doubt = ours_by[name]
        most, why = tolerance(name, value, dragged)
        if most is None:
            most = (doubt ** 2 + my_doubt ** 2) ** 0.5
        apart = abs(mine - value)
        print("  %-42s %10.3f %10.3f %8.3f %8.3f  %s" % (name, mine, value, apart, most, why))
        if apart > most + 1e-9:
            failures.append("%s is %.3f, in the demonstration %.3f, more than %.3f apart" % (name, mine, value, most))
    return failures
