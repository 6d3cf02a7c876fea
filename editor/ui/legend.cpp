// The maps on the screen: their choice, and the scale they are read by.
#include <algorithm>
#include <cmath>

#include "editor/model/session_commands.hpp"
#include "editor/ui/screen.hpp"

namespace archwright::editor::ui {

view::Map Screen::map_of(const view::Shown& shown) const {
    const view::Map map = view::map_of(session_.view("map"));
    if (map == view::Map::height) return map;
    return shown.values(map) ? map : view::Map::none;
}

view::MapLook Screen::map_look(const view::Shown& shown) {
    const view::Map map = map_of(shown);
    view::MapLook look = view::look_of(shown, map, session_.settings().tool_mm);
    const auto held = state_.held.find(map);
    if (held != state_.held.end()) look.scale = view::steady(held->second, look.scale);
    if (map != view::Map::none) state_.held[map] = look.scale;
    return look;
}

std::vector<std::string> Screen::map_words() const {
    for (const model::ViewSetting& setting : model::view_settings())
        if (setting.name == "map") {
            std::vector<std::string> words = setting.words;
            if (session_.compared_with().what == model::CompareWith::What::none) std::erase(words, "compare");
            if (!session_.flex())
                std::erase_if(words,
                              [](const std::string& word) { return view::of_flex(view::map_of(word)); });
            return words;
        }
    return {};
}

Box Screen::map_item(const Box& box, std::size_t i) {
    return {box.x, box.bottom() + 2 + 26.0 * static_cast<double>(i), box.w, 26};
}

void Screen::ask_map_list(const Box& box) {
    const std::vector<std::string> words = map_words();
    state_.map_hovered = -1;
    for (std::size_t i = 0; i < words.size(); ++i) {
        const Hit h = hit("map " + words[i], map_item(box, i));
        if (h.hovered) state_.map_hovered = static_cast<int>(i);
        if (h.clicked) {
            say("view map " + words[i]);
            state_.open_list.clear();
        }
    }
    // a press beside it closes it
    const bool inside = box.contains(state_.mouse) || state_.map_hovered >= 0;
    if (ImGui::IsMouseClicked(ImGuiMouseButton_Left) && !inside) state_.open_list.clear();
}

void Screen::map_choice(const Box& box) {
    const picture::Theme& t = look_.theme();
    const std::string now = session_.view("map");
    const Hit h = hit("map", box);
    const bool open = map_list_open();
    if (h.clicked) state_.open_list = open ? "" : "map";
    look_.fill(box, h.hovered ? look_.accent_fill() : look_.field(), 3);
    look_.frame(box, open ? t.accent : t.frame, 3);
    const view::Map map = view::map_of(now);
    look_.text(map == view::Map::none ? "no map" : view::name_of(map), {box.x + 9, box.centre().y()},
               box.w - 30, map == view::Map::none ? Face::body : Face::strong,
               map == view::Map::none ? t.soft : t.text);
    const Vec2 c(box.right() - 13, box.centre().y());
    look_.polyline({c + Vec2(-3.5, -1.8), c + Vec2(0, 1.8), c + Vec2(3.5, -1.8)}, false, t.soft, 1.4);
    if (!open) return;
    const std::vector<std::string> words = map_words();
    const Box whole{box.x, box.bottom() + 2, box.w, 26.0 * static_cast<double>(words.size())};
    look_.fill(whole.inset(-1), t.panel, 4);
    look_.frame(whole.inset(-1), t.frame, 4);
    for (std::size_t i = 0; i < words.size(); ++i) {
        const Box item = map_item(box, i);
        const bool on = words[i] == now, hovered = state_.map_hovered == static_cast<int>(i);
        if (on || hovered) look_.fill(item, on ? look_.accent_fill() : t.head, 3);
        look_.text(view::name_of(view::map_of(words[i])), {item.x + 9, item.centre().y()}, item.w - 14,
                   on ? Face::strong : Face::body, on ? t.accent : t.text);
    }
}

void Screen::legend(const Box& view, const view::Shown& shown, view::Map map) {
    const picture::Theme& t = look_.theme();
    const view::Map asked = view::map_of(session_.view("map"));
    if (asked == view::Map::none) return;
    if (map == view::Map::none) {
        // asked for, and not there
        const std::string words =
            !shown.subject().has_shell() ? "No shell yet"
            : asked == view::Map::compare
                ? (session_.compared_with().what == model::CompareWith::What::none ? "Nothing is compared"
                   : session_.comparison() && session_.comparison()->fault
                       ? session_.compared_with().what == model::CompareWith::What::proposal
                             ? "It would stop"
                             : "Nothing to compare with"
                       : "Working it out")
            : view::of_flex(asked)
                ? (!session_.flex()                                ? "Not on the bench"
                   : session_.flexed() && session_.flexed()->fault ? "The bench has no answer"
                                                                   : "Working it out")
            : !shown.worked_out(asked) ? "Working it out"
            : asked == view::Map::shoe ? "The order gives no insole"
                                       : "No cast to compare with";
        const double w = look_.measure(words, Face::small) + 16;
        look_.fill({view.right() - w - 12, view.y + 12, w, 22}, t.board, 4, 0.88);
        look_.text(words, {view.right() - w - 4, view.y + 23}, w - 16, Face::small, t.soft);
        return;
    }
    const view::MapLook look = map_look(shown);
    const picture::MapScale& scale = look.scale;
    const double length = look_.narrow ? 120 : 176;
    const std::string title = scale.title;
    const double wide = std::max(look_.measure(title, Face::small_strong) + 20, 86.0);
    const std::string limit_words =
        !look.limit ? ""
        : map == view::Map::tool
            ? "Radius " + figure(session_.settings().tool_mm, 1, "mm") + ": hatched is out of reach"
        : map == view::Map::wall || view::kind_by_wall(map) ? "Hatched: below the least wall"
        : map == view::Map::compare                         ? "Hatched: not in both"
                                                            : "Hatched: past it";
    const bool flexes = map == view::Map::rigidity || map == view::Map::bending || view::of_flex(map);
    const Box plate{view.right() - wide - 12, view.y + 12, wide, length + 40};
    look_.fill(plate, t.board, 4, 0.88);
    look_.text(title, {plate.right() - 10, plate.y + 14}, wide - 16, Face::small_strong, t.text,
               Align::right);
    const double bar_x = plate.right() - 62, top = plate.y + 30;
    const Box bar{bar_x, top, 14, length};
    const auto y_of = [&](double value) {
        return bar.bottom() - length * (value - scale.low) / (scale.high - scale.low);
    };
    const int rows = static_cast<int>(std::lround(length * look_.scale));
    for (int i = 0; i < rows; ++i) {
        const double y0 = bar.y + length * i / rows, y1 = bar.y + length * (i + 1) / rows;
        const float s = static_cast<float>(look_.scale);
        look_.list->AddRectFilled({look_.px(bar.x), static_cast<float>(y0) * s},
                                  {look_.px(bar.right()), static_cast<float>(y1) * s},
                                  look_.ink(scale.map->at(1.0 - (i + 0.5) / rows)));
    }
    look_.frame(bar, t.frame);
    if (look.limit && *look.limit > scale.low && *look.limit < scale.high) {
        // the part beyond the limit is hatched, as on the map
        const double limit_y = y_of(*look.limit);
        const Box beyond = look.above ? Box{bar.x, bar.y, bar.w, limit_y - bar.y}
                                      : Box{bar.x, limit_y, bar.w, bar.bottom() - limit_y};
        look_.clip(beyond);
        look_.fill(beyond, t.stop, 0, 0.6);
        for (double y = beyond.y - bar.w; y < beyond.bottom() + bar.w; y += 8.5)
            look_.line({bar.x, y + bar.w}, {bar.right(), y}, Colour::hex(0xFFFFFF), 1.6, 0.9);
        look_.unclip();
        look_.line({bar.x - 2, limit_y}, {bar.right() + 2, limit_y}, t.ink, 1.5);
    }
    for (const double value : view::figures_of(scale)) {
        const double y = y_of(value);
        look_.rule_across(bar.right(), bar.right() + 4, y, t.soft);
        look_.text(figure(value, scale.decimals), {bar.right() + 8, y}, 38, Face::small, t.text);
    }
    if (state_.cursor)
        if (const auto value = shown.value_at(map, *state_.cursor)) {
            const double y = std::clamp(y_of(*value), bar.y, bar.bottom());
            const auto s = static_cast<float>(look_.scale);
            const auto at = [&](double dx, double dy) {
                return ImVec2{static_cast<float>(bar.x + dx) * s, static_cast<float>(y + dy) * s};
            };
            look_.list->AddTriangleFilled(at(-2, 0), at(-9, -4.5), at(-9, 4.5), look_.ink(t.accent));
        }
    double below = plate.bottom() + 4;
    for (const std::string& words : {limit_words, std::string(flexes ? picture::rigidity_caution : "")}) {
        if (words.empty()) continue;
        const double w = look_.measure(words, Face::small) + 14;
        const Box under{view.right() - 12 - w, below, w, 20};
        look_.fill(under, t.board, 4, 0.88);
        look_.text(words, {under.x + 7, under.centre().y()}, w, Face::small, t.soft);
        below = under.bottom() + 2;
    }
}

}  // namespace archwright::editor::ui
