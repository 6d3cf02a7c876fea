// The wall beside its graph: bands of rigidity, columns, regions, and what they come to.
#include <algorithm>
#include <cmath>
#include <tuple>
#include <utility>

#include "editor/ui/panel.hpp"
#include "engine/base/text.hpp"
#include "engine/design/description.hpp"

namespace archwright::editor::ui {

namespace {

/// The one value that a kind of zone reads.
const char* value_key(const design::WallZone& zone) {
    return zone.kind == design::WallZone::Kind::wall    ? "wall_mm"
           : zone.kind == design::WallZone::Kind::scale ? "scale"
                                                        : "rigidity";
}

std::string of_base(double times) {
    return rounded(times, 2) + " x";
}

}  // namespace

void Panel::wall_figures() {
    const model::FootView view = screen.foot_view();
    const build::Device* device = view.latest && view.latest->device && view.latest->device->shelled
                                      ? view.latest->device.get()
                                      : nullptr;
    // while it is built anew the last figures keep their rows, faint
    if (device == nullptr && view.latest && !view.latest->fault && view.sound && view.sound->device &&
        view.sound->device->shelled)
        device = view.sound->device.get();
    if (device == nullptr) return;
    const build::Shelled& shelled = *device->shelled;
    const build::Rigidity& rigidity = shelled.rigidity;
    const bool fresh = screen.settled("wall");
    y += 8;
    head("What it comes to", fresh ? "" : "being worked out");
    const Colour ink = fresh ? t.text : t.faint;
    const auto line = [&](const std::string& name, const std::string& value) {
        look.text(name, {area.x, y + 10}, 0.44 * area.w, Face::small, t.soft);
        look.text(value, {area.right(), y + 10}, 0.56 * area.w - 4, Face::small_strong, ink, Align::right);
        y += 21;
    };
    if (device->proved) line("Mass", figure(device->mass_g(), 1, "g"));
    const auto flexed = screen.session_.flexed();
    if (flexed && flexed->result && flexed->edition == screen.session_.edition() && flexed->result->gives)
        line(flex::title(flexed->result->load_case), flex::bench_figure(flexed->result->stiffness) + " " +
                                                         flex::units(flexed->result->load_case).stiffness);
    const auto [low, high] = shelled.wall->asked_range();
    line("Wall asked",
         high - low < 0.005 ? figure(low, 2, "mm") : figure(low, 2) + " to " + figure(high, 2, "mm"));
    line("Rigidity of the base", figure(rigidity.base(), 0, "N mm"));
    const double least = rigidity.walls.least_mm, most = rigidity.walls.greatest_mm;
    if (most - least >= 0.005) {
        line("Rigidity", figure(rigidity.at(least), 0) + " to " + figure(rigidity.at(most), 0, "N mm"));
        line("Of the base", of_base(rigidity.over_base(least)) + " to " + of_base(rigidity.over_base(most)));
    }
    for (const Check& check : shelled.checks)
        if (check.id == "wall.slope" && check.figure)
            line("Steepest change", figure(*check.figure, 2, "mm per mm"));
    words(picture::rigidity_caution, 0, 2, true);
}

void Panel::wall_bands() {
    if (state.form != "wall bands") {
        if (buttons("wall bands", {"Rigid and flexible bands"}) == 0) {
            state.form = "wall bands";
            for (const char* band : {"heel", "midfoot", "forefoot"})
                if (typed(std::string("band ") + band).empty()) typed(std::string("band ") + band) = "1";
        }
        return;
    }
    head("Bands of rigidity", "x the base");
    words(
        "Of the base's bending rigidity: 2 is twice as rigid, 0.5 half. They are written as stations of "
        "wall.");
    bool enter = false;
    std::string command = "wall bands", wrong;
    for (const auto& [band, name] :
         {std::pair{"heel", "Heel"}, std::pair{"midfoot", "Midfoot"}, std::pair{"forefoot", "Forefoot"}}) {
        const std::string id = std::string("band ") + band;
        enter = field_row(id, name, "1") || enter;
        const auto rigidity = parse_number(typed(id).empty() ? "1" : typed(id));
        if (!rigidity || *rigidity < design::rigidity_range.low || *rigidity > design::rigidity_range.high)
            wrong = std::string(name) + ": write a rigidity from " + exact(design::rigidity_range.low) +
                    " to " + exact(design::rigidity_range.high) + ", 1 is the base's.";
        else
            command += std::string(" ") + band + "=" + exact(*rigidity);
    }
    int pressed = buttons("bands", {"Make the bands", "Leave it"}, 0, 0);
    if (enter || pressed == 0) {
        screen.state_.told = wrong;
        screen.state_.told_fault = !wrong.empty();
        if (wrong.empty()) say(command + of_foot());
        pressed = wrong.empty() ? 0 : -1;
    }
    if (pressed >= 0) state.form.clear();
}

void Panel::zone_row(const std::string& title, const model::Selection& zone, const std::string& list) {
    const bool chosen = screen.session_.selection() == zone;
    y += 6;
    const Screen::Hit h = row(zone.what + " " + zone.name, 28, chosen);
    look.name(title, {area.x, y + 14}, area.w, chosen ? Face::strong : Face::body, t.text);
    if (h.clicked) say(chosen ? "select none" : "select " + zone.what + " " + design::in_quotes(zone.name));
    y += 30;
    if (!chosen || list.empty()) return;
    if (buttons("remove " + zone.what, {"Remove " + zone.name}) == 0) {
        say("entry remove " + list + " " + design::in_quotes(zone.name) + of_foot());
        say("select none");
    }
}

void Panel::wall_zones() {
    const auto rows = [&](const std::string& table, const std::string& path,
                          std::initializer_list<const char*> keys) {
        for (const char* key : keys) screen.parameter_row(area, y, table + key, path + key);
    };
    const auto zone = [&](const design::WallZone& one, const std::string& table, const std::string& path) {
        rows(table, path, {"kind", value_key(one)});
        rows(table, path, {"blend_mm", "priority"});
    };
    for (const auto& [column, key, name] :
         {std::tuple{&foot().wall.medial_column, "wall.medial_column.", "Medial column"},
          std::tuple{&foot().wall.lateral_column, "wall.lateral_column.", "Lateral column"}}) {
        const bool medial = column == &foot().wall.medial_column;
        if (column->on)
            zone_row(name, {"column", medial ? "medial" : "lateral"}, {});
        else
            y += 8, head(name);
        rows(key, key, {"on"});
        if (!column->on) continue;
        rows(key, key, {"from", "to", "width_mm"});
        zone(*column, key, key);
    }
    for (const design::WallRegion& region : foot().wall.regions) {
        zone_row("Region " + region.name, {"region", region.name}, "wall.regions");
        rows("wall.regions[].", "wall.regions[" + region.name + "].", {"name"});
        zone(region, "wall.regions[].", "wall.regions[" + region.name + "].");
    }
}

}  // namespace archwright::editor::ui
