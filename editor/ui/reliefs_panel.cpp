// Reliefs and pads: the ordered list, what may be added, and the figures of the chosen one.
#include <algorithm>
#include <cmath>

#include "editor/ui/panel.hpp"
#include "editor/ui/said.hpp"
#include "engine/base/text.hpp"
#include "engine/feature/line.hpp"

namespace archwright::editor::ui {

namespace {

using Kind = feature::Feature::Kind;

std::string kind_words(Kind kind) {
    switch (kind) {
        case Kind::groove:
            return "Groove";
        case Kind::cavity:
            return "Relief";
        case Kind::pad:
            return "Pad";
        case Kind::metatarsal_dome:
            return "Metatarsal dome";
        case Kind::metatarsal_bar:
            return "Metatarsal bar";
        case Kind::aperture:
            return "Aperture";
    }
    return {};
}

/// Keys of a relief or pad that decide anything for its kind.
std::vector<std::string> feature_keys(const feature::Feature& f) {
    std::vector<std::string> keys;
    if (f.relief()) keys.push_back("depth_mm");
    if (f.raised()) keys.push_back("height_mm");
    keys.push_back("width_mm");
    if (f.kind != Kind::groove) keys.push_back("length_mm");
    if (f.kind != Kind::groove && f.kind != Kind::metatarsal_bar) keys.push_back("turn_deg");
    if (f.kind != Kind::aperture) keys.push_back("flank_mm");
    if (f.kind == Kind::groove) keys.insert(keys.end(), {"fade_start_mm", "fade_end_mm"});
    if (f.kind == Kind::metatarsal_dome || f.kind == Kind::metatarsal_bar) keys.push_back("behind_mm");
    keys.insert(keys.end(), {"forward_mm", "medial_mm"});
    if (f.kind != Kind::aperture) keys.push_back("underside");
    if (f.relief()) keys.push_back("least_wall_mm");
    keys.push_back("anchor");
    return keys;
}

std::string sizes_of(const feature::Feature& one) {
    if (!one.on) return "off";
    std::string sizes = figure(one.kind == Kind::groove ? one.width_mm : one.length_mm, 0);
    if (one.kind != Kind::groove) sizes += " \u00d7 " + figure(one.width_mm, 0);
    if (one.relief()) sizes += " \u00d7 " + figure(one.depth_mm, 1);
    if (one.raised()) sizes += " \u00d7 " + figure(one.height_mm, 1);
    return sizes;
}

}  // namespace

void Panel::add_relief() {
    const std::pair<const char*, const char*> kinds[] = {
        {"groove", "Groove"},        {"cavity", "relief"},      {"pad", "pad"},
        {"metatarsal_dome", "dome"}, {"metatarsal_bar", "bar"}, {"aperture", "aperture"}};
    look.text("+", {area.x, y + 12}, 14, Face::strong, t.accent);
    double x = area.x + 18;
    for (const auto& [kind, words] : kinds) {
        if (screen.link((std::string("add ") + kind).c_str(), words, {x, y + 12}))
            for (std::string& line : screen.adding(kind)) say(std::move(line));
        x += look.measure(words, Face::body) + 10;
    }
    y += 30;
}

void Panel::chosen_relief(const feature::Feature& one) {
    const std::string name = in_quotes(one.name);
    if (state.form == "rename feature " + one.name) {
        const bool enter = field_row("rename", "Its name", one.name);
        const int pressed = buttons("renamed", {"Rename", "Leave it"}, 0, 0);
        if ((pressed == 0 || enter) && !typed("rename").empty())
            say("feature rename " + name + " " + in_quotes(typed("rename")) + of_foot());
        if (pressed >= 0 || enter) state.form.clear();
    } else {
        look.name(one.name, {area.x, y + 12}, area.w, Face::strong, t.text);
        y += 24;
        double x = area.x;
        const auto act = [&](const char* id, const char* words) {
            const bool pressed = screen.link(id, words, {x, y + 8});
            x += look.measure(words, Face::body) + 14;
            return pressed;
        };
        look.text(kind_words(one.kind), {area.right(), y + 8}, 110, Face::small, t.soft, Align::right);
        if (act("switch", one.on ? "Off" : "On"))
            say(std::string("feature ") + (one.on ? "off " : "on ") + name + of_foot());
        if (act("copy", "Copy")) say(screen.duplicating(one.name));
        if (act("rename feature", "Rename")) {
            state.form = "rename feature " + one.name;
            typed("rename") = one.name;
        }
        if (act("remove", "Remove")) say("feature remove " + name + of_foot());
        y += 22;
    }
    for (const std::string& key : feature_keys(one))
        screen.parameter_row(area, y, "features[]." + key, "features[" + one.name + "]." + key);
    if (one.kind != Kind::groove) return;
    // where there are stations they go before width and depth
    for (std::size_t i = 0; i < one.stations.size(); ++i) {
        y += 8;
        const std::string number = std::to_string(i);
        head("Station " + std::to_string(i + 1), "along the groove");
        if (screen.link(("remove station " + number).c_str(), "Remove", {area.x + 74, y - 13}))
            say("entry remove " + in_quotes("features[" + one.name + "].stations") + " " + number +
                of_foot());
        for (const char* key : {"along", "width_mm", "depth_mm"})
            screen.parameter_row(area, y, std::string("features[].stations[].") + key,
                                 "features[" + one.name + "].stations[" + number + "]." + key);
    }
    if (buttons("add station", {"Add a station"}) == 0) {
        // in the middle of the widest gap, with what the groove has there
        double at = 0.5, gap = 0;
        std::vector<double> places{0.0};
        for (const feature::GrooveStation& s : one.stations) places.push_back(s.along);
        places.push_back(1.0);
        for (std::size_t i = 0; i + 1 < places.size(); ++i)
            if (places[i + 1] - places[i] > gap + 1e-9)
                gap = places[i + 1] - places[i], at = 0.5 * (places[i] + places[i + 1]);
        const feature::Along widths(one.stations, one.width_mm, &feature::GrooveStation::width_mm),
            depths(one.stations, one.depth_mm, &feature::GrooveStation::depth_mm);
        std::size_t before = 0;
        while (before < one.stations.size() && one.stations[before].along < at) ++before;
        say("entry add " + in_quotes("features[" + one.name + "].stations") +
            " {\"along\":" + rounded(at, 2) + ",\"width_mm\":" + rounded(widths.at(at), 1) +
            ",\"depth_mm\":" + rounded(depths.at(at), 1) + "} at=" + std::to_string(before) + of_foot());
    }
}

void Panel::reliefs() {
    const design::FootDesign& f = foot();
    head("In this order, from the cast outwards");
    const double row_height = 34;
    const std::size_t count = f.features.size();
    const Box whole{area.x - 6, y, area.w + 12,
                    row_height * static_cast<double>(std::max<std::size_t>(count, 1))};
    if (count == 0) {
        look.text("None yet", {area.x, y + 0.5 * row_height}, area.w, Face::body, t.faint);
        y += row_height;
    }
    const feature::Feature* selected = nullptr;
    const double mouse = static_cast<double>(ImGui::GetIO().MousePos.y) / look.scale;
    for (std::size_t i = 0; i < count; ++i) {
        const feature::Feature& one = f.features[i];
        const Box box{whole.x, y, whole.w, row_height};
        const bool chosen =
            screen.session_.selection().what == "feature" && screen.session_.selection().name == one.name;
        if (chosen) selected = &one;
        const double m = y + 0.5 * row_height;
        // the grip first: it lies in the row and goes before it
        const Screen::Hit grip = screen.hit("grip " + one.name, {box.x + 2, box.y, 22, box.h});
        const Screen::Hit h = screen.hit("feature " + one.name, {box.x + 24, box.y, box.w - 24, box.h});
        const bool dragged = state.dragged == one.name;
        if (chosen || dragged) {
            look.fill(box, look.accent_fill(), 4);
            look.fill({box.x, y + 3, 3, row_height - 6}, t.accent, 1.5);
        } else if (h.hovered || grip.hovered) {
            look.fill(box, t.head, 4);
        }
        for (int r = -1; r <= 1; ++r)
            for (int c = 0; c < 2; ++c)
                look.disc({box.x + 12 + 5 * c, m + 5 * r}, grip.hovered || dragged ? 1.5 : 1.1,
                          grip.hovered || dragged ? t.text : t.faint);
        look.text(std::to_string(i + 1), {box.x + 33, m}, 18, Face::small, t.soft, Align::centre);
        const Colour colour = one.on ? t.text : t.faint;
        if (one.kind == Kind::aperture) {
            look.ring({box.x + 52, m}, 6, colour, 1.2);
            look.ring({box.x + 52, m}, 3.4, colour, 1.2);
        } else {
            look.relief_sign({box.x + 52, m}, one.relief(), colour);
        }
        const std::string sizes = sizes_of(one);
        const double sw = look.measure(sizes, Face::small) + 8;
        look.name(one.name, {box.x + 68, m}, box.w - 68 - sw - 12, chosen ? Face::strong : Face::body,
                  colour);
        look.text(sizes, {box.right() - 10, m}, sw, Face::small, one.on ? t.soft : t.faint, Align::right);
        if (h.clicked) say(chosen ? "select none" : "select feature " + in_quotes(one.name));
        if (grip.activated) state.dragged = one.name;
        if (grip.released && dragged) {
            state.dragged.clear();
            if (state.drop_at != i)
                say("feature move " + in_quotes(one.name) + " " + std::to_string(state.drop_at) + of_foot());
        }
        y += row_height;
        if (i + 1 < count) look.rule_across(box.x + 6, box.right() - 6, y, t.rule);
    }
    if (count > 0) look.frame({whole.x, whole.y, whole.w, whole.h + 1}, t.rule, 4);
    if (!state.dragged.empty() && count > 0) {
        // where it would go: a line between rows
        const double at =
            std::clamp(std::round((mouse - whole.y) / row_height), 0.0, static_cast<double>(count));
        std::size_t from = 0;
        for (std::size_t i = 0; i < count; ++i)
            if (f.features[i].name == state.dragged) from = i;
        const auto gap = static_cast<std::size_t>(at);
        state.drop_at = gap > from ? gap - 1 : gap;
        look.fill({whole.x, whole.y + at * row_height - 1.5, whole.w, 3}, t.accent, 1.5);
    }
    y += 8;
    add_relief();
    rule();
    if (selected != nullptr) {
        chosen_relief(*selected);
        return;
    }
    look.text("Choose one to see its figures.", {area.x, y + 12}, area.w, Face::body, t.faint);
    y += 30;
}

}  // namespace archwright::editor::ui
