#include "editor/ui/screen.hpp"

#include <algorithm>
#include <cmath>

#include "editor/model/session_commands.hpp"
#include "editor/ui/brush_tool.hpp"
#include "editor/ui/handle_tool.hpp"
#include "editor/ui/keys.hpp"
#include "editor/ui/panel.hpp"
#include "editor/ui/said.hpp"
#include "engine/base/text.hpp"

namespace archwright::editor::ui {

namespace {

/// After so long without a step of the wheel its steps are done, s.
constexpr double wheel_rest_seconds = 0.7;
/// What came in a moment ago is drawn as what moves, s.
constexpr double fresh_seconds = 0.05;

}  // namespace

Layout Layout::of(double width, double height) {
    Layout l;
    l.narrow = width < 1440 || height < 860;
    Box rest{0, 0, width, height};
    l.top = rest.cut_top(44);
    l.status = rest.cut_bottom(26);
    l.stages = rest.cut_left(l.narrow ? 196 : 228);
    l.inspector = rest.cut_right(l.narrow ? 316 : 372);
    const double plan_width = std::floor(rest.w * (l.narrow ? 0.40 : 0.405));
    Box strip = rest.cut_bottom(l.narrow ? 156 : 220);
    l.frontal = strip.cut_left(plan_width);
    l.sagittal = strip;
    l.plan = rest.cut_left(plan_width);
    l.model = rest;
    return l;
}

std::string stage_of(const std::string& check) {
    const std::string first = check.substr(0, check.find('.'));
    const std::pair<const char*, const char*> known[] = {
        {"receive", "receive"},  {"read", "receive"},      {"job", "receive"},     {"order", "receive"},
        {"stand", "examine"},    {"landmarks", "examine"}, {"capture", "examine"}, {"cast", "examine"},
        {"marks", "examine"},    {"examine", "examine"},   {"repair", "examine"},  {"balance", "balance"},
        {"carpet", "dress"},     {"dress", "dress"},       {"trim", "trim"},       {"shoe", "trim"},
        {"features", "reliefs"}, {"loops", "reliefs"},     {"parts", "reliefs"},   {"part", "reliefs"},
        {"wall", "wall"},        {"shell", "wall"},        {"underside", "wall"},  {"post", "post"},
        {"posts", "post"},       {"ground", "post"},       {"pattern", "make"},    {"lettering", "make"}};
    for (const auto& [key, stage] : known)
        if (first == key) return stage;
    return "prove";
}

std::string stage_title(const std::string& stage) {
    if (stage == "reliefs") return "Reliefs and pads";
    if (stage == "wall") return "Wall and flex";
    std::string title = stage;
    if (!title.empty()) title[0] = static_cast<char>(title[0] - 'a' + 'A');
    return title;
}

std::string label_of(const std::string& parameter) {
    std::string label =
        parameter.substr(parameter.rfind('.') == std::string::npos ? 0 : parameter.rfind('.') + 1);
    for (const char* unit : {"_mm", "_deg", "_kg", "_mpa"})
        if (label.ends_with(unit)) label.resize(label.size() - std::string(unit).size());
    std::replace(label.begin(), label.end(), '_', ' ');
    if (!label.empty() && label[0] >= 'a' && label[0] <= 'z')
        label[0] = static_cast<char>(label[0] - 'a' + 'A');
    return label;
}

std::string figure(double value, int decimals, const std::string& unit) {
    std::string text = rounded(value, decimals);
    if (!text.empty() && text.front() == '-') text.replace(0, 1, "\u2212");
    if (unit == "degrees" || unit == "deg") return text + "\u00b0";
    return unit.empty() ? text : text + " " + unit;
}

std::string leaning(double degrees) {
    const std::string size = figure(std::abs(degrees), 1, "deg");
    if (size == figure(0, 1, "deg")) return size;
    return size + (degrees > 0 ? " inverted" : " everted");
}

Screen::Screen(model::Session& session, view::Device& device, std::function<void()> wake)
    : session_(session),
      device_(device),
      skins_(device),
      model_view_(device, skins_),
      plan_print_(device, skins_),
      lens_print_(device, skins_),
      plan_page_(device),
      frontal_page_(device),
      sagittal_page_(device),
      block_page_(device),
      other_skins_(device),
      other_print_(device, other_skins_),
      other_page_(device),
      left_behind_(session.left_behind()),
      preparer_(std::move(wake)) {}

const design::FootDesign* Screen::foot() const {
    if (!session_.has_job()) return nullptr;
    const auto& foot = session_.job().foot(session_.foot());
    return foot ? &*foot : nullptr;
}

model::FootView Screen::foot_view() const {
    return session_.has_job() ? session_.view_of(session_.foot()) : model::FootView{};
}

std::string Screen::sound_words() const {
    const auto at = sound_at_.find(session_.foot());
    return "Last sound shape" + (at == sound_at_.end() ? std::string() : ", " + at->second);
}

bool Screen::superseded() const {
    const model::FootView view = foot_view();
    if (!shown_ || !shown_->subject().has_shell() || !view.latest) return false;
    return view.latest->fault.has_value() || (view.stale && session_.idle());
}

bool Screen::stale() const {
    return superseded() || (shown_ && foot_view().stale);
}

bool Screen::settled(const std::string& stage) const {
    const model::FootView view = foot_view();
    if (view.stale || !view.latest) return false;
    if (view.latest->fault) return true;
    if (!view.latest->device) return !view.sound || built(stage);
    for (const Check& check : awaited_checks(view.latest->device->checks))
        if (stage == "prove" || stage_of(check.id) == stage) return false;
    return true;
}

bool Screen::box_opens() const {
    const bool wanted =
        !state_.editing.empty() || !state_.panels.begin_edit.empty() || state_.panels.files.begun;
    return wanted && !ImGui::GetIO().WantTextInput;
}

bool Screen::typing() const {
    return ImGui::GetIO().WantTextInput || !state_.editing.empty();
}

void Screen::take_in() {
    session_.poll();
    // what a command that went on behind answered in the end
    if (const auto answer = session_.answer()) {
        state_.told_fault = !answer->ok() || (*answer)->objection.has_value();
        state_.told = !answer->ok()             ? answer->fault().message
                      : (*answer)->objection    ? (*answer)->objection->message
                      : (*answer)->told.empty() ? std::string()
                                                : (*answer)->told.back();
    }
    if (!session_.has_job()) {
        for (auto* shown : {&shown_, &latest_, &other_}) shown->reset();
        wished_.clear();
        at_step_.clear();
        outlines_.clear();
        sound_at_.clear();
        look_again(nullptr);
        skins_.show(nullptr);
        other_skins_.show(nullptr);
        return;
    }
    const bool both = session_.view("feet") == "both";
    const view::Map map = view::map_of(session_.view("map"));
    for (const Side side : {Side::left, Side::right}) {
        if (!session_.job().foot(side) || (side != session_.foot() && !both)) continue;
        const model::FootView view = session_.view_of(side);
        // the last sound shape stays while a newer one stops
        std::shared_ptr<const model::FootResult> result = view.latest;
        if (view.sound && (!result || (!result->device && !result->preview))) result = view.sound;
        if (result && result != wished_[side]) {
            wished_[side] = result;
            preparer_.ask(result, *session_.job().foot(side), map);
        }
    }
    if (latest_ && latest_->side() != session_.foot()) std::swap(latest_, other_);
    if (!latest_ && other_ && other_->side() == session_.foot()) latest_ = std::move(other_);
    for (auto& ready : preparer_.take()) {
        if (wished_.count(ready->side()) == 0) continue;  // of a job that was let go
        const bool main = ready->side() == session_.foot();
        auto& place = main ? latest_ : other_;
        if (!place || place->side() != ready->side()) (main ? state_.plan : state_.other_plan) = Flat{};
        if (ready->result().device && !ready->result().fault) sound_at_[ready->side()] = clock_now();
        place = std::move(ready);
        // coarse first where drawing is slow: what is new is seen sooner, and edits follow the hand
        if (device_.slow()) state_.moved_until = ImGui::GetTime() + fresh_seconds;
    }
    if (!foot_view().latest) {
        // another job: nothing of the one before stays
        latest_.reset();
        other_.reset();
        wished_.clear();
        at_step_.clear();
        outlines_.clear();
        sound_at_.clear();
    }
    const std::shared_ptr<const view::Shown> was = shown_;
    shown_ = latest_;
    choose_before();
    if (shown_ != was) look_again(was.get());
    for (const auto& shown : {shown_, both ? other_ : nullptr})
        if (shown && !shown->worked_out(map)) preparer_.ask_map(shown, map);
    take_in_comparison();
    skins_.show(shown_);
    other_skins_.show(both ? other_ : nullptr);
}

/// The values of a comparison lie on the device it is of; of the other its trim line is drawn.
void Screen::take_in_comparison() {
    const auto comparison = session_.comparison();
    const bool current = comparison && comparison->edition == session_.edition();
    if (shown_) shown_->take_comparison(current ? comparison : nullptr);
    const auto flexed = session_.flexed();
    if (shown_) shown_->take_flexed(flexed && flexed->edition == session_.edition() ? flexed : nullptr);
    if (current && comparison->other && comparison->number == compared_outline_of_) return;
    compared_outline_of_ = current && comparison->other ? comparison->number : 0;
    compared_outline_ =
        compared_outline_of_ == 0 ? view::StepOutline{} : view::outline_of(*comparison->other);
}

void Screen::look_again(const view::Shown* was) {
    const auto renew = [&](const view::Place& old) -> std::optional<view::Place> {
        constexpr double same_place_mm = 5.0;
        return shown_->near(old.at, same_place_mm);
    };
    const bool same_foot = shown_ && was != nullptr && shown_->side() == was->side();
    if (state_.cursor) state_.cursor = same_foot ? renew(*state_.cursor) : std::nullopt;
    std::vector<view::Place> kept;
    for (const view::Place& place : state_.measured)
        if (const auto now = same_foot ? renew(place) : std::nullopt) kept.push_back(*now);
    if (kept.size() != state_.measured.size()) kept.clear();  // figures of some of the places would mislead
    state_.measured = std::move(kept);
}

void Screen::choose_before() {
    const design::History* history = session_.history();
    const std::size_t step = history->position();
    // what was built of an older state of this step is none of it
    const auto known = at_step_.find(step);
    if (known != at_step_.end() &&
        (known->second->result().edition != session_.edition() || known->second->side() != session_.foot()))
        at_step_.erase(known);
    const auto drawn = outlines_.find(step);
    if (drawn != outlines_.end() &&
        (drawn->second.edition != session_.edition() || drawn->second.side != session_.foot()))
        outlines_.erase(drawn);
    if (latest_ && latest_->result().device && latest_->result().edition == session_.edition()) {
        at_step_[step] = latest_;
        if (outlines_.count(step) == 0) outlines_[step] = view::outline_of(*latest_);
    }
    constexpr std::size_t most_outlines = 200;
    if (outlines_.size() > most_outlines) outlines_.erase(outlines_.begin());
    constexpr std::size_t most_kept = 4;
    while (at_step_.size() > most_kept) {
        // the farthest from the present step goes
        const auto last = std::prev(at_step_.end());
        const bool first_is_farther =
            step > at_step_.begin()->first &&
            (last->first <= step || step - at_step_.begin()->first > last->first - step);
        at_step_.erase(first_is_farther ? at_step_.begin() : last);
    }
    if (!state_.holds_before && session_.view("before") != "on") return;
    if (step == 0) return;
    const auto before = at_step_.find(step - 1);
    if (before != at_step_.end() && before->second->side() == session_.foot()) shown_ = before->second;
}

const Box* Screen::place_of(const std::string& id) const {
    for (const auto& [name, box] : places_)
        if (name == id) return &box;
    return nullptr;
}

void Screen::open(const std::string& file) {
    Panel::open(*this, file);
}

bool Screen::restless() const {
    const PanelState& panels = state_.panels;
    if (panels.files.reading.valid() || panels.recent_reading.valid() || panels.jobs_reading ||
        !panels.wheel_path.empty())
        return true;
    return ImGui::GetTime() < state_.moved_until + 0.1;
}

std::vector<std::string> Screen::shortened_pages() const {
    std::vector<std::string> all;
    for (const view::Page* page : {&plan_page_, &other_page_, &frontal_page_, &sagittal_page_, &block_page_})
        all.insert(all.end(), page->shortened().begin(), page->shortened().end());
    return all;
}

void Screen::run(const std::vector<std::string>& commands) {
    for (const std::string& line : commands) {
        const auto reply = session_.run(line);
        state_.told_fault = !reply.ok();
        if (!reply) {
            state_.told = reply.fault().message;
        } else {
            state_.told = reply->objection      ? reply->objection->message
                          : reply->told.empty() ? std::string()
                                                : reply->told.back();
            if (const std::string words = said_in_words(line); !reply->objection && !words.empty())
                state_.told = words;
            state_.told_fault = reply->objection.has_value();
        }
        state_.notice_seen = session_.notices().empty() ? 0 : session_.notices().back().number;
    }
    if (state_.handles.told.empty()) return;
    state_.told = std::exchange(state_.handles.told, {});
    state_.told_fault = state_.handles.told_fault;
}

Screen::Hit Screen::hit(const std::string& id, const Box& box) {
    ImGui::SetCursorScreenPos({look_.px(box.x), look_.px(box.y)});
    Hit hit;
    places_.emplace_back(id, box);
    const ImVec2 size{std::max(1.0f, look_.px(box.w)), std::max(1.0f, look_.px(box.h))};
    hit.clicked = ImGui::InvisibleButton(id.c_str(), size);
    hit.hovered = ImGui::IsItemHovered();
    hit.held = ImGui::IsItemActive();
    hit.activated = ImGui::IsItemActivated();
    hit.released = ImGui::IsItemDeactivated();
    return hit;
}

void Screen::image(view::Id texture, const Box& box, bool from_below) {
    if (texture == 0) return;
    const float v0 = from_below ? 1.0f : 0.0f;
    // NOLINTNEXTLINE(performance-no-int-to-ptr): ImGui names textures by pointers
    const auto name = reinterpret_cast<ImTextureID>(device_.native(texture));
    look_.list->AddImage(name, {look_.px(box.x), look_.px(box.y)},
                         {look_.px(box.right()), look_.px(box.bottom())}, {0, v0}, {1, 1.0f - v0});
}

void Screen::view_head(const Box& strip, const std::string& letter, const std::string& name,
                       const std::string& detail, double right_used) {
    const picture::Theme& t = look_.theme();
    look_.fill(strip, t.head);
    look_.rule_across(strip.x, strip.right(), strip.bottom() - 1, t.rule);
    double x = strip.x + 12;
    const double y = strip.centre().y();
    if (!letter.empty()) {
        look_.disc_letter({x + 8, y}, letter);
        x += 24;
    }
    x += look_.text(name, {x, y}, strip.right() - x - 8, Face::strong, t.text) + 9;
    const double room = strip.right() - right_used - 10 - x;
    if (!detail.empty() && look_.measure(detail, Face::body) <= room)
        look_.text(detail, {x, y}, room, Face::body, t.soft);
}

bool Screen::button(const char* id, const std::string& words, const Box& box, bool filled, bool enabled) {
    const Hit h = enabled ? hit(id, box) : Hit{};
    const picture::Theme& t = look_.theme();
    if (filled && enabled) {
        look_.fill(box, h.hovered ? picture::mix(t.accent, t.text, 0.15) : t.accent, 3);
        look_.text(words, box.centre(), box.w - 8, Face::strong, t.on_accent, Align::centre);
    } else {
        look_.fill(box, h.hovered ? look_.accent_fill() : look_.field(), 3);
        look_.frame(box, t.frame, 3);
        look_.text(words, box.centre(), box.w - 8, Face::strong, enabled ? t.accent : t.faint, Align::centre);
    }
    return h.clicked;
}

bool Screen::link(const char* id, const std::string& words, const Vec2& at, Align align) {
    const double w = look_.measure(words, Face::body);
    const Box box{align == Align::right ? at.x() - w : at.x(), at.y() - 10, w, 20};
    const Hit h = hit(id, box);
    look_.text(words, {box.x, at.y()}, w + 1, Face::body, look_.theme().accent);
    if (h.hovered) look_.rule_across(box.x, box.right(), at.y() + 8, look_.theme().accent);
    return h.clicked;
}

int Screen::segments(const char* id, const Box& box, const std::vector<std::string>& words, int chosen) {
    const picture::Theme& t = look_.theme();
    // each gets what its word needs and an even share of the rest
    double needed = 0;
    for (const std::string& word : words) needed += look_.measure(word, Face::body);
    const double spare = (box.w - needed) / static_cast<double>(words.size());
    look_.fill(box, look_.field(), 3);
    int answer = -1;
    Box chosen_box;
    double x = box.x;
    for (std::size_t i = 0; i < words.size(); ++i) {
        const Box part{x, box.y, look_.measure(words[i], Face::body) + spare, box.h};
        const Hit h = hit(std::string(id) + words[i], part);
        const bool on = static_cast<int>(i) == chosen;
        if (h.clicked && !on) answer = static_cast<int>(i);
        if (on) {
            look_.fill(part, look_.accent_fill(), 3);
            chosen_box = part;
        } else if (h.hovered) {
            look_.fill(part, t.head, 3);
        }
        x = part.right();
    }
    look_.frame(box, t.frame, 3);
    if (chosen >= 0) look_.frame(chosen_box, t.accent, 3);
    x = box.x;
    for (std::size_t i = 0; i < words.size(); ++i) {
        const double w = look_.measure(words[i], Face::body) + spare;
        look_.text(words[i], {x + 0.5 * w, box.centre().y()}, w - 2, Face::body,
                   static_cast<int>(i) == chosen ? t.accent : t.soft, Align::centre);
        x += w;
    }
    return answer;
}

void Screen::small_head(const Box& area, double& y, const std::string& words, const std::string& aside) {
    const picture::Theme& t = look_.theme();
    const double aside_width = aside.empty() ? 0 : look_.measure(aside, Face::small) + 8;
    look_.text(words, {area.x, y + 11}, area.w - aside_width, Face::small_strong, t.soft);
    if (!aside.empty())
        look_.text(aside, {area.right(), y + 11}, aside_width, Face::small, t.soft, Align::right);
    y += 24;
}

void Screen::keys() {
    const ImGuiIO& io = ImGui::GetIO();
    // once a press: on a slow screen a repeat would come before the hand is up again
    const auto pressed = [](int key) { return ImGui::IsKeyPressed(key, false); };
    const bool ctrl = io.KeyCtrl;
    if (ctrl && pressed(ImGui::GetKeyIndex(ImGuiKey_Z))) say(io.KeyShift ? "redo" : "undo");
    if (ctrl && (pressed('K') || pressed('k'))) {
        state_.command_list = !state_.command_list;
        state_.command_text.clear();
        state_.command_chosen = 0;
    }
    if (ctrl && !io.KeyShift && pressed('S')) say("save");
    if (pressed(ImGui::GetKeyIndex(ImGuiKey_Escape)) && !state_.command_list &&
        !Panel::over_everything(*this) && state_.editing.empty() && !HandleTool(*this).escape() &&
        !BrushTool(*this).escape()) {
        if (state_.tool != Tool::none) {
            state_.tool = Tool::none;
            state_.measured.clear();
            state_.section_from.reset();
        } else if (!session_.busy_with().empty() || session_.activity().busy)
            say("cancel");
        else if (!state_.panels.form.empty())
            state_.panels.form.clear();
        else if (session_.has_job() && session_.selection().what != "none")
            say("select none");
        else
            state_.panels.region = -1;
    }
    if (!Panel::over_everything(*this) && !state_.command_list) {
        Panel::keys(*this);
        HandleTool(*this).keys();
    }
    state_.holds_before = !typing() && !ctrl && session_.has_job() && ImGui::IsKeyDown('H');
    if (typing() || ctrl || !session_.has_job()) return;
    const char* views[] = {"medial", "lateral", "behind", "above", "below"};
    for (int i = 0; i < 5; ++i)
        if (pressed('1' + i)) say(std::string("view from ") + views[i]);
    if (pressed('B') && !io.KeyShift)
        say(std::string("view plan ") + (session_.view("plan") == "above" ? "below" : "above"));
    if (pressed('B') && io.KeyShift)
        say(std::string("view feet ") + (session_.view("feet") == "one" ? "both" : "one"));
    if (pressed('M') || pressed('X')) {
        const Tool wanted = pressed('M') ? Tool::measure : Tool::section;
        state_.tool = state_.tool == wanted ? Tool::none : wanted;
        state_.measured.clear();
        state_.section_from.reset();
    }
    if (pressed('P')) BrushTool(*this).toggle();
    if (pressed('F')) {
        state_.eye = view::Eye::from(session_.view("from"));
        for (Flat* flat : {&state_.plan, &state_.other_plan, &state_.frontal, &state_.sagittal})
            *flat = Flat{};
    }
    const auto& all = model::stages();
    const auto at = std::find(all.begin(), all.end(), session_.stage());
    if (pressed(ImGui::GetKeyIndex(ImGuiKey_PageDown)) && at != all.end() && at + 1 != all.end())
        say("stage " + *(at + 1));
    if (pressed(ImGui::GetKeyIndex(ImGuiKey_PageUp)) && at != all.end() && at != all.begin())
        say("stage " + *(at - 1));
}

std::vector<std::string> Screen::frame(double width, double height) {
    commands_ = std::exchange(asked_, {});
    places_.clear();
    state_.panels.typing.clear();
    take_in();
    Panel::reckon(*this);
    PanelState& panels = state_.panels;
    panels.fields_before = std::exchange(panels.fields, {});
    // a field that is not there any more is not waited for
    if (panels.begin_edit != any_field && std::find(panels.fields_before.begin(), panels.fields_before.end(),
                                                    panels.begin_edit) == panels.fields_before.end())
        panels.begin_edit.clear();
    if (!state_.editing.empty() && std::find(panels.fields_before.begin(), panels.fields_before.end(),
                                             state_.editing) == panels.fields_before.end())
        state_.editing.clear();
    panels.no_scroll = std::exchange(panels.no_scroll_next, false);
    // steps of a wheel that came to rest are one of undo
    if (!panels.wheel_path.empty() && ImGui::GetTime() > panels.wheel_time + wheel_rest_seconds) {
        panels.wheel_path.clear();
        if (session_.history() != nullptr && session_.history()->open()) say("step end");
    }
    look_.dark = session_.dark();
    const Layout layout = Layout::of(width, height);
    look_.narrow = layout.narrow;
    look_.apply_style();
    if (state_.eye_word != session_.view("from")) {
        state_.eye_word = session_.view("from");
        if (state_.eye_word != "free") state_.eye = view::Eye::from(state_.eye_word);
    }
    if (session_.has_job() && state_.sections_number != session_.sections().number) {
        state_.sections_number = session_.sections().number;
        state_.section_x = session_.sections().frontal_x;
        state_.section_y = session_.sections().sagittal_y;
    }
    state_.hovered.clear();
    state_.mouse =
        Vec2(static_cast<double>(ImGui::GetIO().MousePos.x), static_cast<double>(ImGui::GetIO().MousePos.y)) /
        look_.scale;
    ImGui::SetNextWindowPos({0, 0});
    ImGui::SetNextWindowSize({look_.px(width), look_.px(height)});
    ImGui::Begin("screen", nullptr,
                 ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove | ImGuiWindowFlags_NoSavedSettings |
                     ImGuiWindowFlags_NoBringToFrontOnFocus | ImGuiWindowFlags_NoScrollWithMouse |
                     ImGuiWindowFlags_NoNavInputs);
    look_.list = ImGui::GetWindowDrawList();
    look_.forget_overflows();
    const picture::Theme& t = look_.theme();
    look_.fill({0, 0, width, height}, t.panel);
    keys();
    const auto part = [&](const char* name, auto&& act) {
        look_.part = name;
        act();
    };
    part("plan", [&] { plan(layout.plan); });
    part("model", [&] { model_panel(layout.model); });
    part("frontal", [&] { section(layout.frontal, first_cut(), frontal_page_, state_.frontal); });
    part("sagittal", [&] {
        section(layout.sagittal, {1, state_.section_y, "S", "Sagittal"}, sagittal_page_, state_.sagittal);
    });
    // outside of the views no place is pointed at; what is dragged or measured keeps its own
    if (state_.hovered.empty() && !ImGui::IsAnyMouseDown()) state_.cursor.reset();
    part("stages", [&] { stages(layout.stages); });
    part("inspector", [&] { inspector(layout.inspector); });
    part("top", [&] { top_bar(layout.top); });
    part("status", [&] { status(layout.status); });
    look_.list = ImGui::GetWindowDrawList();
    look_.rule_down(layout.plan.right() - 1, layout.plan.y, layout.status.y, t.frame);
    look_.rule_across(layout.plan.x, layout.inspector.x, layout.frontal.y, t.frame);
    if (panels.region >= 0) {
        const Box* regions[] = {&layout.stages,  &layout.plan,     &layout.model,
                                &layout.frontal, &layout.sagittal, &layout.inspector};
        look_.frame(*regions[panels.region], t.accent, 0, 2);
    }
    if (!panels.question.empty()) part("question", [&] { Panel::question(*this, width, height); });
    if (panels.files.purpose != FilesState::Purpose::closed)
        part("files", [&] { Panel::files(*this, width, height); });
    if (state_.command_list) part("commands", [&] { command_list(width, height); });
    ImGui::End();
    return commands_;
}

}  // namespace archwright::editor::ui
