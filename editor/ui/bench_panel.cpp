// The virtual bench: which load on what, how the shell gives, beside what it is compared with.
#include <algorithm>
#include <cmath>

#include "editor/ui/panel.hpp"
#include "editor/ui/said.hpp"
#include "engine/base/text.hpp"
#include "engine/build/flex_subject.hpp"

namespace archwright::editor::ui {

namespace {

/// What a person can choose to stand it on; anything else by the command.
struct Ground {
    const char *name, *words;  ///< of the command
    flex::BenchSupport support;
};
const std::vector<Ground>& grounds() {
    static const std::vector<Ground> all{{"a plate, friction 0.3", "", {0.3, 0, 0, {}}},
                                         {"a smooth plate", " friction=0", {0, 0, 0, {}}},
                                         {"a plate, a shoe's grip", " distal_spring=50", {0.3, 50, 0, {}}},
                                         {"a bed of 1 N/mm\u00b3", " bed=1", {0.3, 0, 1, {}}}};
    return all;
}

std::string ground_words(const flex::BenchSupport& support) {
    for (const Ground& ground : grounds())
        if (ground.support == support) return ground.name;
    std::string words = "friction " + exact(support.friction);
    if (support.distal_spring_n_mm > 0) words += ", grip " + exact(support.distal_spring_n_mm) + " N/mm";
    if (support.bed_n_mm3 > 0) words += ", bed " + exact(support.bed_n_mm3) + " N/mm\u00b3";
    return words;
}

/// Round steps of an axis, three to six of them.
double curve_step(double most) {
    const double decade = std::pow(10.0, std::floor(std::log10(most / 3.0)));
    for (const double step : {1.0, 2.0, 2.5, 5.0})
        if (most <= 5.0 * step * decade) return step * decade;
    return 10.0 * decade;
}
/// With as many decimals as the steps need.
std::string curve_figure(double value, double step) {
    const int whole = static_cast<int>(std::floor(std::log10(step) + 1e-9));
    const bool quarters = std::abs(step / std::pow(10.0, whole) - 2.5) < 0.1;
    return rounded(value, std::clamp((quarters ? 1 : 0) - whole, 0, 4));
}
/// What the figures are worth with the device's material.
build::BenchWorth worth_of(const model::Flexed& flexed) {
    if (const build::Device* device = flexed.now->device.get(); device->shelled)
        return build::bench_worth(*device->shelled, flexed.result->load_case);
    return {flex::bench_caution, {}};
}

std::string changed_share(double share) {
    return (share < 0 ? "\u2212" : "+") + rounded(std::abs(100 * share), 1) + " %";
}

}  // namespace

void Panel::bench() {
    y += 8;
    const std::optional<model::FlexWith>& with = screen.session_.flex();
    const auto flexed = screen.session_.flexed();
    const bool current = flexed && flexed->edition == screen.session_.edition() && !screen.foot_view().stale;
    head("Virtual bench", with && (!current || !flexed->whole) ? "being worked out" : "");
    std::vector<std::string> loads{"none"};
    for (const flex::LoadCase load : flex::all_load_cases) loads.emplace_back(flex::title(load));
    const auto command = [&](const std::string& load, const std::string& words) {
        say("flex " + load + words);
    };
    const auto words_of = [&](const flex::BenchSupport& support) {
        for (const Ground& ground : grounds())
            if (ground.support == support) return std::string(ground.words);
        return " friction=" + exact(support.friction) +
               " distal_spring=" + exact(support.distal_spring_n_mm) + " bed=" + exact(support.bed_n_mm3);
    };
    const std::string support = with ? words_of(with->support) : "";
    if (const int chosen = drop("bench load", "Load", loads, with ? flex::title(with->load) : "none");
        chosen >= 0)
        command(chosen == 0 ? "off" : flex::key(flex::all_load_cases[chosen - 1]),
                chosen == 0 ? "" : support);
    if (!with) {
        words("Shows how the shell gives under a load, again after every change.", 0, 3, true);
        return;
    }
    const bool on_ground =
        with->load != flex::LoadCase::forefoot_lift && with->load != flex::LoadCase::torsion;
    if (on_ground) {
        std::vector<std::string> names;
        for (const Ground& ground : grounds()) names.emplace_back(ground.name);
        if (const int chosen = drop("bench ground", "Stands on", names, ground_words(with->support));
            chosen >= 0)
            command(flex::key(with->load), grounds()[chosen].words);
    } else {
        words("Its heel is held fast.", 0, 1, true);
    }
    if (flexed && flexed->fault) {
        look.sign({area.x + 6, y + 11}, Sign::look);
        y += look.paragraph(flexed->fault->message, {area.x + 22, y + 3}, area.w - 22, 6, Face::small,
                            t.text) +
             8;
        return;
    }
    if (flexed && flexed->result) {
        bench_figures(*flexed);
        const std::string& bent = screen.session_.view("deflected");
        look.text("As it gives", {area.x, y + 14}, 84, Face::body, t.text);
        if (look.narrow) y += 26;  // the buttons have the whole width
        const char* times[] = {"off", "1", "5", "20"};
        std::vector<std::string> names{"at rest", "\u00d7 1", "\u00d7 5", "\u00d7 20"};
        int filled = 0;
        for (int i = 0; i < 4; ++i)
            if (bent == times[i]) filled = i;
        if (const int pressed = buttons("deflected", names, look.narrow ? 0 : 90, filled); pressed >= 0)
            say(std::string("view deflected ") + times[pressed]);
    }
    asking(*with, support);
}

void Panel::bench_figures(const model::Flexed& flexed) {
    const flex::BenchResult& result = *flexed.result;
    const flex::BenchResult* other = flexed.other_result ? &*flexed.other_result : nullptr;
    const bool old = flexed.edition != screen.session_.edition() || screen.foot_view().stale;
    const Colour ink = old ? t.faint : t.text;
    const flex::LoadUnits unit = flex::units(result.load_case);
    const build::BenchWorth worth = worth_of(flexed);
    words(worth.words, 0, 4, true);
    if (flexed.other) {
        const double column = 0.3 * area.w;
        look.text("this", {area.right() - column, y + 9}, 60, Face::small, t.soft, Align::right);
        look.name(compared_words(screen), {area.right(), y + 9}, column - 8, Face::small, t.soft,
                  Align::right);
        y += 20;
    }
    const auto line = [&](const std::string& name, const std::string& value, const std::string& beside,
                          const std::string& of) {
        look.text(name, {area.x, y + 10}, 0.46 * area.w, Face::small, t.soft);
        if (flexed.other) {
            const double column = 0.3 * area.w;
            look.text(value, {area.right() - column, y + 10}, 0.26 * area.w, Face::small_strong, ink,
                      Align::right);
            look.text(beside + (beside.empty() ? "" : " " + of), {area.right(), y + 10}, column - 6,
                      Face::small, ink, Align::right);
        } else {
            look.text(value + " " + of, {area.right(), y + 10}, 0.54 * area.w - 4, Face::small_strong, ink,
                      Align::right);
        }
        y += 21;
    };
    const auto both = [&](const std::string& name, const auto& figure_of, const std::string& of) {
        line(name, figure_of(result), other != nullptr ? figure_of(*other) : "", of);
    };
    using Result = flex::BenchResult;
    both(
        "Load", [](const Result& r) { return flex::bench_figure(r.load); }, unit.load);
    const auto stiffness = [](double value, const Result& r) {
        return r.gives ? flex::bench_figure(value) : std::string("gives < 0.01");
    };
    both(
        "Stiffness, initial", [&](const Result& r) { return stiffness(r.initial_stiffness, r); },
        unit.stiffness);
    both(
        "To the whole load", [&](const Result& r) { return stiffness(r.stiffness, r); }, unit.stiffness);
    if (worth.share && result.gives)
        line("95 % of devices",
             flex::bench_figure(result.stiffness / (1.0 + *worth.share)) + " to " +
                 flex::bench_figure(result.stiffness * (1.0 + *worth.share)),
             "", unit.stiffness);
    both(
        "Gives", [](const Result& r) { return rounded(r.curve.back().deflection, 2); }, unit.deflection);
    const bool far = result.deflections == flex::Deflections::large;
    words(std::string(far ? "Large" : "Small") + " deflections: " + result.why_deflections + ".", 0, 3, true);
    if (result.large && !far) words(std::string(flex::large_caution) + ".", 0, 3, false);
    for (const flex::BenchSnap& snap : result.snaps)
        words("It snaps through at " + flex::bench_figure(snap.load) + " " + unit.load + ".", 0, 2, false);
    if (result.rests)
        words("At " + flex::bench_figure(result.further.empty() ? result.load : result.further.back().load) +
                  " " + unit.load + " the arch rests on the ground.",
              0, 2, true);
    bench_curve(flexed);
    if (result.preload > 0) {
        both(
            "Ground at the heel", [](const Result& r) { return flex::bench_figure(r.heel_n); }, "N");
        both(
            "at the midfoot", [](const Result& r) { return flex::bench_figure(r.midfoot_n); }, "N");
        both(
            "distally", [](const Result& r) { return flex::bench_figure(r.distal_n); }, "N");
        if (result.midfoot_down || result.slides)
            words(std::string(result.midfoot_down ? "The midfoot is down" : "") +
                      (result.midfoot_down && result.slides ? ", and it slides"
                       : result.slides                      ? "It slides"
                                                            : "") +
                      ".",
                  0, 1, true);
    }
    const auto stress = [&](const char* name, const flex::BenchStress& most,
                            const flex::BenchStress* beside) {
        const Screen::Hit h = row(std::string("most ") + name, 20, false);
        const auto said = [](const flex::BenchStress& s) {
            return flex::bench_figure(s.mpa) + " MPa, " + rounded(100 * s.utilisation, 0) + " %";
        };
        look.text(name, {area.x, y + 10}, 0.46 * area.w, Face::small, t.accent);
        const double column = flexed.other ? 0.3 * area.w : 0;
        look.text(said(most), {area.right() - column, y + 10}, 0.32 * area.w + 20, Face::small_strong, ink,
                  Align::right);
        if (beside != nullptr)
            look.text(rounded(100 * beside->utilisation, 0) + " %", {area.right(), y + 10}, column - 6,
                      Face::small, ink, Align::right);
        if (h.clicked) go_to(most.at);
        y += 21;
    };
    stress("Most stress, foot side", result.foot_side, other != nullptr ? &other->foot_side : nullptr);
    stress("underside", result.underside, other != nullptr ? &other->underside : nullptr);
    if (const build::Device* device = flexed.now->device.get(); device->shelled)
        words("% of " + exact(device->shelled->material.strength_mpa.value) +
                  " MPa: " + device->shelled->material.strength_mpa.source +
                  ". Below 100 % does not say that it lasts, above it not that it breaks.",
              0, 5, true);
    if (flexed.other_fault) words("What it is compared with: " + flexed.other_fault->message, 0, 4, true);
    if (result.variations.empty()) return;
    head("What moves its stiffness");
    for (const flex::BenchVariation& one : result.variations) {
        std::string name = one.what;
        name[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(name[0])));
        look.name((one.support ? "" : "Load ") + (one.support ? name : one.what), {area.x, y + 10},
                  0.74 * area.w, Face::small, t.soft);
        look.text(one.change ? changed_share(*one.change) : "none", {area.right(), y + 10}, 0.24 * area.w,
                  Face::small_strong, ink, Align::right);
        y += 21;
    }
    y += 4;
}

