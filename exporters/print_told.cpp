#include "exporters/print_told.hpp"

#include "engine/base/text.hpp"
#include "engine/foot/frame.hpp"
#include "exporters/deliver.hpp"

namespace archwright::exporters {

namespace {

using PrintJson = nlohmann::ordered_json;

PrintJson array_of(const Vec3& p) {
    return PrintJson::array({p.x(), p.y(), p.z()});
}

PrintJson lay_json(const print::Laid& laid, const print::Placed& placed, Side side) {
    // of the file as it is exported: a left device's turn is the mirror image
    const Mat3 mirror = Vec3(1.0, side == Side::left ? -1.0 : 1.0, 1.0).asDiagonal();
    const Mat3 turn = mirror * placed.turn * mirror;
    PrintJson rows = PrintJson::array();
    for (int r = 0; r < 3; ++r) rows.push_back(array_of(turn.row(r)));
    return {{"words", print::words_of_up(laid.up)},
            {"up", array_of(laid.up)},
            {"turn_of_exported", rows},
            {"size_mm", array_of(placed.size)},
            {"fits", placed.fits},
            {"height_mm", laid.height_mm},
            {"overhang_mm2", laid.overhang_mm2},
            {"on_plate_mm2", laid.plate_mm2},
            {"supports_mm3", laid.support_mm3},
            {"largest_flat_mm2", laid.flat_mm2},
            {"across_layers", laid.across},
            {"score", laid.score}};
}

std::string figures(const print::Laid& laid, const print::Printing& printing) {
    std::string text = rounded(laid.height_mm, 0) + " mm high";
    if (printing.printer.overhang_deg.value > 0.0)
        text += ", overhang " + rounded(laid.overhang_mm2 / 100.0, 1) + " cm2 with " +
                rounded(laid.support_mm3 / 1000.0, 1) + " cm3 of supports";
    text += ", largest flat " + rounded(laid.flat_mm2 / 100.0, 1) + " cm2";
    if (!printing.loads.empty())
        text += ", " + rounded(100.0 * laid.across, 0) + " % of the loads square to the layers";
    return text + "; score " + rounded(laid.score, 2);
}

}  // namespace

const char* const print_caution =
    "A print check knows the shape and figures of the printer; it knows no powder, no worn nozzle, no heat. "
    "Print and break a trial piece of your own, and follow the rules of the printer's maker.";

std::vector<std::string> print_lines(const build::Device& device, const print::Printing& printing,
                                     bool as_it_stands) {
    std::vector<std::string> lines;
    const print::Proposal& p = printing.proposal;
    lines.push_back(file_stem(device) + " on " + printing.printer.name + " (" +
                    print::title(printing.printer.process) + "): " + word(printing.verdict()));
    lines.push_back("  Proposed: " + print::words_of_up(p.laid.up) + ". " + figures(p.laid, printing));
    lines.push_back("  As it stands: " + figures(p.as_it_stands, printing));
    lines.push_back(std::string("  Judged ") + (as_it_stands ? "as it stands" : "as proposed") +
                    "; the lower the score the better, its weights are the printer's");
    if (!printing.loads.empty()) {
        std::string loads;
        for (const std::string& load : printing.loads) loads += (loads.empty() ? "" : "; ") + load;
        lines.push_back("  Loads: " + loads);
    }
    for (const Check& check : printing.checks)
        lines.push_back(std::string("  [") + word(check.verdict) + "] " + check.title + " (" + check.id +
                        "): " + check.message);
    for (const build::Part& part : device.shelled->parts)
        lines.push_back("  Not judged: " + part.name + ", a part of its own in " + part.material.name);
    if (!printing.printer.note.empty())
        lines.push_back("  " + printing.printer.name + ": " + printing.printer.note);
    lines.push_back(std::string("  ") + print_caution);
    return lines;
}

PrintJson print_json(const build::Device& device, const print::Printing& printing, bool as_it_stands) {
    PrintJson checks = PrintJson::array();
    for (const Check& check : printing.checks) {
        PrintJson one{{"id", check.id},
                      {"title", check.title},
                      {"verdict", word(check.verdict)},
                      {"message", check.message}};
        if (check.figure) one["figure"] = *check.figure;
        if (check.limit) one["limit"] = *check.limit;
        if (!check.unit.empty()) one["unit"] = check.unit;
        if (check.where) one["where_mm"] = array_of(*check.where);
        checks.push_back(std::move(one));
    }
    PrintJson apart = PrintJson::array();
    for (const build::Part& part : device.shelled->parts) apart.push_back(part.name);
    const print::Proposal& p = printing.proposal;
    return {{"name", file_stem(device)},
            {"side", word(device.side)},
            {"printer", printing.printer.key},
            {"process", print::title(printing.printer.process)},
            {"material", device.shelled->material.key},
            {"verdict", word(printing.verdict())},
            {"judged", as_it_stands ? "as it stands" : "as proposed"},
            {"proposed", lay_json(p.laid, p.placed, device.side)},
            {"as_it_stands", lay_json(p.as_it_stands, p.standing, device.side)},
            {"weights",
             {{"height", printing.printer.weights.height},
              {"overhang", printing.printer.weights.overhang},
              {"flats", printing.printer.weights.flats},
              {"across", printing.printer.weights.across}}},
            {"loads", printing.loads},
            {"places", printing.probe.places.size()},
            {"checks", checks},
            {"not_judged", apart},
            {"caution", print_caution}};
}

TriangleMesh on_plate(const build::Device& device, const print::Printing& printing, bool as_it_stands) {
    const print::Placed& placed = as_it_stands ? printing.proposal.standing : printing.proposal.placed;
    return foot::to_export(placed.of(device.made().mesh), device.side);
}

Outcome<print::Printing> judge_print(const build::Device& device, const std::optional<double>& body_mass_kg,
                                     const print::Printer& printer, bool as_it_stands, Progress& progress) {
    if (!device.shelled || !device.surfaced || !device.proved)
        return Fault{FaultKind::internal, "print", "The device was not proved before it was judged.", {}};
    auto note = print::runs_with(printer, device.shelled->material.key);
    if (!note) return note.fault();
    print::PrintSetting setting;
    setting.as_it_stands = as_it_stands;
    setting.material_note = std::move(*note);
    const auto loads = print::loads_of(device, body_mass_kg, &progress);
    if (!loads && loads.fault().kind == FaultKind::cancelled) return loads.fault();
    return print::judge(device.made().mesh, printer, loads ? &*loads : nullptr, setting, &progress);
}

}  // namespace archwright::exporters
