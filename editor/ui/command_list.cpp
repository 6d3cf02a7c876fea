// The command list (Ctrl K).
#include <algorithm>
#include <cstring>

#include "editor/model/session_commands.hpp"
#include "editor/ui/said.hpp"
#include "editor/ui/screen.hpp"
#include "engine/base/text.hpp"
#include "engine/design/parameters.hpp"

namespace archwright::editor::ui {

namespace {

struct Entry {
    std::string name, detail, key;
    std::string line;  ///< run when chosen; empty: `fill` is put into the field
    std::string fill;
};

/// Every word of the search stands somewhere in the text.
bool meets(const std::string& search, const std::string& text) {
    const std::string low = lower(text);
    std::size_t at = 0;
    while (at < search.size()) {
        const std::size_t end = std::min(search.find(' ', at), search.size());
        const std::string one = lower(search.substr(at, end - at));
        if (!one.empty() && low.find(one) == std::string::npos) return false;
        at = end + 1;
    }
    return true;
}

std::vector<Entry> entries(const model::Session& session, const design::FootDesign* foot,
                           const std::string& search) {
    std::vector<Entry> found;
    const auto add = [&](Entry entry) {
        if (found.size() < 60 && meets(search, entry.name + " " + entry.detail + " " + entry.fill))
            found.push_back(std::move(entry));
    };
    if (foot != nullptr) {
        for (const design::Parameter& p : design::foot_parameters()) {
            if (p.listed || p.name.starts_with("cast.") || p.name.starts_with("side.")) continue;
            const auto value = design::get(*foot, p.name);
            if (!value) continue;
            std::string detail = *value + (p.unit.empty() ? "" : " " + p.unit);
            if (p.kind == design::Parameter::Kind::number)
                detail += ", " + exact(p.low) + " to " + exact(p.high);
            std::string group = p.name.substr(0, p.name.find('.'));
            std::replace(group.begin(), group.end(), '_', ' ');
            if (!group.empty())
                group[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(group[0])));
            add({p.name.find('.') == std::string::npos ? label_of(p.name)
                                                       : group + ", " + lower(label_of(p.name)),
                 detail, "", "", "set " + p.name + " "});
        }
        const std::pair<const char*, const char*> kinds[] = {{"groove", "groove"},
                                                             {"cavity", "relief"},
                                                             {"pad", "pad"},
                                                             {"metatarsal_dome", "metatarsal dome"},
                                                             {"metatarsal_bar", "metatarsal bar"},
                                                             {"aperture", "aperture"}};
        for (const auto& [kind, words] : kinds)
            add({std::string("Add ") + words, "where the sections cross", "", std::string("+") + kind, ""});
        for (const auto& f : foot->features)
            add({"Go to " + f.name, f.on ? "relief or pad" : "off", "", "select feature " + f.name, ""});
    }
    for (const std::string& stage : model::stages())
        add({"Go to " + stage_title(stage), "stage", "", "stage " + stage, ""});
    for (const design::CommandKind& kind : model::session_commands()) {
        const bool bare = std::none_of(kind.arguments.begin(), kind.arguments.end(),
                                       [](const design::Argument& a) { return a.required; });
        if (!session.has_job() && kind.of_foot) continue;
        add({kind.name, kind.help, kind.key, bare ? kind.name : "", kind.name + " "});
    }
    return found;
}

}  // namespace