void Panel::bench_curve(const model::Flexed& flexed) {
    const flex::BenchResult& result = *flexed.result;
    const flex::LoadUnits unit = flex::units(result.load_case);
    const flex::BenchResult* found = nullptr;  // with the walls that were found, under the same load
    if (const auto answered = screen.session_.answered(); answered && answered->side == flexed.side)
        for (const flex::BenchResult& one : answered->answer.results)
            if (one.load_case == result.load_case && answered->question.support == flexed.with.support)
                found = &one;
    const flex::BenchResult* other = flexed.other_result ? &*flexed.other_result : nullptr;
    double most_load = 0.0, most = 0.0;
    for (const flex::BenchResult* one : {&result, other, found})
        if (one != nullptr) {
            most_load = std::max(most_load, one->load);
            most = std::max(most, one->curve.back().deflection);
        }
    if (!(most > 0) || !(most_load > 0)) return;
    const double step_x = curve_step(most), step_y = curve_step(most_load);
    const double end_x = step_x * std::ceil(most / step_x - 1e-9),
                 end_y = step_y * std::ceil(most_load / step_y - 1e-9);
    look.text("Load, " + std::string(unit.load), {area.x, y + 8}, 0.5 * area.w, Face::small, t.soft);
    y += 18;
    const Box box{area.x + 34, y + 2, area.w - 42, 112};
    look.fill(box, look.field());
    const auto at_x = [&](double deflection) { return box.x + box.w * deflection / end_x; };
    const auto at_y = [&](double load) { return box.bottom() - box.h * load / end_y; };
    for (double x = step_x; x < end_x - 0.5 * step_x; x += step_x)
        look.rule_down(at_x(x), box.y, box.bottom(), t.grid_50);
    for (double load = step_y; load < end_y - 0.5 * step_y; load += step_y)
        look.rule_across(box.x, box.right(), at_y(load), t.grid_50);
    look.frame(box, t.frame);
    for (double load = 0.0; load <= end_y + 0.5 * step_y; load += step_y)
        look.text(curve_figure(load, step_y),
                  {box.x - 6, std::clamp(at_y(load), box.y + 5, box.bottom() - 5)}, 30, Face::small, t.faint,
                  Align::right);
    y = box.bottom() + 3;
    for (double x = 0.0; x <= end_x + 0.5 * step_x; x += step_x) {
        const bool first = x == 0.0, last = x > end_x - 0.5 * step_x;
        look.text(curve_figure(x, step_x), {last ? box.right() : at_x(x), y + 7}, 40, Face::small, t.faint,
                  first  ? Align::left
                  : last ? Align::right
                         : Align::centre);
    }
    y += 17;
    look.text(result.preload > 0 ? std::string(unit.deflection) + " from where it has settled"
                                 : "Deflection, " + std::string(unit.deflection),
              {box.right(), y + 7}, area.w - 4, Face::small, t.soft, Align::right);
    y += 18;
    const auto draw = [&](const flex::BenchResult& of, const Colour& colour, bool dashed) {
        std::vector<Vec2> line;
        for (const flex::BenchPoint& p : of.curve) line.emplace_back(at_x(p.deflection), at_y(p.load));
        if (dashed)
            look.dashed(line, false, colour, 1.4, {5, 3});
        else
            look.polyline(line, false, colour, 1.8);
        for (const Vec2& p : line) look.disc(p, dashed ? 1.8 : 2.6, colour);
    };
    if (other != nullptr) draw(*other, t.soft, true);
    if (found != nullptr) draw(*found, t.text, true);
    draw(result, t.accent, false);
    if (other == nullptr && found == nullptr) return;
    const auto key_line = [&](const std::string& name, const Colour& colour, bool dashed) {
        const std::vector<Vec2> line{{area.x, y + 8}, {area.x + 24, y + 8}};
        if (dashed)
            look.dashed(line, false, colour, 1.4, {5, 3});
        else
            look.polyline(line, false, colour, 1.8);
        look.name(name, {area.x + 32, y + 8}, area.w - 32, Face::small, t.soft);
        y += 17;
    };
    key_line("this", t.accent, false);
    if (other != nullptr) key_line(compared_words(screen), t.soft, true);
    if (found != nullptr) key_line("with the walls found", t.text, true);
    y += 4;
}

}  // namespace archwright::editor::ui
