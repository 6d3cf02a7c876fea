// Make: the device milled and printed, as far as can be said before.
#include <algorithm>

#include "editor/ui/panel.hpp"
#include "editor/ui/said.hpp"
#include "engine/base/text.hpp"
#include "exporters/print_told.hpp"

namespace archwright::editor::ui {

namespace {

/// Keys and names of the entries of a map that are let through.
template <class T, class Let, class Name>
std::pair<std::vector<std::string>, std::vector<std::string>> listed(const std::map<std::string, T>& all,
                                                                     Let let, Name name) {
    std::pair<std::vector<std::string>, std::vector<std::string>> both;
    for (const auto& [key, entry] : all) {
        if (!let(entry)) continue;
        both.first.push_back(key);
        both.second.push_back(name(entry));
    }
    return both;
}

std::string in_minutes(double seconds) {
    return rounded(seconds / 60.0, 0) + " min";
}

}  // namespace

bool Panel::workshop_there() {
    if (!state.shop && state.shop_trouble.empty()) {
        auto shop = workshop::load_workshop(design::assets_folder());
        auto printers = print::load_printers(design::assets_folder());
        if (!shop)
            state.shop_trouble = shop.fault().message;
        else if (!printers)
            state.shop_trouble = printers.fault().message;
        else {
            state.shop = std::move(*shop);
            state.printers = std::move(*printers);
        }
    }
    if (state.shop) return true;
    words("The workshop cannot be read: " + state.shop_trouble, 0, 6);
    return false;
}

void Panel::under_way(const std::string& id) {
    const double share = std::clamp(screen.session_.activity().fraction, 0.0, 1.0);
    const Box bar{area.x, y + 4, area.w, 5};
    look.fill(bar, look.field(), 2);
    look.fill({bar.x, bar.y, bar.w * share, bar.h}, t.accent, 2);
    y += 16;
    if (buttons(id, {"Cancel"}) == 0) say("cancel");
}

void Panel::milling() {
    const model::Session& session = screen.session_;
    const std::shared_ptr<const model::Milled> milled = session.milled();
    head("Milling");
    if (!workshop_there()) return;
    const model::FootView view = screen.foot_view();
    if (!view.proved()) {
        words("Can be planned once the device is built and proved.", 0, 2, true);
        return;
    }
    const std::string& material = view.latest->device->shelled->material.key;
    if (state.mill_of != material) {
        state.mill = model::usual_milling(*state.shop, material);
        state.mill_of = material;
    }
    model::MillWith& with = state.mill;
    if (milled && milled->number != state.mill_shown) {  // also one that was asked for in words
        with = milled->with;
        state.mill_shown = milled->number;
    }
    const auto blocks = listed(
        state.shop->blocks, [&](const workshop::Block& b) { return b.material == material; },
        [](const workshop::Block& b) { return b.name; });
    if (blocks.first.empty()) {
        words("No block of the workshop is of " + view.latest->device->shelled->material.name +
                  ". Blocks are files of assets/blocks.",
              0, 4, true);
        return;
    }
    const auto machines = listed(
        state.shop->machines, [](const workshop::Machine&) { return true; },
        [](const workshop::Machine& m) { return m.name; });
    const auto roughs = listed(
        state.shop->cutters, [](const workshop::CutterEntry& c) { return !c.cutter.ball(); },
        [](const workshop::CutterEntry& c) { return c.cutter.name; });
    const auto finishes = listed(
        state.shop->cutters, [](const workshop::CutterEntry& c) { return c.cutter.corner_radius > 0.0; },
        [](const workshop::CutterEntry& c) { return c.cutter.name; });
    const auto choose = [&](const char* id, const char* name, const auto& both, std::string& key) {
        const auto at = std::find(both.first.begin(), both.first.end(), key);
        const std::string shown =
            at == both.first.end() ? key : both.second[static_cast<std::size_t>(at - both.first.begin())];
        if (const int chosen = drop(id, name, both.second, shown); chosen >= 0)
            key = both.first[static_cast<std::size_t>(chosen)];
    };
    const auto choose_figure = [&](const char* id, const char* name, const std::vector<double>& figures,
                                   const std::string& unit, double& value) {
        std::vector<std::string> all;
        for (const double figure : figures) all.push_back(exact(figure) + unit);
        if (const int chosen = drop(id, name, all, exact(value) + unit); chosen >= 0)
            value = figures[static_cast<std::size_t>(chosen)];
    };
    choose("mill machine", "Machine", machines, with.machine);
    choose("mill block", "Block", blocks, with.block);
    choose("mill rough", "Roughing", roughs, with.rough);
    choose("mill finish", "Finishing", finishes, with.finish);
    const int flip = drop("mill flip", "Flip", {"x, the long axis", "y, the short axis"},
                          with.about_y ? "y, the short axis" : "x, the long axis");
    if (flip >= 0) with.about_y = flip == 1;
    const int datum = drop("mill datum", "Datum", {"pins", "edges"}, with.edges ? "edges" : "pins");
    if (datum >= 0) with.edges = datum == 1;
    choose_figure("mill tilt", "Tilt up to", {0.0, 4.0, 8.0, 12.0}, "\u00b0", with.tilt_deg);
    choose_figure("mill cusp", "Cusp", {0.01, 0.02, 0.05, 0.1}, " mm", with.cusp_mm);
    if (session.making() == "mill") {
        under_way("mill cancel");
        return;
    }
    if (buttons("mill now", {"Plan and simulate"}, 0, milled ? -1 : 0) == 0) {
        say("mill machine=" + with.machine + " block=" + with.block + " rough=" + with.rough +
            " finish=" + with.finish + " flip=" + (with.about_y ? "y" : "x") +
            " datum=" + (with.edges ? "edges" : "pins") + " tilt=" + exact(with.tilt_deg) +
            " cusp=" + exact(with.cusp_mm));
        if (session.view("block") == "off") say("view block 1");
        screen.state_.mill_at = 1.0;
    }
    if (session.mill_fault()) {
        look.sign({area.x + 6, y + 11}, Sign::stop);
        y += look.paragraph(session.mill_fault()->message, {area.x + 22, y + 3}, area.w - 22, 14, Face::small,
                            t.text) +
             10;
    }
    if (milled) milled_figures(*milled);
}

void Panel::milled_figures(const model::Milled& milled) {
    const exporters::nc::Milling& milling = milled.milling;
    const bool stops = !milling.stops.empty();
    look.sign({area.x + 6, y + 10}, stops ? Sign::stop : Sign::pass);
    look.name(stops ? "The programs would not be written" : "Simulated clean", {area.x + 20, y + 10},
              area.w - 20, Face::strong, t.text);
    y += 24;
    for (const std::string& stop : milling.stops) words(stop, 20, 6);
    const auto line = [&](const std::string& name, const std::string& value) {
        look.text(name, {area.x, y + 10}, 0.46 * area.w, Face::small, t.soft);
        look.text(value, {area.right(), y + 10}, 0.54 * area.w - 4, Face::small_strong, t.text, Align::right);
        y += 20;
    };
    for (const exporters::nc::ProvedSide& side : milling.sides)
        line("Set-up " + std::to_string(side.side + 1),
             std::to_string(side.lines) + " lines, " + in_minutes(side.simulated.seconds));
    line("Deepest gouge", rounded(milling.gouge_mm, 3) + " mm");
    line("Most left over", rounded(milling.left_mm, 3) + " mm");
    line("Not reached", rounded(milling.unreached_area_mm2 / 100.0, 1) + " cm\u00b2");
    line("Least concave radius", rounded(milling.concave_mm, 1) + " mm");
    for (const std::string& warning : milling.warnings) {
        look.sign({area.x + 6, y + 8}, Sign::look, 0.9);
        words(warning, 20, 12);
    }
    if (milled.setting.cutting.melts && !milled.setting.cutting.note.empty()) {
        look.sign({area.x + 6, y + 8}, Sign::look, 0.9);
        words(milled.setting.cutting.note, 20, 8);
    }
    y += 2;
    const std::string& block = screen.session_.view("block");
    int next = screen.segments("block ", {area.x, y, area.w, 26}, {"Plan", "Set-up 1", "Set-up 2"},
                               block == "off" ? 0
                               : block == "1" ? 1
                                              : 2);
    if (next >= 0) say(std::string("view block ") + (next == 0 ? "off" : next == 1 ? "1" : "2"));
    y += 34;
    if (block != "off") {
        const std::string& cut = screen.session_.view("cut");
        next = screen.segments("cut ", {area.x, y, area.w, 26}, {"Block", "Stays", "Left over"},
                               cut == "none"    ? 0
                               : cut == "stays" ? 1
                                                : 2);
        if (next >= 0) say(std::string("view cut ") + (next == 0 ? "none" : next == 1 ? "stays" : "left"));
        y += 34;
        words(cut == "stays" ? "What the finishing cutter cannot take off from this side, along its axis."
              : cut == "left"
                  ? "What the program leaves, along the cutter's axis; what cannot be reached with "
                    "it. Judged is square to the surface."
                  : "The slider under the block plays the program.",
              0, 7, true);
    }
    words("archwright mill writes the programs, with their cautions.", 0, 2, true);
    if (buttons("mill off", {"Let go"}) == 0) say("mill off");
}

void Panel::printing() {
    const model::Session& session = screen.session_;
    head("Printing");
    if (!workshop_there()) return;
    const model::FootView view = screen.foot_view();
    if (!view.proved()) {
        words("Can be judged once the device is built and proved.", 0, 2, true);
        return;
    }
    const design::Material& material = view.latest->device->shelled->material;
    const auto printers = listed(
        state.printers, [&](const print::Printer& p) { return print::runs_with(p, material.key).ok(); },
        [](const print::Printer& p) { return p.name; });
    if (printers.first.empty()) {
        words("No printer of the workshop is run with " + material.name +
                  ". Printers are files of assets/printers.",
              0, 4, true);
        return;
    }
    auto at = std::find(printers.first.begin(), printers.first.end(), state.printer);
    if (at == printers.first.end()) {
        // a powder bed where there is one
        at = std::find_if(printers.first.begin(), printers.first.end(), [&](const std::string& key) {
            return state.printers.at(key).process == print::Process::powder_bed;
        });
        if (at == printers.first.end()) at = printers.first.begin();
        state.printer = *at;
    }
    const auto shown = static_cast<std::size_t>(at - printers.first.begin());
    if (const int chosen = drop("print printer", "Printer", printers.second, printers.second[shown]);
        chosen >= 0)
        state.printer = printers.first[static_cast<std::size_t>(chosen)];
    if (tick("print standing", "As it stands, foot side up", {area.x, y, area.w, 28},
             state.print_as_it_stands))
        state.print_as_it_stands = !state.print_as_it_stands;
    y += 36;
    if (session.making() == "print") {
        under_way("print cancel");
        return;
    }
    const auto printed = session.printed();
    if (buttons("print now", {"Judge it"}, 0, printed ? -1 : 0) == 0)
        say("print printer=" + state.printer + (state.print_as_it_stands ? " as_it_stands=yes" : ""));
    if (session.print_fault()) {
        look.sign({area.x + 6, y + 11}, Sign::stop);
        y += look.paragraph(session.print_fault()->message, {area.x + 22, y + 3}, area.w - 22, 14,
                            Face::small, t.text) +
             10;
    }
    if (printed) printed_figures(*printed);
}

void Panel::printed_figures(const model::Printed& printed) {
    const print::Proposal& proposal = printed.printing.proposal;
    const Verdict worst = printed.printing.verdict();
    look.sign({area.x + 6, y + 10}, sign_of(worst));
    look.name(worst == Verdict::stop   ? "It will not come out"
              : worst == Verdict::look ? "It comes out; look at this"
                                       : "It comes out",
              {area.x + 20, y + 10}, area.w - 20, Face::strong, t.text);
    y += 24;
    words("Laid: " + print::words_of_up(proposal.laid.up) + ".", 0, 3);
    const double name_w = 0.42 * area.w, one = area.x + 0.71 * area.w;
    look.text("laid", {one, y + 10}, 0.28 * area.w, Face::small, t.faint, Align::right);
    look.text("as it stands", {area.right(), y + 10}, 0.29 * area.w, Face::small, t.faint, Align::right);
    y += 20;
    const auto line = [&](const char* name, double laid, double stands, int decimals, const char* unit) {
        look.text(name, {area.x, y + 10}, name_w - 4, Face::small, t.soft);
        look.text(rounded(laid, decimals) + unit, {one, y + 10}, 0.28 * area.w, Face::small_strong, t.text,
                  Align::right);
        look.text(rounded(stands, decimals) + unit, {area.right(), y + 10}, 0.28 * area.w, Face::small,
                  t.text, Align::right);
        y += 20;
    };
    const print::Laid &laid = proposal.laid, &stands = proposal.as_it_stands;
    line("Height", laid.height_mm, stands.height_mm, 0, " mm");
    if (printed.printing.printer.overhang_deg.value > 0.0)
        line("Supports", laid.support_mm3 / 1000.0, stands.support_mm3 / 1000.0, 1, " cm\u00b3");
    line("Largest flat", laid.flat_mm2 / 100.0, stands.flat_mm2 / 100.0, 1, " cm\u00b2");
    if (!printed.printing.loads.empty())
        line("Across layers", 100.0 * laid.across, 100.0 * stands.across, 0, " %");
    line("Score", laid.score, stands.score, 2, "");
    y += 4;
    for (const Verdict verdict : {Verdict::stop, Verdict::look, Verdict::pass})
        for (const Check& check : printed.printing.checks)
            if (check.verdict == verdict) printed_check(check);
    words(exporters::print_caution, 0, 8, true);
    if (buttons("print off", {"Let go"}) == 0) say("print off");
}

void Panel::printed_check(const Check& check) {
    const Box box{area.x - 6, y, area.w + 12, 26};
    const Screen::Hit h = screen.hit("print check " + check.id, box);
    const bool bad = check.verdict != Verdict::pass, open = state.print_check == check.id;
    if (bad)
        look.fill(box, check.verdict == Verdict::stop ? t.stop_fill : t.look_fill, 3);
    else if (h.hovered || open)
        look.fill(box, t.head, 3);
    const Sign sign = sign_of(check.verdict);
    look.sign({box.x + 15, y + 13}, sign, 0.9);
    look.name(check.title, {box.x + 30, y + 13}, box.w - 40, bad ? Face::strong : Face::body,
              bad ? look.sign_colour(sign) : t.text);
    y += 28;
    if (open) words(check.message, 24, 12);
    if (!h.clicked) return;
    state.print_check = open ? "" : check.id;
    if (!open && check.where) go_to(*check.where);
}

}  // namespace archwright::editor::ui
