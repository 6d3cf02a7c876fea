#include "engine/print/check.hpp"

#include "engine/base/text.hpp"

namespace archwright::print {

namespace {

Check print_check(const std::string& id, const std::string& title, const std::string& unit) {
    Check check = named_check("print." + id, title);
    check.unit = unit;
    check.signable = false;
    return check;
}

std::string mm(double value, int decimals = 2) {
    return rounded(value, decimals) + " mm";
}
std::string mm2(double value) {
    return rounded(value, value < 10.0 ? 1 : 0) + " mm2";
}

/// Least of a figure over the places that have it, and the area where it is below its limit.
struct Least {
    std::optional<double> value;
    Vec3 where = Vec3::Zero();
    double below_mm2 = 0.0;

    void add(const SkinPlace& place, const std::optional<double>& figure, double limit) {
        if (!figure) return;
        if (*figure < limit) below_mm2 += place.area;
        if (value && *figure >= *value) return;
        value = figure;
        where = place.p;
    }
};

Verdict of_area(double area, Verdict worst) {
    return area <= 0.0 ? Verdict::pass : area < speck_mm2 ? Verdict::look : worst;
}

Check check_hollow(const Probe& probe, const Printer& printer) {
    Check check = print_check("hollow", "Closed hollows", "mm3");
    check.figure = probe.hollow_mm3;
    check.limit = 0.0;
    if (probe.hollows == 0) {
        check.message = "No closed hollow.";
        return check;
    }
    check.verdict = printer.process == Process::powder_bed ? Verdict::stop : Verdict::look;
    check.message = std::to_string(probe.hollows) +
                    (probe.hollows == 1 ? " closed hollow" : " closed hollows") + " of " +
                    rounded(probe.hollow_mm3, 1) + " mm3" +
                    (printer.process == Process::powder_bed ? ": powder stays in it for ever."
                                                            : ": nobody sees how its roof came out.");
    check.where = probe.hollow_where;
    return check;
}

Check check_wall(const Printing& all) {
    Check check = print_check("wall", "Least wall", "mm");
    const double limit = all.printer.least_wall_mm.value;
    check.figure = all.least_wall_mm;
    check.limit = limit;
    check.verdict = of_area(all.thin_mm2, Verdict::stop);
    if (!all.least_wall_mm) {
        check.message = "It has no wall that can be measured square.";
        return check;
    }
    check.where = all.wall_where;
    check.message = mm(*all.least_wall_mm) + " at " + place(all.wall_where) + ", the printer's least is " +
                    mm(limit) + ".";
    if (all.thin_mm2 > 0.0) check.message += " Thinner on " + mm2(all.thin_mm2) + " of its surface.";
    return check;
}

Check check_loaded(const Printing& all) {
    Check check = print_check("loaded", "Least wall where loads pass", "mm");
    const double limit = all.printer.least_loaded_mm.value;
    check.limit = limit;
    if (all.loads.empty()) {
        check.message = "Not asked: the device was not put on the bench.";
        check.verdict = Verdict::look;
        return check;
    }
    check.figure = all.least_loaded_mm;
    check.verdict = of_area(all.thin_loaded_mm2, Verdict::look);
    if (!all.least_loaded_mm) {
        check.message = "No wall was found where loads pass.";
        check.verdict = Verdict::look;
        return check;
    }
    check.where = all.loaded_where;
    check.message = mm(*all.least_loaded_mm) + " at " + place(all.loaded_where) + ", where the stress is " +
                    rounded(100.0 * loaded_share, 0) + " % of its greatest or more; loaded walls want " +
                    mm(limit) + ".";
    if (all.thin_loaded_mm2 > 0.0)
        check.message += " Thinner on " + mm2(all.thin_loaded_mm2) + " of what is loaded.";
    return check;
}

Check check_gap(const Printing& all) {
    Check check = print_check("gap", "Narrow gaps", "mm");
    const double limit = all.printer.least_gap_mm.value;
    check.figure = all.least_gap_mm;
    check.limit = limit;
    check.verdict = of_area(all.narrow_mm2, Verdict::look);
    if (!all.least_gap_mm) {
        check.message = "No two faces look at one another.";
        return check;
    }
    check.where = all.gap_where;
    check.message = "The narrowest is " + mm(*all.least_gap_mm) + " at " + place(all.gap_where) + "; below " +
                    mm(limit) + " gaps run together.";
    if (all.narrow_mm2 > 0.0) check.message += " Narrower on " + mm2(all.narrow_mm2) + " of its surface.";
    return check;
}

Check check_powder(const Printing& all) {
    Check check = print_check("powder", "Powder that stays", "");
    if (all.printer.process != Process::powder_bed) {
        check.message = "Nothing loose is left in a print of this process.";
        return check;
    }
    const double limit = all.printer.deepest.value;
    check.figure = all.deepest;
    check.limit = limit;
    check.verdict = of_area(all.deep_mm2, Verdict::look);
    if (all.deepest <= 0.0) {
        check.message = "Every place lies open: blasting reaches it.";
        return check;
    }
    check.where = all.deepest_where;
    check.message = "The deepest place, " + place(all.deepest_where) +
                    ", sees as little of the outside as the "
                    "floor of a round hole " +
                    rounded(all.deepest, 1) + " times as deep as wide; from " + rounded(limit, 1) +
                    " on powder stays.";
    if (all.deep_mm2 > 0.0) check.message += " So deep are " + mm2(all.deep_mm2) + " of its surface.";
    return check;
}

Check check_overhang(const Printing& all, const Laid& laid) {
    Check check = print_check("overhang", "Overhang", "mm2");
    check.figure = laid.overhang_mm2;
    if (all.printer.process == Process::powder_bed || !(all.printer.overhang_deg.value > 0.0)) {
        check.message = "The powder carries what overhangs.";
        return check;
    }
    if (laid.overhang_mm2 <= 0.0) {
        check.message = "Nothing lies flatter than " + rounded(all.printer.overhang_deg.value, 0) +
                        " degrees over nothing.";
        return check;
    }
    check.verdict = of_area(laid.overhang_mm2, Verdict::look);
    check.where = laid.overhang_where;
    check.message =
        mm2(laid.overhang_mm2) + " look down and lie flatter than " +
        rounded(all.printer.overhang_deg.value, 0) + " degrees: about " +
        rounded(laid.support_mm3 / 1000.0, 1) + " cm3 of supports, whose marks are ground off. " +
        (laid.plate_mm2 < speck_mm2 ? "Nothing of it lies flat on the plate: it wants a foot of supports."
                                    : mm2(laid.plate_mm2) + " lie on the plate.");
    return check;
}

Check check_flats(const Printing& all, const Laid& laid) {
    Check check = print_check("flats", "Flats that warp", "mm2");
    const double limit = all.printer.flat_mm2.value;
    check.figure = laid.flat_mm2;
    check.limit = limit;
    check.verdict = laid.flat_mm2 > limit ? Verdict::look : Verdict::pass;
    check.message = laid.flat_mm2 <= 0.0 ? "Nothing lies along the layers."
                                         : "The largest flat within " + rounded(flat_within_deg, 0) +
                                               " degrees of the layers is " + mm2(laid.flat_mm2) +
                                               "; above " + mm2(limit) + " flats warp.";
    if (laid.flat_mm2 > 0.0) check.where = laid.flat_where;
    return check;
}

Check check_layers(const Printing& all, const Laid& laid) {
    Check check = print_check("layers", "Loads against the layers", "%");
    // along and across counting alike would be a third
    constexpr double much = 1.0 / 3.0;
    if (all.loads.empty()) {
        check.verdict = Verdict::look;
        check.message = "Not asked: the device was not put on the bench.";
        return check;
    }
    check.figure = 100.0 * laid.across;
    check.limit = 100.0 * much;
    check.verdict = laid.across > much ? Verdict::look : Verdict::pass;
    check.message = rounded(100.0 * laid.across, 0) +
                    " % of what the loads pull goes square to the layers, "
                    "where a print is weakest; a third would be what chance gives.";
    return check;
}

Check check_volume(const Printing& all, const Placed& placed, bool asked, const std::string& words) {
    Check check = print_check("volume", "Build volume", "mm");
    const Vec3 room = all.printer.room();
    const double over = (placed.size - room).maxCoeff();
    check.figure = over;
    check.limit = 0.0;
    const auto size = [](const Vec3& s) {
        return rounded(s.x(), 0) + " x " + rounded(s.y(), 0) + " x " + rounded(s.z(), 0) + " mm";
    };
    check.message = size(placed.size) + " (" + words + "), and the printer has " + size(room) + " free.";
    if (!placed.fits) {
        check.verdict = Verdict::stop;
        check.message += " Too large by " + mm(over, 1) +
                         (asked ? ". Let it be laid otherwise, or take" : " however it is laid. Take") +
                         " a larger printer.";
    }
    return check;
}

}  // namespace

Verdict Printing::verdict() const {
    Verdict worst = Verdict::pass;
    for (const Check& check : checks) worst = std::max(worst, check.verdict);
    return worst;
}

Outcome<Printing> judge(const TriangleMesh& mesh, const Printer& printer, const Loads* loads,
                        const PrintSetting& setting, Progress* progress) {
    Printing all;
    all.printer = printer;
    if (progress) progress->report("Looking at walls and gaps", 0.0);
    ProbeSetting asked = setting.probe;
    asked.depth = asked.depth && printer.process == Process::powder_bed;
    auto found = probe(mesh, asked, progress);
    if (!found) return found.fault();
    all.probe = std::move(*found);
    if (loads) all.loads = loads->told();
    Least wall, loaded, gap;
    for (const SkinPlace& place : all.probe.places) {
        wall.add(place, place.wall_mm, printer.least_wall_mm.value);
        gap.add(place, place.gap_mm, printer.least_gap_mm.value);
        if (loads && place.wall_mm && loads->at(place.p) >= loaded_share)
            loaded.add(place, place.wall_mm, printer.least_loaded_mm.value);
        if (place.depth > all.deepest) {
            all.deepest = place.depth;
            all.deepest_where = place.p;
        }
        if (asked.depth && place.depth >= printer.deepest.value) all.deep_mm2 += place.area;
    }
    all.least_wall_mm = wall.value;
    all.wall_where = wall.where;
    all.thin_mm2 = wall.below_mm2;
    all.least_loaded_mm = loaded.value;
    all.loaded_where = loaded.where;
    all.thin_loaded_mm2 = loaded.below_mm2;
    all.least_gap_mm = gap.value;
    all.gap_where = gap.where;
    all.narrow_mm2 = gap.below_mm2;
    if (progress) progress->report("Laying it for the printer", 0.5);
    const Skin skin(mesh);
    auto proposal = propose(skin, printer, loads ? loads->pull() : Pull{}, progress);
    if (!proposal) return proposal.fault();
    all.proposal = std::move(*proposal);
    const Laid& laid = setting.as_it_stands ? all.proposal.as_it_stands : all.proposal.laid;
    const Placed& placed = setting.as_it_stands ? all.proposal.standing : all.proposal.placed;
    all.checks = {check_volume(all, placed, setting.as_it_stands, words_of_up(laid.up)),
                  check_wall(all),
                  check_loaded(all),
                  check_hollow(all.probe, printer),
                  check_powder(all),
                  check_gap(all),
                  check_overhang(all, laid),
                  check_flats(all, laid),
                  check_layers(all, laid)};
    if (!setting.material_note.empty()) {
        Check note = print_check("material", "Material on this printer", "");
        note.verdict = Verdict::look;
        note.message = setting.material_note;
        if (note.message.back() != '.') note.message += ".";
        note.message.front() =
            static_cast<char>(std::toupper(static_cast<unsigned char>(note.message.front())));
        all.checks.push_back(std::move(note));
    }
    if (progress) progress->report("Laying it for the printer", 1.0);
    return all;
}

Outcome<std::string> runs_with(const Printer& printer, const std::string& material) {
    std::string keys;
    for (const PrinterMaterial& known : printer.materials) {
        if (known.key == material) return known.note;
        keys += (keys.empty() ? "" : ", ") + known.key;
    }
    return Fault{FaultKind::usage,
                 "print",
                 "The device is designed in " + material + " and " + printer.name + " is run with " + keys +
                     ": wall and flex were judged for another material. Choose another printer, or set the "
                     "job's material.",
                 {}};
}

}  // namespace archwright::print
