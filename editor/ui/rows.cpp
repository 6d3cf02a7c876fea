// Rows of the inspector: one parameter each, from the parameter table.
#include <algorithm>
#include <cmath>
#include <cstring>

#include "editor/ui/keys.hpp"
#include "editor/ui/said.hpp"
#include "editor/ui/screen.hpp"
#include "editor/ui/sum.hpp"
#include "engine/base/text.hpp"
#include "engine/design/parameters.hpp"

namespace archwright::editor::ui {

namespace {

using design::Parameter;

const Parameter* find(const std::string& name) {
    for (const auto* table : {&design::foot_parameters(), &design::case_parameters()})
        for (const Parameter& p : *table)
            if (p.name == name) return &p;
    return nullptr;
}

bool numeric_kind(const Parameter& p) {
    return p.kind == Parameter::Kind::number || p.kind == Parameter::Kind::whole;
}

int decimals_of(double step) {
    return step >= 1 ? 0 : step >= 0.1 ? 1 : 2;
}

std::string unit_of(const Parameter& p) {
    if (p.unit == "degrees" || p.unit == "deg") return "\u00b0";
    return p.unit;
}

std::string words_of(std::string word) {
    std::replace(word.begin(), word.end(), '_', ' ');
    return word;
}

/// Ctrl: tenths of the step, Shift: tens.
double step_factor() {
    const ImGuiIO& io = ImGui::GetIO();
    return io.KeyCtrl ? 0.1 : io.KeyShift ? 10.0 : 1.0;
}

int seen_tab(ImGuiInputTextCallbackData* data) {
    *static_cast<bool*>(data->UserData) = true;
    return 0;
}

/// Names that are on record and never set.
bool stands_on_record(const std::string& name) {
    for (const char* start : {"side.", "cast.", "landmarks", "marks", "presets", "sign_offs", "approvals",
                              "revisions", "version"})
        if (name.starts_with(start)) return true;
    return false;
}

}  // namespace

void Screen::parameter_rows(Box area, double& y, const std::vector<std::string>& prefixes) {
    std::string group = prefixes.empty() ? "" : prefixes.front();
    bool first = true;
    for (const std::string& prefix : prefixes)
        for (const auto* table : {&design::case_parameters(), &design::foot_parameters()})
            for (const Parameter& p : *table) {
                if (p.listed || stands_on_record(p.name)) continue;
                if (p.name != prefix && !p.name.starts_with(prefix + ".")) continue;
                const std::size_t dot = p.name.rfind('.');
                const std::string here = dot == std::string::npos ? p.name : p.name.substr(0, dot);
                if (here != group && (dot != std::string::npos)) {
                    if (!first) y += 8;
                    small_head(area, y, label_of(here));
                    group = here;
                }
                first = false;
                parameter_row(area, y, p.name, p.name);
            }
}

void Screen::parameter_row(const Box& area, double& y, const std::string& name, const std::string& path) {
    const Parameter* p = find(name);
    if (p == nullptr || foot() == nullptr) return;
    const picture::Theme& t = look_.theme();
    const auto text = design::of_case(name) ? design::get(session_.job(), path) : design::get(*foot(), path);
    if (!text) return;
    const double row = look_.narrow ? 34 : 37, middle = y + 0.5 * row;
    const double label_width = look_.narrow ? 104 : 122;
    const double box_x = area.x + label_width;
    const bool active = state_.editing == path || state_.dragging == path;
    const std::string label = label_of(name);
    const Box label_box{area.x, y, label_width - 6, row};
    const auto hover_help = [&](const Hit& h) {
        if (!h.hovered || h.held) return;
        ImGui::PushStyleVar(ImGuiStyleVar_WindowPadding, {look_.px(10), look_.px(8)});
        ImGui::PushStyleColor(ImGuiCol_PopupBg, look_.ink(look_.field()));
        ImGui::PushStyleColor(ImGuiCol_Border, look_.ink(t.frame));
        ImGui::BeginTooltip();
        ImGui::PushTextWrapPos(look_.px(280));
        std::string help = p->help;
        if (!help.empty() && help[0] >= 'a' && help[0] <= 'z')
            help[0] = static_cast<char>(help[0] - 'a' + 'A');
        ImGui::TextUnformatted(help.c_str());
        if (!p->source.empty()) ImGui::TextDisabled("%s", p->source.c_str());
        if (!p->standard.empty() || p->optional)
            ImGui::TextDisabled("Default %s. A right click on the name goes back to it.",
                                p->standard.empty() ? "none" : value_in_words(*p, p->standard).c_str());
        ImGui::TextDisabled("In scripts %s", path.c_str());
        ImGui::PopTextWrapPos();
        ImGui::EndTooltip();
        ImGui::PopStyleColor(2);
        ImGui::PopStyleVar();
    };
    // optional values have no default: going back to it clears them
    const bool at_default =
        *text == p->standard || (numeric_kind(*p) && parse_number(*text) && !p->standard.empty() &&
                                 parse_number(*text) == parse_number(p->standard));
    const bool numeric = numeric_kind(*p);

    const auto value = parse_number(*text);
    const double shown_value = state_.dragging == path ? state_.drag_value : value.value_or(p->low);
    // a figure with as many decimals as it needs, at least those of its step
    int decimals = decimals_of(p->step);
    if (value &&
        std::abs(*value * std::pow(10, decimals) - std::round(*value * std::pow(10, decimals))) > 1e-6)
        ++decimals;

    const auto begin_drag = [&] {
        state_.dragging = path;
        state_.drag_value = state_.drag_wanted = value.value_or(p->low);
        say("step begin \"" + label + "\"");
        state_.step_open = true;
        state_.step_said = false;
    };
    const auto drag_to = [&](double wanted) {
        const double step = p->step > 0 ? p->step * step_factor() : 0.1;
        const double next = std::clamp(std::round(wanted / step) * step, p->low, p->high);
        if (std::abs(next - state_.drag_value) < 1e-12) return;
        state_.drag_value = next;
        // undone by key while it is dragged: what follows is a step again
        if (state_.step_open && !session_.history()->open() && state_.step_said)
            say("step begin \"" + label + "\"");
        state_.step_said = true;
        say("set " + path + " " + rounded(next, std::max(decimals_of(step), 3)));
    };
    const auto end_drag = [&] {
        if (state_.dragging != path) return;
        say("step end");
        state_.dragging.clear();
        state_.step_open = false;
    };

    // the label; dragged it changes a number
    {
        const Hit h = hit("label " + path, label_box);
        // long names in small type, in two lines where they must
        const Face face = active ? Face::strong : Face::body,
                   less = active ? Face::small_strong : Face::small;
        if (look_.measure(label, face) <= label_box.w)
            look_.text(label, {area.x, middle}, label_box.w, face, t.text);
        else if (look_.measure(label, less) <= label_box.w)
            look_.text(label, {area.x, middle}, label_box.w, less, t.text);
        else
            look_.paragraph(label, {area.x, middle - look_.line_height(less)}, label_box.w, 2, less, t.text);
        hover_help(h);
        if (h.hovered && ImGui::IsMouseClicked(ImGuiMouseButton_Right) && !at_default) say("reset " + path);
        if (numeric && h.activated) begin_drag();
        if (numeric && h.held && state_.dragging == path) {
            const float dx = ImGui::GetIO().MouseDelta.x;
            if (dx != 0.0f) {
                state_.drag_wanted =
                    std::clamp(state_.drag_wanted + static_cast<double>(dx) / look_.scale *
                                                        std::max(p->step, 0.01) * step_factor() * 0.5,
                               p->low, p->high);
                drag_to(state_.drag_wanted);
            }
        }
        if (h.released) end_drag();
    }
    const double right = area.right();
    const auto edit_box = [&](const Box& box, const std::string& shown, const std::string& unit,
                              bool number) {
        const bool bad = number && value && (*value < p->low - 1e-9 || *value > p->high + 1e-9);
        look_.fill(box, look_.field(), 3);
        look_.frame(box, bad ? t.stop : active ? t.accent : t.frame, 3, active ? 2 : 1);
        const double unit_width = unit.empty() ? 0 : look_.measure(unit, Face::small) + 4;
        PanelState& panels = state_.panels;
        panels.fields.push_back(path);
        const auto begin_edit = [&] {
            state_.editing = path;
            state_.edit_begun = true;
            const std::string begin = number ? (value ? exact(*value) : "") : *text;
            static_assert(sizeof state_.edit_text > design::longest_words);
            std::strncpy(state_.edit_text, begin.c_str(), sizeof state_.edit_text - 1);
            state_.edit_text[sizeof state_.edit_text - 1] = 0;
            state_.edit_start = state_.edit_text;
        };
        if (panels.begin_edit == path || panels.begin_edit == any_field) {
            panels.begin_edit.clear();
            begin_edit();
            // into sight
            const double top = static_cast<double>(ImGui::GetWindowPos().y) / look_.scale,
                         height = static_cast<double>(ImGui::GetWindowHeight()) / look_.scale;
            if (box.y < top + 8 || box.bottom() > top + height - 8)
                ImGui::SetScrollFromPosY(look_.px(middle) - ImGui::GetWindowPos().y, 0.35f);
        }
        if (state_.editing != path) {
            const Hit h = hit("box " + path, box);
            if (number && shown.empty()) {
                look_.text("none", {box.right() - 9, middle}, box.w - 14, Face::body, t.faint, Align::right);
            } else if (number) {
                look_.text(unit, {box.right() - 8, middle}, unit_width, Face::small, t.soft, Align::right);
                look_.text(shown, {box.right() - 9 - unit_width, middle}, box.w - 14 - unit_width, Face::body,
                           t.text, Align::right);
            } else {
                look_.name(shown.empty() ? "none" : shown, {box.x + 8, middle}, box.w - 16, Face::body,
                           shown.empty() ? t.faint : t.text);
            }
            if (h.clicked) begin_edit();
            hover_help(h);
            return;
        }
        // wheel and arrows step the number in the focused box
        const ImGuiIO& io = ImGui::GetIO();
        const Vec2 mouse(static_cast<double>(io.MousePos.x) / look_.scale,
                         static_cast<double>(io.MousePos.y) / look_.scale);
        double steps = 0;
        if (number && box.contains(mouse)) {
            panels.no_scroll_next = true;
            steps = static_cast<double>(io.MouseWheel);
        }
        if (number && !state_.edit_begun && !io.KeyAlt)
            steps += ImGui::IsKeyPressed(ImGui::GetKeyIndex(ImGuiKey_UpArrow))     ? 1
                     : ImGui::IsKeyPressed(ImGui::GetKeyIndex(ImGuiKey_DownArrow)) ? -1
                                                                                   : 0;
        if (steps != 0) {
            const double step = std::max(p->step, 0.01) * step_factor();
            const double from = sum_of(state_.edit_text, p->unit).value_or(value.value_or(p->low));
            const double next = std::clamp(
                std::round((from + steps * step) / (0.1 * p->step)) * 0.1 * p->step, p->low, p->high);
            if (panels.wheel_path != path || !session_.history()->open()) {
                say("step begin \"" + label + "\"");
                panels.wheel_path = path;
            }
            panels.wheel_time = ImGui::GetTime();
            const std::string written = rounded(next, std::max(decimals_of(0.1 * p->step), 3));
            say("set " + path + " " + written);
            std::strncpy(state_.edit_text, exact(*parse_number(written)).c_str(),
                         sizeof state_.edit_text - 1);
            state_.edit_start = state_.edit_text;
            // ImGui keeps the text of a box while it is typed in: another box, with the new text
            ++panels.edit_round;
            state_.edit_begun = true;
        }
        const double free =
            number ? std::max(6.0, box.w - 12 - unit_width - look_.measure(state_.edit_text, Face::body) - 4)
                   : 7.0;
        ImGui::SetCursorScreenPos({look_.px(box.x), look_.px(middle - 13)});
        ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, {look_.px(free), look_.px(5)});
        ImGui::PushItemWidth(look_.px(box.w - unit_width));
        if (state_.edit_begun) ImGui::SetKeyboardFocusHere();
        bool tab = false;
        const std::string id = "##edit " + path + "#" + std::to_string(panels.edit_round);
        const bool done =
            ImGui::InputText(id.c_str(), state_.edit_text, sizeof state_.edit_text,
                             ImGuiInputTextFlags_EnterReturnsTrue | ImGuiInputTextFlags_AutoSelectAll |
                                 ImGuiInputTextFlags_CallbackCompletion,
                             seen_tab, &tab);
        const bool left = ImGui::IsItemDeactivated() && !state_.edit_begun;
        ImGui::PopItemWidth();
        ImGui::PopStyleVar();
        look_.text(unit, {box.right() - 8, middle}, unit_width, Face::small, t.soft, Align::right);
        state_.edit_begun = false;
        // Esc leaves it even before the box has the keys
        const bool escaped = ImGui::IsKeyPressed(ImGui::GetKeyIndex(ImGuiKey_Escape));
        if (!done && !left && !tab && !escaped) return;
        state_.editing.clear();
        if (tab) {
            // on to the next, or back
            const auto& all = panels.fields_before;
            const auto now = std::find(all.begin(), all.end(), path);
            if (now != all.end() && io.KeyShift)
                panels.begin_edit = now == all.begin() ? all.back() : *(now - 1);
            else if (now != all.end())
                panels.begin_edit = now + 1 == all.end() ? all.front() : *(now + 1);
        }
        if (escaped) return;
        std::string typed = state_.edit_text;
        if (typed == state_.edit_start) return;
        if (number) {
            const auto sum = sum_of(typed, p->unit);
            if (typed.empty() && p->optional)
                say("set " + path + " none");
            else if (!sum) {
                state_.told = "\"" + typed + "\" is no number.";
                state_.told_fault = true;
            } else if (!value || *sum != *value)
                say("set " + path + " " + exact(*sum));
        } else if (typed != *text) {
            say("set " + path + " " + (typed.empty() ? "none" : in_quotes(typed)));
        }
    };

