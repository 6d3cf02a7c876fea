// Checks: those that pass, those that want a look, and what stops the work with its ways out.
#include <algorithm>
#include <cmath>
#include <set>

#include "editor/ui/handle_tool.hpp"
#include "editor/ui/panel.hpp"
#include "editor/ui/said.hpp"
#include "editor/ui/ways_out.hpp"
#include "engine/base/text.hpp"
#include "engine/design/statement.hpp"
#include "engine/surface/loop.hpp"

namespace archwright::editor::ui {

namespace {

/// What has no unit says nothing without its sentence: it is left out.
std::string figure_of(const std::optional<double>& value, const std::string& unit, const std::string& check) {
    if (!value || unit.empty()) return {};
    // these are inclinations, whose sign is a word
    if (check == "balance.platform" || check == "ground.rest" || check == "balance.capture")
        return leaning(*value);
    const int decimals = *value == std::round(*value) ? 0 : std::abs(*value) < 1 ? 2 : 1;
    return figure(*value, decimals, unit);
}

/// A fault is told to whoever types commands; here buttons say them.
std::string without_typing(const std::string& message) {
    return without_keys(message.substr(0, message.find(" Type: ")));
}

/// A limit holds to both sides: it has no word of its own.
std::string limit_of(const Check& check) {
    const bool inclined =
        figure_of(check.limit, check.unit, check.id) != figure_of(check.limit, check.unit, std::string());
    return figure_of(check.limit, check.unit, inclined ? std::string() : check.id);
}

}  // namespace

std::vector<Check> Screen::all_checks() const {
    const model::FootView view = foot_view();
    if (!view.latest) return {};
    std::vector<Check> all;
    if (view.latest->device) {
        all = view.latest->device->checks;
    } else {
        // where the work stopped, or is under way: what was told before, and what was found on the cast
        if (view.latest->received) all = view.latest->received->checks;
        all.insert(all.end(), view.latest->first_checks.begin(), view.latest->first_checks.end());
        if (view.latest->examined)
            all.insert(all.end(), view.latest->examined->checks.begin(), view.latest->examined->checks.end());
    }
    const std::vector<Check> earlier = awaited_checks(all);
    all.insert(all.end(), earlier.begin(), earlier.end());
    return all;
}

std::vector<Check> Screen::awaited_checks(const std::vector<Check>& told) const {
    const model::FootView view = foot_view();
    if (!view.latest || view.latest->fault || !view.checked ||
        view.latest->reach == model::FootResult::Reach::proved)
        return {};
    std::set<std::string> known;
    for (const Check& check : told) known.insert(check.id);
    std::vector<Check> awaited;
    for (const Check& check : view.checked->device->checks)
        if (known.count(check.id) == 0) awaited.push_back(check);
    return awaited;
}

Sign Screen::sign_of_check(const Check& check) const {
    if (check.verdict == Verdict::look && state_.panels.signed_checks.count(check.id) > 0)
        return Sign::looked_signed;
    return sign_of(check.verdict);
}

void Panel::sign_form(const Check& check) {
    words("Who signs takes responsibility for this device as it is now. Any later edit voids it.");
    if (!needs_person("A sign-off goes on record with your code.")) return;
    const std::string id = "sign reason " + check.id;
    bool enter = field_row(id, "Reason", "Why it may be made");
    enter = field_row("sign second", "Second", "Code of a second person, or none") || enter;
    const int pressed = buttons("sign " + check.id, {"Sign as " + person(), "Leave it"}, 0, 0);
    if ((pressed == 0 || enter) && typed(id).empty()) {
        state.told = "A sign-off wants its reason.";
    } else if (pressed == 0 || enter) {
        say("sign " + check.id + " by=" + person() + " reason=" + in_quotes(typed(id)) +
            (typed("sign second").empty() ? "" : " second=" + in_quotes(typed("sign second"))) + of_foot());
        state.form.clear();
        state.told.clear();
        typed("sign second").clear();
    }
    if (pressed == 1) state.form.clear(), state.told.clear();
    if (!state.told.empty()) words(state.told);
}

void Panel::ways_rows(const std::string& id, const std::vector<WayOut>& ways, double indent) {
    const std::string show = "Show first";
    const double show_w = look.measure(show, Face::body);
    const model::FootView view = screen.foot_view();
    for (std::size_t i = 0; i < ways.size(); ++i) {
        const WayOut& way = ways[i];
        const bool shows = way.can_be_shown() && view.sound;
        const double w =
            std::min(look.measure(way.words, Face::strong) + 22, area.w - indent - (shows ? show_w + 12 : 0));
        const std::string own = id + std::to_string(i);
        if (screen.button(own.c_str(), way.words, {area.x + indent, y, w, 26}, false))
            say(way.command + (way.command == "undo" ? "" : of_foot()));
        if (shows && screen.link(("first " + own).c_str(), show, {area.right(), y + 13}, Align::right))
            say("propose " + in_quotes(way.command + of_foot()));
        y += 34;
    }
}

std::string Panel::relief_over(const Check& check) const {
    std::string over;
    if (check.where && screen.shown_)
        for (const picture::PlanOutline& outline : screen.shown_->subject().input().outlines)
            if (!outline.feature.empty() && outline.points.size() > 2 &&
                surface::Outline(outline.points).inside(check.where->head<2>()))
                over = outline.feature;
    return over;
}

void Panel::stops(const std::vector<Check>& checks) {
    const model::FootView view = screen.foot_view();
    if (view.stale) {
        // of an earlier design: it is being built again, or was cancelled
        if (view.latest && screen.session_.idle()) {
            words("Not built: what is shown is of the design before the last change.");
            const int pressed = buttons("build it", {"Build it", "Take the change back"}, 0, 0);
            if (pressed == 0) say("rebuild");
            if (pressed == 1 && screen.session_.history()->can_undo()) say("undo");
            rule();
        }
        return;
    }
    if (!screen.settled("prove")) return;  // its checks are not in yet
    const auto card = [&](const std::string& title, const std::string& message, const std::string& sizes,
                          const std::optional<Vec3>& where, const std::vector<WayOut>& ways,
                          const Check* check) {
        const double top = y, left = area.x - 6, width = area.w + 12;
        ImDrawList* list = look.list;
        list->ChannelsSplit(2);
        list->ChannelsSetCurrent(1);
        const Box whole = area;
        area = {whole.x + 6, whole.y, whole.w - 12, whole.h};
        y += 10;
        look.sign({area.x + 6, y + 9}, Sign::stop);
        look.name(title, {area.x + 22, y + 9}, area.w - 22, Face::strong, t.stop);
        y += 24;
        y += look.paragraph(message, {area.x, y}, area.w, 12, Face::body, t.text) + 6;
        if (!sizes.empty() || where) {
            const double w = where ? look.measure("Show it", Face::body) + 8 : 0;
            look.name(sizes, {area.x, y + 10}, area.w - w, Face::small, t.soft);
            if (where &&
                screen.link(("show " + title).c_str(), "Show it", {area.right(), y + 10}, Align::right)) {
                go_to(*where);
                if (check != nullptr) say("select check " + check->id);
            }
            y += 26;
        }
        ways_rows("way " + title, ways);
        const bool may_sign =
            check != nullptr && check->signable && design::never_signed(check->id).empty() && view.proved();
        const bool signing = may_sign && state.form == "sign " + check->id;
        if (may_sign && !signing) {
            const std::string words = "Sign it ...";
            const double w = look.measure(words, Face::strong) + 22;
            if (screen.button(("way " + title + std::to_string(ways.size())).c_str(), words,
                              {area.x, y, w, 26}, false))
                state.form = "sign " + check->id;
            y += 34;
        }
        if (signing) sign_form(*check);
        area = whole;
        list->ChannelsSetCurrent(0);
        look.fill({left, top, width, y - top}, t.stop_fill, 4);
        list->ChannelsMerge();
        y += 12;
    };
    if (view.latest && view.latest->fault) {
        const Fault& fault = *view.latest->fault;
        std::vector<WayOut> ways = ways_out(fault, foot(), person());
        if (fault.kind != FaultKind::ask && screen.session_.history()->can_undo())
            ways.push_back({"Take the last change back", "undo"});
        const std::string over = fault.where && fault.message.find("\"") == std::string::npos
                                     ? HandleTool(screen).nearest_of_order(fault.where->head<2>())
                                     : std::string();
        card(fault.kind == FaultKind::ask ? "A person has to say" : "The work stops here",
             without_typing(fault.message) + (over.empty() ? "" : " Nearest to it: " + over + "."), "",
             fault.where, ways, nullptr);
        if (fault.kind == FaultKind::ask && person().empty())
            (void)needs_person("What a cast is goes on record with a code.");
    }
    for (const Check& check : checks) {
        if (check.verdict != Verdict::stop) continue;
        std::string sizes = figure_of(check.figure, check.unit, check.id);
        if (!sizes.empty() && check.limit) sizes += ", limit " + limit_of(check);
        // the sentence names the place where it can
        if (check.where && check.message.find(" forward") == std::string::npos &&
            check.message.find(" back,") == std::string::npos)
            sizes += (sizes.empty() ? "at " : ", at ") + place_in_words(*check.where);
        std::vector<WayOut> ways =
            ways_out(check, foot(), view.latest ? view.latest->device.get() : nullptr, relief_over(check));
        if (ways.empty() && screen.session_.history()->can_undo())
            ways.push_back({"Take the last change back", "undo"});
        card(check.title, without_keys(check.message), sizes, check.where, ways, &check);
    }
}

void Panel::checks(const std::vector<Check>& all, bool passed) {
    std::vector<const Check*> sorted;
    for (const Check& check : all)
        if ((check.verdict == Verdict::pass) == passed) sorted.push_back(&check);
    std::stable_sort(sorted.begin(), sorted.end(),
                     [](const Check* a, const Check* b) { return a->verdict > b->verdict; });
    const model::Selection& selection = screen.session_.selection();
    for (const Check* check : sorted) {
        const bool stale = !screen.settled(stage_of(check->id));
        const Box box{area.x - 6, y, area.w + 12, 26};
        const Screen::Hit h = screen.hit("check " + check->id, box);
        const bool chosen = selection.what == "check" && selection.name == check->id;
        const Sign sign = stale ? Sign::waiting : screen.sign_of_check(*check);
        const bool bad = check->verdict != Verdict::pass && !stale;
        if (bad)
            look.fill(box, check->verdict == Verdict::stop ? t.stop_fill : t.look_fill, 3);
        else if (h.hovered || chosen)
            look.fill(box, t.head, 3);
        look.sign({box.x + 15, y + 13}, sign, 0.9);
        const Colour colour = stale ? t.faint : bad ? look.sign_colour(sign) : t.text;
        const std::string value = figure_of(check->figure, check->unit, check->id);
        const double vw = value.empty() ? 0 : look.measure(value, Face::body) + 8;
        const double room = box.w - 36 - vw;
        const bool fits = look.measure(check->title, bad ? Face::strong : Face::body) <= room;
        look.name(check->title, {box.x + 30, y + 13}, room,
                  bad ? (fits ? Face::strong : Face::small_strong) : (fits ? Face::body : Face::small),
                  colour);
        if (vw > 0)
            look.text(value, {box.right() - 6, y + 13}, vw, Face::body,
                      stale ? t.faint
                      : bad ? colour
                            : t.soft,
                      Align::right);
        y += 28;
        if (chosen) {
            y += look.paragraph(without_keys(check->message), {area.x + 24, y}, area.w - 24, 16, Face::small,
                                t.soft) +
                 4;
            const std::string limit = limit_of(*check);
            words((limit.empty() ? "" : "Limit " + limit + ". ") + "Its key: " + check->id, 24, 2, true);
            if (check->verdict == Verdict::look && !stale)
                ways_rows("mend " + check->id,
                          ways_out(*check, foot(), screen.foot_view().latest->device.get(), ""), 24);
            if (state.signed_checks.count(check->id) > 0 &&
                screen.link(("unsign " + check->id).c_str(), "Take the sign-off back", {area.x + 24, y + 8}))
                say("unsign " + check->id + of_foot());
            if (state.signed_checks.count(check->id) > 0) y += 26;
        }
        if (h.clicked) {
            if (chosen)
                say("select none");
            else
                go_to(screen, *check);
        }
    }
}

}  // namespace archwright::editor::ui
