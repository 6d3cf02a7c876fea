#include "editor/ui/keys.hpp"

#include <algorithm>

#include "editor/model/session_commands.hpp"
#include "editor/ui/panel.hpp"
#include "editor/ui/said.hpp"
#include "engine/base/text.hpp"
#include "engine/design/parameters.hpp"
#include "engine/surface/loop.hpp"

namespace archwright::editor::ui {

const std::vector<Key>& all_keys() {
    static const std::vector<Key> all = [] {
        std::vector<Key> keys;
        for (const design::CommandKind& kind : model::session_commands())
            if (!kind.key.empty()) keys.push_back({kind.key, kind.help, kind.name});
        for (const auto& [key, does] : std::initializer_list<std::pair<const char*, const char*>>{
                 {"Ctrl+K", "command list: commands, parameters, places; a value may follow"},
                 {"Esc",
                  "one thing at a time: gives up what is dragged, closes a list, cancels what is under "
                  "way, lets the selection go"},
                 {"PgUp PgDn", "stage before, stage after"},
                 {"N", "next look or stop, with its place in all views"},
                 {"Tab", "next field, Shift+Tab the one before; from outside the first of the stage"},
                 {"Up Down",
                  "in a field: one step, with Ctrl a tenth of it, with Shift ten; the wheel over "
                  "the field does the same"},
                 {"F6",
                  "next region, Shift+F6 the one before: stages (Up, Down), plan and sections (arrows "
                  "move the sections by 0.5 mm, with Shift by 0.1), inspector (Tab)"},
                 {"Ctrl+C Ctrl+V", "copies the selected relief or pad; puts it in, on the other foot too"},
                 {"Arrows",
                  "with no region chosen: what is selected, or the point of it that was clicked last, by "
                  "0.5 mm, with Shift by 0.1; strokes that follow each other are one step"},
                 {"1 2 3 4 5", "the model from medial, lateral, behind, above, below"},
                 {"B", "the plan from below, and from above again"},
                 {"Shift+B", "both feet side by side, and one again"},
                 {"M", "measures between places pressed; Esc ends"},
                 {"P", "takes the brush in hand, in Dress (smoothing) and Wall, and lays it down; Esc too"},
                 {"X", "draws the line of a section in the plan"},
                 {"H", "while held: the device before the last step"},
                 {"F", "all in view"}})
            keys.push_back({key, does, {}});
        return keys;
    }();
    return all;
}

std::string key_reference() {
    std::string page = "| key | what it does |\n|---|---|\n";
    for (const Key& key : all_keys()) {
        page += "| " + key.key + " | ";
        page += key.command.empty() ? key.does : "`" + key.command + "`: " + key.does;
        page += " |\n";
    }
    return page;
}

namespace {

/// A relief begins no nearer to the trim line than this, mm.
constexpr double from_edge_mm = 15.0;

/// The place itself where it lies well within the trim line, else one towards the middle of the device.
Vec2 within(const std::vector<Vec2>& trim, const Vec2& wanted) {
    if (trim.size() < 3) return wanted;
    const surface::Outline outline(trim);
    Vec2 low = trim.front(), high = trim.front();
    for (const Vec2& p : trim) low = low.cwiseMin(p), high = high.cwiseMax(p);
    const Vec2 middle = 0.5 * (low + high);
    constexpr int steps = 40;
    for (int i = 0; i < steps; ++i) {
        const Vec2 p = wanted + i / static_cast<double>(steps) * (middle - wanted);
        if (outline.inside(p) && outline.distance(p) >= from_edge_mm) return p;
    }
    return middle;
}

}  // namespace

std::vector<std::string> Screen::adding(const std::string& kind) const {
    if (foot() == nullptr) return {};
    const bool placed = kind == "metatarsal_dome" || kind == "metatarsal_bar";
    const std::string start = kind == "metatarsal_dome" ? "dome" : kind == "metatarsal_bar" ? "bar" : kind;
    const std::string name = free_name(start, [&](const std::string& taken) {
        return std::any_of(foot()->features.begin(), foot()->features.end(),
                           [&](const feature::Feature& f) { return f.name == taken; });
    });
    std::string points;
    if (!placed) {
        // where the sections cross, or as near to it as the device goes
        std::vector<Vec2> trim;
        if (shown_ && shown_->subject().has_shell())
            for (const Vec3& p : shown_->subject().foot_edge()) trim.push_back(p.head<2>());
        const auto words = [](const Vec2& p) {
            return "[" + rounded(p.x(), 0) + "," + rounded(p.y(), 0) + "]";
        };
        constexpr double groove_mm = 40.0;
        const Vec2 at = within(trim, {state_.section_x, state_.section_y});
        points = " points=[" + words(at);
        if (kind == "groove") {
            const Vec2 ahead = within(trim, at + Vec2(groove_mm, 0.0)),
                       behind = within(trim, at - Vec2(groove_mm, 0.0));
            const bool forward = (ahead - at).norm() >= (behind - at).norm();
            points += "," + words(forward ? ahead : behind);
        }
        points += "]";
    }
    return {"feature add " + name + " " + kind + points, "select feature " + name};
}

std::string Screen::duplicating(const std::string& name) const {
    const std::string copy = free_name(name, [&](const std::string& taken) {
        return std::any_of(foot()->features.begin(), foot()->features.end(),
                           [&](const feature::Feature& f) { return f.name == taken; });
    });
    return "feature duplicate " + in_quotes(name) + " " + in_quotes(copy);
}

namespace {

constexpr int regions = 6;  // stages, plan, model, frontal, sagittal, inspector

/// The selected relief or pad as a job file has it.
std::string as_json(const design::FootDesign& foot, const std::string& name) {
    const auto list = design::get(foot, "features");
    if (!list) return {};
    const auto json = design::parse_json(*list, "features");
    if (!json) return {};
    for (const design::Json& item : json->items)
        if (const design::Json* own = item.find("name"); own != nullptr && own->text == name)
            return design::print(item, true);
    return {};
}

}  // namespace

void Panel::keys(Screen& screen) {
    PanelState& state = screen.state_.panels;
    model::Session& session = screen.session_;
    const ImGuiIO& io = ImGui::GetIO();
    const auto pressed = [](int key) { return ImGui::IsKeyPressed(key, false); };
    const auto mapped = [](ImGuiKey key, bool again = false) {
        return ImGui::IsKeyPressed(ImGui::GetKeyIndex(key), again);
    };
    const bool job = session.has_job() && screen.foot() != nullptr;
    if (io.KeyCtrl && pressed('O')) open_files(screen, FilesState::Purpose::open);
    if (io.KeyCtrl && io.KeyShift && pressed('S') && session.has_job())
        open_files(screen, FilesState::Purpose::save_as);
    if (io.KeyCtrl && pressed('E') && job) screen.say("stage make");
    if (pressed(key_f5) && job) screen.say("rebuild");
    if (pressed(key_f6))
        state.region =
            io.KeyShift ? (state.region <= 0 ? regions - 1 : state.region - 1) : (state.region + 1) % regions;
    if (screen.typing() || !job) return;
    const std::string of_foot =
        session.job().left && session.job().right ? std::string(" foot=") + word(session.foot()) : "";

    // the list of reliefs and pads
    const model::Selection& selection = session.selection();
    const auto& features = screen.foot()->features;
    const auto at = std::find_if(features.begin(), features.end(), [&](const feature::Feature& f) {
        return selection.what == "feature" && f.name == selection.name;
    });
    if (at != features.end()) {
        const std::string name = in_quotes(at->name);
        const auto place = static_cast<std::size_t>(at - features.begin());
        if (io.KeyAlt && mapped(ImGuiKey_UpArrow) && place > 0)
            screen.say("feature move " + name + " " + std::to_string(place - 1) + of_foot);
        if (io.KeyAlt && mapped(ImGuiKey_DownArrow) && place + 1 < features.size())
            screen.say("feature move " + name + " " + std::to_string(place + 1) + of_foot);
        if (!io.KeyCtrl && pressed(' '))
            screen.say(std::string("feature ") + (at->on ? "off " : "on ") + name + of_foot);
        if (mapped(ImGuiKey_Delete)) screen.say("feature remove " + name + of_foot);
        if (io.KeyCtrl && pressed('D')) screen.say(screen.duplicating(at->name) + of_foot);
        if (io.KeyCtrl && mapped(ImGuiKey_C)) {
            state.copied = as_json(*screen.foot(), at->name);
            screen.state_.told = "Copied " + at->name + ".";
            screen.state_.told_fault = false;
        }
    }
    if (io.KeyCtrl && mapped(ImGuiKey_V) && !state.copied.empty()) {
        if (auto json = design::parse_json(state.copied, "copy")) {
            design::Json* own = json->find("name");
            const auto taken = [&](const std::string& name) {
                return std::any_of(features.begin(), features.end(),
                                   [&](const feature::Feature& f) { return f.name == name; });
            };
            if (taken(own->text)) *own = design::Json::of(free_name(own->text, taken));
            screen.say("entry add features " + design::print(*json, true) + of_foot);
            screen.say("select feature " + in_quotes(own->text));
            screen.say("stage reliefs");
        }
    }
    if (io.KeyCtrl) return;
    if (pressed('N')) next_trouble(screen);
    if (mapped(ImGuiKey_A)) {
        screen.say("stage reliefs");
        screen.state_.command_list = true;
        screen.state_.command_text = "add ";
        screen.state_.command_chosen = 0;
    }
    // the first of what is drawn now: the stage may just have changed
    if (mapped(ImGuiKey_Tab) && !state.fields_before.empty())
        state.begin_edit = io.KeyShift ? state.fields_before.back() : any_field;

    // regions by keys
    const double step = io.KeyShift ? 0.1 : 0.5;
    const double across = mapped(ImGuiKey_RightArrow, true) ? 1 : mapped(ImGuiKey_LeftArrow, true) ? -1 : 0;
    const double along = io.KeyAlt                          ? 0
                         : mapped(ImGuiKey_UpArrow, true)   ? 1
                         : mapped(ImGuiKey_DownArrow, true) ? -1
                                                            : 0;
    if (state.region == 0 && along != 0) {
        const auto& all = model::stages();
        const auto now = std::find(all.begin(), all.end(), session.stage()) - all.begin();
        const auto next = now - static_cast<std::ptrdiff_t>(along);
        if (next >= 0 && next < static_cast<std::ptrdiff_t>(all.size()))
            screen.say("stage " + all[static_cast<std::size_t>(next)]);
    }
    if ((state.region == 1 || state.region == 3 || state.region == 4) && (across != 0 || along != 0)) {
        // on the page of a left foot from above medial lies to the right
        const double medial = (session.foot() == Side::left) == (session.view("plan") == "above") ? 1 : -1;
        screen.state_.section_x += step * along;
        screen.state_.section_y += step * medial * across;
    }
}

}  // namespace archwright::editor::ui