    if (numeric) {
        const double box_width = (look_.narrow ? 84 : 92) + (inclination(*p) ? 36 : 0);
        const Box box{box_x, middle - 14, box_width, 28};
        // an angle comes with its word, never with a bare sign; while it is typed both ways are taken
        const bool worded = inclination(*p) && state_.editing != path && shown_value != 0;
        const std::string unit = unit_of(*p) + (!worded ? "" : shown_value > 0 ? " inverted" : " everted");
        edit_box(box,
                 value || state_.dragging == path
                     ? figure(worded ? std::abs(shown_value) : shown_value, decimals)
                     : "",
                 unit, true);
        // the track, its limits at the ends
        const std::string low = figure(p->low, p->low == std::round(p->low) ? 0 : 1),
                          high = figure(p->high, p->high == std::round(p->high) ? 0 : 1);
        const double lw = look_.measure(low, Face::small), hw = look_.measure(high, Face::small);
        double x0 = box.right() + 12 + std::max(lw + 12, 28.0), x1 = right - std::max(hw + 8, 26.0);
        // a track that can be taken goes before its limits, which the help says too
        constexpr double least_track = 36.0;
        if (x1 - x0 >= least_track) {
            look_.text(high, {right, middle}, hw + 1, Face::small, t.faint, Align::right);
            look_.text(low, {x0 - 11, middle}, lw + 1, Face::small, t.faint, Align::right);
        } else {
            x0 = box.right() + 16;
            x1 = right - 8;
        }
        if (x1 > x0 + 12) {
            const double range = p->high - p->low;
            const auto place = [&](double v) {
                return x0 + (x1 - x0) * std::clamp((v - p->low) / (range > 0 ? range : 1), 0.0, 1.0);
            };
            look_.fill({x0, middle - 1, x1 - x0, 2}, t.frame);
            const Hit h = hit("track " + path, {x0 - 6, middle - 10, x1 - x0 + 12, 20});
            // a press on the tick of the default goes back to it, where the disc is not in its way
            const auto standard = parse_number(p->standard);
            const double mouse = static_cast<double>(ImGui::GetIO().MousePos.x) / look_.scale;
            constexpr double tick_reach = 3.5, disc_reach = 8.0;
            const bool on_tick = h.hovered && standard && !at_default && state_.dragging != path &&
                                 std::abs(mouse - place(*standard)) <= tick_reach &&
                                 (!value || std::abs(place(*standard) - place(shown_value)) > disc_reach);
            if (standard) {
                const double w = on_tick ? 3 : 1;
                look_.fill({place(*standard) - 0.5 * w, middle - 5, w, 10}, on_tick ? t.accent : t.frame);
            }
            const bool bad = value && (*value < p->low - 1e-9 || *value > p->high + 1e-9);
            if (value || state_.dragging == path)
                look_.disc({place(shown_value), middle}, active || h.hovered ? 5.5 : 4.5,
                           bad      ? t.stop
                           : active ? t.accent
                                    : t.soft);
            if (h.activated && on_tick) {
                say("reset " + path);
            } else if (h.activated) {
                begin_drag();
                // beside the disc it comes to the hand; taken by the disc it stays under it
                if (!value || std::abs(mouse - place(*value)) > disc_reach) {
                    state_.drag_wanted =
                        std::clamp(p->low + range * (mouse - x0) / (x1 - x0), p->low, p->high);
                    drag_to(state_.drag_wanted);
                }
            } else if (const float dx = ImGui::GetIO().MouseDelta.x;
                       h.held && dx != 0.0f && state_.dragging == path) {
                const double way = static_cast<double>(dx) / look_.scale * range / (x1 - x0);
                state_.drag_wanted = std::clamp(
                    state_.drag_wanted + (ImGui::GetIO().KeyCtrl ? 0.1 : 1.0) * way, p->low, p->high);
                drag_to(state_.drag_wanted);
            }
            if (h.released) end_drag();
        }
        y += row;
        if (active && !p->source.empty()) {
            look_.name(p->source, {box_x, y + 3}, right - box_x, Face::small, t.soft);
            y += 16;
        }
        return;
    }
    const Box wide{box_x, middle - 13, right - box_x, 26};
    if (p->kind == Parameter::Kind::flag) {
        const int next = segments(("flag " + path).c_str(), {box_x, wide.y, std::min(wide.w, 110.0), 26},
                                  {"no", "yes"}, *text == "yes" || *text == "true" ? 1 : 0);
        if (next >= 0) say("set " + path + (next == 1 ? " yes" : " no"));
        y += row;
        return;
    }
    // materials are those that are at hand
    std::vector<std::string> choices = p->words;
    const bool material = p->name == "material" || p->name.ends_with("part.material");
    if (material && session_.materials()) {
        if (p->optional) choices.push_back("none");
        for (const auto& [key, one] : session_.materials()->all()) choices.push_back(key);
    }
    if (p->kind == Parameter::Kind::choice || !choices.empty()) {
        std::vector<std::string> words;
        double needed = 0;
        for (const std::string& word : choices) {
            words.push_back(words_of(word));
            needed += look_.measure(words.back(), Face::body) + 12;
        }
        const std::string now = text->empty() ? "none" : *text;
        const auto at = std::find(choices.begin(), choices.end(), now);
        if (words.size() <= 4 && needed <= wide.w) {
            const int next =
                segments(("choice " + path).c_str(), wide, words, static_cast<int>(at - choices.begin()));
            if (next >= 0) say("set " + path + " " + choices[static_cast<std::size_t>(next)]);
            y += row;
            return;
        }
        const Hit h = hit("drop " + path, wide);
        look_.fill(wide, look_.field(), 3);
        look_.frame(wide, state_.open_list == path ? t.accent : t.frame, 3);
        look_.name(words_of(now), {wide.x + 8, middle}, wide.w - 30, Face::body, t.text);
        const Vec2 c(wide.right() - 14, middle);
        look_.polyline({c + Vec2(-3.5, -1.8), c + Vec2(0, 1.8), c + Vec2(3.5, -1.8)}, false, t.soft, 1.4);
        if (h.clicked) state_.open_list = state_.open_list == path ? "" : path;
        y += row;
        if (state_.open_list == path)
            for (std::size_t i = 0; i < words.size(); ++i) {
                const Box item{box_x, y, wide.w, 26};
                const Hit choose = hit("item " + path + choices[i], item);
                const bool on = choices[i] == now;
                if (on || choose.hovered) look_.fill(item, on ? look_.accent_fill() : t.head, 3);
                look_.name(words[i], {item.x + 8, item.centre().y()}, item.w - 16,
                           on ? Face::strong : Face::body, on ? t.accent : t.text);
                if (choose.clicked) {
                    say("set " + path + " " + choices[i]);
                    state_.open_list.clear();
                }
                y += 26;
            }
        return;
    }
    edit_box({wide.x, middle - 14, wide.w, 28}, *text, "", false);
    y += row;
}

}  // namespace archwright::editor::ui
