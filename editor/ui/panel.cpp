// The pieces that panels are made of.
#include "editor/ui/panel.hpp"

#include <algorithm>
#include <cmath>
#include <cstring>
#include <ctime>

#include "editor/model/session_commands.hpp"
#include "editor/ui/said.hpp"
#include "engine/base/text.hpp"
#include "engine/design/fingerprint.hpp"

namespace archwright::editor::ui {

std::string today() {
    const std::time_t now = std::time(nullptr);
    std::tm local{};
    localtime_r(&now, &local);
    const auto two = [](int n) { return (n < 10 ? "0" : "") + std::to_string(n); };
    return std::to_string(1900 + local.tm_year) + "-" + two(local.tm_mon + 1) + "-" + two(local.tm_mday);
}

std::string clock_now() {
    const std::time_t now = std::time(nullptr);
    std::tm local{};
    localtime_r(&now, &local);
    const auto two = [](int n) { return (n < 10 ? "0" : "") + std::to_string(n); };
    return two(local.tm_hour) + ":" + two(local.tm_min);
}

std::string free_name(const std::string& start, const std::function<bool(const std::string&)>& taken) {
    for (int n = 1;; ++n)
        if (std::string name = start + "-" + std::to_string(n); !taken(name)) return name;
}

void Panel::rule() {
    look.rule_across(area.x - 6, area.right() + 6, y, t.rule);
    y += 10;
}

void Panel::head(const std::string& words, const std::string& aside) {
    screen.small_head(area, y, words, aside);
}

void Panel::words(const std::string& text, double indent, int most, bool faint) {
    std::string shown = text;
    for (std::size_t at = 0; (at = shown.find(" +- ", at)) != std::string::npos;)
        shown.replace(at, 4, " \u00b1 ");
    y += look.paragraph(shown, {area.x + indent, y}, area.w - indent, most, Face::small,
                        faint ? t.faint : t.soft) +
         6;
}

int Panel::buttons(const std::string& id, const std::vector<std::string>& words, double indent, int filled) {
    int pressed = -1;
    double x = area.x + indent;
    for (std::size_t i = 0; i < words.size(); ++i) {
        const double w = std::min(look.measure(words[i], Face::strong) + 22, area.w - indent);
        if (x > area.x + indent && x + w > area.right() + 0.5) {
            x = area.x + indent;
            y += 32;
        }
        if (screen.button((id + std::to_string(i)).c_str(), words[i], {x, y, w, 26},
                          static_cast<int>(i) == filled))
            pressed = static_cast<int>(i);
        x += w + 8;
    }
    y += 34;
    return pressed;
}

bool Panel::field(const std::string& id, const Box& box, const std::string& hint) {
    std::string& text = state.typed[id];
    char buffer[512];
    std::strncpy(buffer, text.c_str(), sizeof buffer - 1);
    buffer[sizeof buffer - 1] = 0;
    look.fill(box, look.field(), 3);
    screen.places_.emplace_back("form " + id, box);
    ImGui::SetCursorScreenPos({look.px(box.x), look.px(box.centre().y() - 13)});
    ImGui::PushStyleVar(ImGuiStyleVar_FramePadding, {look.px(8), look.px(5)});
    ImGui::PushItemWidth(look.px(box.w));
    const bool enter = ImGui::InputText(("##form " + id).c_str(), buffer, sizeof buffer,
                                        ImGuiInputTextFlags_EnterReturnsTrue);
    const bool active = ImGui::IsItemActive();
    if (active) state.typing = id;
    ImGui::PopItemWidth();
    ImGui::PopStyleVar();
    look.frame(box, active ? t.accent : t.frame, 3, active ? 2 : 1);
    text = buffer;
    if (text.empty() && !active)
        look.name(hint, {box.x + 9, box.centre().y()}, box.w - 16, Face::body, t.faint);
    return enter;
}

bool Panel::field_row(const std::string& id, const std::string& name, const std::string& hint) {
    const double label = look.narrow ? 62 : 72;
    look.text(name, {area.x, y + 14}, label - 6, Face::body, t.text);
    const bool enter = field(id, {area.x + label, y, area.w - label, 28}, hint);
    y += 34;
    return enter;
}

int Panel::drop(const std::string& id, const std::string& name, const std::vector<std::string>& words,
                const std::string& shown) {
    const double label = name.empty() ? 0 : look.narrow ? 84 : 90;
    if (!name.empty()) look.text(name, {area.x, y + 14}, label - 6, Face::body, t.text);
    const Box box{area.x + label, y + 1, area.w - label, 26};
    const Screen::Hit h = screen.hit("drop " + id, box);
    std::string& open = screen.state_.open_list;
    look.fill(box, look.field(), 3);
    look.frame(box, open == id || h.hovered ? t.accent : t.frame, 3);
    look.name(shown, {box.x + 8, box.centre().y()}, box.w - 30, Face::body, t.text);
    const Vec2 c(box.right() - 14, box.centre().y());
    look.polyline({c + Vec2(-3.5, -1.8), c + Vec2(0, 1.8), c + Vec2(3.5, -1.8)}, false, t.soft, 1.4);
    if (h.clicked) open = open == id ? "" : id;
    y += 32;
    if (open != id) return -1;
    int chosen = -1;
    for (std::size_t i = 0; i < words.size(); ++i) {
        const Box item{box.x, y - 3, box.w, 26};
        const Screen::Hit choose = screen.hit("item " + id + std::to_string(i), item);
        if (choose.hovered || words[i] == shown)
            look.fill(item, choose.hovered ? t.head : look.accent_fill(), 3);
        look.name(words[i], {item.x + 8, item.centre().y()}, item.w - 16, Face::body,
                  words[i] == shown ? t.accent : t.text);
        if (choose.clicked) chosen = static_cast<int>(i);
        y += 26;
    }
    y += 4;
    if (chosen >= 0) open.clear();
    return chosen;
}

Screen::Hit Panel::row(const std::string& id, double height, bool chosen) {
    const Box box{area.x - 6, y, area.w + 12, height};
    const Screen::Hit h = screen.hit(id, box);
    // a command is done in the next frame, and its row is there in the one after
    constexpr int frames_kept = 4;
    const bool kept = state.pressed_row == id && ImGui::GetFrameCount() - state.pressed_frame < frames_kept;
    if (h.clicked) {
        state.pressed_row = id;
        state.pressed_at = y;
        state.pressed_frame = ImGui::GetFrameCount();
    } else if (kept && area.contains(screen.state_.mouse)) {
        state.pressed_moved = y - state.pressed_at;
    }
    if (chosen) {
        look.fill(box, look.accent_fill(), 4);
        look.fill({box.x, y + 3, 3, height - 6}, t.accent, 1.5);
    } else if (h.hovered) {
        look.fill(box, t.head, 4);
    }
    return h;
}

void Panel::who() {
    if (person().empty() || state.form == "person") return;
    const double w = look.measure("Change", Face::body) + 8;
    look.name("On record as " + person(), {area.x, y + 9}, area.w - w, Face::small, t.soft);
    if (screen.link("change person", "Change", {area.right(), y + 9}, Align::right)) state.form = "person";
    y += 26;
}

bool Panel::needs_person(const char* why) {
    if (!person().empty() && state.form != "person") return true;
    const bool known = !person().empty();
    // one form for all who ask
    if (state.person_asked == ImGui::GetFrameCount()) return known;
    state.person_asked = ImGui::GetFrameCount();
    words(why);
    const double w = look.measure("Keep", Face::strong) + 26;
    const bool enter = field("person", {area.x, y, area.w - w - 8, 28}, "Your code, as TECH-04");
    if (screen.button("keep person", "Keep", {area.right() - w, y, w, 28}, true) || enter) {
        if (!typed("person").empty()) say("setting person " + in_quotes(typed("person")));
        state.form.clear();
    }
    y += 38;
    return known;
}

std::string Panel::of_foot() const {
    const design::Job& job = screen.session_.job();
    return job.left && job.right ? std::string(" foot=") + word(screen.session_.foot()) : std::string();
}

void Panel::go_to(Screen& screen, const Vec3& place) {
    screen.state_.section_x = std::round(place.x());
    screen.state_.section_y = std::round(place.y());
    if (screen.shown_) screen.state_.cursor = screen.shown_->over({place.x(), place.y()});
}

void Panel::go_to(Screen& screen, const Check& check) {
    screen.say("select check " + check.id);
    if (check.where) go_to(screen, *check.where);
}

void Panel::next_trouble(Screen& screen) {
    std::vector<const Check*> troubles;
    const std::vector<Check> all = screen.all_checks();
    for (const std::string& stage : model::stages())
        for (const Check& check : all)
            if (check.verdict != Verdict::pass && stage_of(check.id) == stage) troubles.push_back(&check);
    if (troubles.empty()) {
        screen.state_.told = "Nothing to look at: every check passes.";
        screen.state_.told_fault = false;
        return;
    }
    const model::Selection& now = screen.session_.selection();
    // the first of this stage or a later one; from a chosen one the one behind it
    const auto place_of = [](const std::string& stage) {
        const auto& order = model::stages();
        return std::find(order.begin(), order.end(), stage) - order.begin();
    };
    std::size_t next = 0;
    while (next < troubles.size() &&
           place_of(stage_of(troubles[next]->id)) < place_of(screen.session_.stage()))
        ++next;
    next %= troubles.size();
    for (std::size_t i = 0; i < troubles.size(); ++i)
        if (now.what == "check" && troubles[i]->id == now.name) next = (i + 1) % troubles.size();
    screen.say("stage " + stage_of(troubles[next]->id));
    go_to(screen, *troubles[next]);
}

const build::Examined* Panel::examined(const Screen& screen) {
    const model::FootView view = screen.foot_view();
    if (!view.latest) return nullptr;
    if (view.latest->device && view.latest->device->examined) return view.latest->device->examined.get();
    return view.latest->examined.get();
}

void Panel::reckon(Screen& screen) {
    PanelState& state = screen.state_.panels;
    if (!screen.session_.has_job() || screen.foot() == nullptr) return;
    const std::string of = screen.session_.job_path().string() + word(screen.session_.foot());
    if (state.edition == screen.session_.edition() && state.edition_of == of) return;
    state.edition = screen.session_.edition();
    state.edition_of = of;
    const design::Job& job = screen.session_.job();
    const Side side = screen.session_.foot();
    state.signed_checks.clear();
    for (const design::SignOff& s : screen.foot()->sign_offs)
        if (design::is_of(job, side, s.fingerprint)) state.signed_checks.insert(s.check);
    state.approved = false;
    for (const design::Approval& a : screen.foot()->approvals)
        if (a.revision == job.revision() && design::is_of(job, side, a.fingerprint)) {
            state.approved = true;
            state.approved_by = a.by + ", " + a.date;
        }
    state.presets_applied = design::preset_stands(job, side);
}

}  // namespace archwright::editor::ui