void Screen::command_list(double width, double height) {
    const picture::Theme& t = look_.theme();
    ImDrawList* outer = look_.list;
    // over everything, children too; the input itself lies in a window of its own
    const double w = std::min(560.0, width - 40), row = 38;
    const std::vector<Entry> found = entries(session_, foot(), state_.command_text);
    constexpr int most = 6;
    const int count = std::min<int>(most, static_cast<int>(found.size()));
    const Box box{std::floor(0.5 * (width - w)), 96, w, 52 + row * std::max(count, 1) + 44};
    ImGui::SetNextWindowPos({0, 0});
    ImGui::SetNextWindowSize({look_.px(width), look_.px(height)});
    ImGui::SetNextWindowFocus();
    ImGui::Begin("commands", nullptr,
                 ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove | ImGuiWindowFlags_NoSavedSettings |
                     ImGuiWindowFlags_NoNavInputs);
    look_.list = ImGui::GetWindowDrawList();
    look_.fill({0, 0, width, height}, Colour::hex(0x000000), 0, look_.dark ? 0.5 : 0.22);
    for (int i = 6; i >= 1; --i)
        look_.fill({box.x - i, box.y - i + 4, box.w + 2 * i, box.h + 2 * i}, Colour::hex(0x000000), 6 + i,
                   0.03);
    look_.fill(box, t.panel, 6);
    look_.frame(box, t.frame, 6);

    ImGui::SetCursorScreenPos({look_.px(box.x + 12), look_.px(box.y + 10)});
    ImGui::PushFont(look_.font(Face::title));
    ImGui::PushItemWidth(look_.px(box.w - 90));
    static char typed[512];
    std::strncpy(typed, state_.command_text.c_str(), sizeof typed - 1);
    if (!ImGui::IsAnyItemActive()) ImGui::SetKeyboardFocusHere();
    const bool enter =
        ImGui::InputText("##command", typed, sizeof typed, ImGuiInputTextFlags_EnterReturnsTrue);
    if (state_.command_text != typed) state_.command_chosen = 0;
    state_.command_text = typed;
    ImGui::PopItemWidth();
    ImGui::PopFont();
    if (state_.command_text.empty())
        look_.text("Find a command, a figure, a place", {box.x + 20, box.y + 25}, box.w - 110, Face::title,
                   t.faint);
    look_.key_cap(box.right() - 16, box.y + 25, "Esc");
    look_.rule_across(box.x, box.right(), box.y + 50, t.rule);
    if (ImGui::IsKeyPressed(ImGui::GetKeyIndex(ImGuiKey_DownArrow))) ++state_.command_chosen;
    if (ImGui::IsKeyPressed(ImGui::GetKeyIndex(ImGuiKey_UpArrow))) --state_.command_chosen;
    state_.command_chosen =
        std::clamp(state_.command_chosen, 0, std::max(0, static_cast<int>(found.size()) - 1));
    const int first = std::max(0, state_.command_chosen - most + 1);
    double y = box.y + 54;
    int clicked = -1;
    for (int i = first; i < first + count; ++i) {
        const Entry& entry = found[static_cast<std::size_t>(i)];
        const Box line{box.x + 5, y, box.w - 10, row - 2};
        const Hit h = hit("entry" + std::to_string(i), line);
        if (i == state_.command_chosen) {
            look_.fill(line, look_.accent_fill(), 4);
            look_.fill({line.x, line.y + 2, 3, line.h - 4}, t.accent, 1.5);
        } else if (h.hovered) {
            look_.fill(line, t.head, 4);
        }
        double right = line.right() - 10;
        if (!entry.key.empty()) right -= look_.key_cap(right, line.centre().y(), entry.key) + 10;
        const double x = line.x + 16;
        const double nw = std::min(look_.measure(entry.name, Face::strong), right - x);
        look_.name(entry.name, {x, line.centre().y()}, right - x,
                   i == state_.command_chosen ? Face::strong : Face::body, t.text);
        if (right - x - nw > 60)
            look_.name(entry.detail, {x + nw + 12, line.centre().y()}, right - x - nw - 12, Face::body,
                       t.soft);
        if (h.clicked) clicked = i;
        y += row;
    }
    if (count == 0) {
        look_.text("Enter does it as it stands.", {box.x + 20, y + 16}, box.w - 40, Face::body, t.soft);
        y += row;
    }
    look_.rule_across(box.x, box.right(), y + 4, t.rule);
    look_.text("Enter does it. Tab fills in a value: set trim.cup_posterior_mm 16", {box.x + 20, y + 22},
               box.w - 40, Face::small, t.soft);

    const bool fill = ImGui::IsKeyPressed(ImGui::GetKeyIndex(ImGuiKey_Tab));
    const int chosen = clicked >= 0 ? clicked : state_.command_chosen;
    bool close = ImGui::IsKeyPressed(ImGui::GetKeyIndex(ImGuiKey_Escape));
    if (enter || fill || clicked >= 0) {
        // what reads as a whole command is done; else the entry that is chosen
        const auto whole = design::parse(state_.command_text, model::session_commands());
        if (enter && whole && !whole->name.empty()) {
            say(state_.command_text);
            close = true;
        } else if (chosen < static_cast<int>(found.size())) {
            const Entry& entry = found[static_cast<std::size_t>(chosen)];
            if (!fill && entry.line.starts_with("+")) {
                for (std::string& line : adding(entry.line.substr(1))) say(std::move(line));
                say("stage reliefs");
                close = true;
            } else if (!fill && !entry.line.empty()) {
                say(entry.line);
                close = true;
            } else {
                state_.command_text = entry.fill.empty() ? entry.line : entry.fill;
            }
        } else if (enter) {
            say(state_.command_text);  // its fault says what is wrong with it
            close = true;
        }
    }
    if (ImGui::IsMouseClicked(ImGuiMouseButton_Left)) {
        const Vec2 mouse(static_cast<double>(ImGui::GetIO().MousePos.x) / look_.scale,
                         static_cast<double>(ImGui::GetIO().MousePos.y) / look_.scale);
        if (!box.contains(mouse)) close = true;
    }
    if (close) {
        state_.command_list = false;
        state_.command_text.clear();
    }
    ImGui::End();
    look_.list = outer;
}

}  // namespace archwright::editor::ui
