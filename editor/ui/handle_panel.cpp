// The place of a handle as figures: typed where dragging is not fine enough.
#include <algorithm>

#include "editor/ui/handle_tool.hpp"
#include "editor/ui/panel.hpp"
#include "editor/ui/said.hpp"
#include "engine/base/text.hpp"

namespace archwright::editor::ui {

namespace {

/// "76.5, 4" or "76.5 4" as a place of the plan.
std::optional<Vec2> typed_place(const std::string& text) {
    const std::size_t apart = text.find_first_of(", ");
    if (apart == std::string::npos) return {};
    const std::size_t second = text.find_first_not_of(", ", apart);
    if (second == std::string::npos) return {};
    const auto x = parse_number(text.substr(0, apart)), y = parse_number(text.substr(second));
    if (!x || !y) return {};
    return Vec2(*x, *y);
}

}  // namespace

void Panel::chosen_handle() {
    HandleTool tool(screen);
    const view::Handles& all = tool.handles();
    const view::Handle* handle = all.find(screen.state_.handles.active);
    if (handle == nullptr && all.list.size() == 1) handle = &all.list.front();
    const auto placed = [](const view::Handle& h) {
        return h.snaps && (h.glyph == view::Handle::Glyph::point || h.glyph == view::Handle::Glyph::whole);
    };
    if ((handle == nullptr || !placed(*handle)) && all.whole) handle = &*all.whole;
    if (handle == nullptr || !placed(*handle)) return;
    std::string name = handle->glyph == view::Handle::Glyph::whole ? "Middle" : handle->part;
    if (name[0] >= 'a' && name[0] <= 'z') name[0] = static_cast<char>(name[0] - 'a' + 'A');
    const std::string id = "handle place";
    const bool enter = field_row(
        id, name, figure(handle->at.x(), 1) + ", " + figure(handle->at.y(), 1) + " mm, forward and medial");
    if (enter) {
        if (const auto to = typed_place(typed(id)))
            tool.bring_to(*handle, *to);
        else
            tool.tell("Write forward and medial, for example 76.5, 4.", true);
        typed(id).clear();
    }
    y += 4;
    rule();
}

/// The control points of the trim line, as figures.
void Panel::trim_points() {
    y += 8;
    if (foot().trim.controls.empty()) {
        words("Ctrl and a click on the trim line puts a control point on it.");
        return;
    }
    for (std::size_t i = 0; i < foot().trim.controls.size(); ++i) {
        const std::string number = std::to_string(i);
        y += i > 0 ? 8 : 0;
        head("Control point " + std::to_string(i + 1), foot().trim.controls[i].medial ? "medial" : "lateral");
        if (screen.link(("remove control " + number).c_str(), "Remove", {area.x + 112, y - 13}))
            say("entry remove trim.controls " + number + of_foot());
        for (const char* key : {"station", "offset_mm"})
            screen.parameter_row(area, y, std::string("trim.controls[].") + key,
                                 "trim.controls[" + number + "]." + key);
    }
}

/// The parts cut from sheet, to be chosen: a chosen one shows the handles of its edge, and its figures.
void Panel::covers() {
    y += 8;
    head("Covers", foot().covers.empty() ? "none" : "click one for its edge and figures");
    for (const design::Cover& cover : foot().covers) {
        const model::Selection& selection = screen.session_.selection();
        const bool chosen = selection.what == "cover" && selection.name == cover.name;
        const Box box{area.x - 6, y, area.w + 12, 28};
        const Screen::Hit h = row("cover " + cover.name, 28, chosen);
        const std::string aside =
            figure(cover.thickness_mm, 1, "mm") + (cover.outline.empty() ? "" : ", drawn");
        const double wide = look.measure(aside, Face::small) + 8;
        look.name(cover.name, {area.x + 6, box.centre().y()}, area.w - wide - 12,
                  chosen ? Face::strong : Face::body, t.text);
        look.text(aside, {area.right(), box.centre().y()}, wide, Face::small, t.soft, Align::right);
        if (h.clicked) say(chosen ? "select none" : "select cover " + in_quotes(cover.name));
        y += 28;
        if (!chosen) continue;
        std::vector<const char*> keys{"name", "kind", "material", "thickness_mm"};
        // a drawn outline goes before these
        if (cover.outline.empty()) {
            keys.insert(keys.end(), {"length", "margin_mm"});
            if (cover.length != design::Cover::Length::shell) keys.push_back("distal_mm");
            if (cover.kind == design::Cover::Kind::extension) keys.push_back("overlap_mm");
        }
        for (const char* key : keys)
            screen.parameter_row(area, y, std::string("covers[].") + key,
                                 "covers[" + cover.name + "]." + key);
        if (buttons("remove cover", {"Remove " + cover.name}) == 0) {
            say("entry remove covers " + in_quotes(cover.name) + of_foot());
            say("select none");
        }
    }
    if (buttons("add cover", {"Add a cover"}) == 0) {
        const std::string name = free_name("cover", [&](const std::string& taken) {
            return std::any_of(foot().covers.begin(), foot().covers.end(),
                               [&](const design::Cover& c) { return c.name == taken; });
        });
        say("entry add covers {\"name\":\"" + name + "\",\"material\":\"EVA\"}" + of_foot());
        say("select cover " + name);
    }
}

}  // namespace archwright::editor::ui
