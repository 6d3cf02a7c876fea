// The ten stages with what they say of themselves, and the steps of the history.
#include <algorithm>
#include <cmath>

#include "editor/model/session_commands.hpp"
#include "editor/ui/panel.hpp"
#include "engine/base/text.hpp"

namespace archwright::editor::ui {

namespace {

struct Station {
    Sign sign = Sign::waiting;
    std::string key_figure, reason;
    std::optional<Check> worst;
};

std::string key_figure(const std::string& stage, const design::FootDesign& foot,
                       const model::FootView& view) {
    const build::Device* device = view.latest && view.latest->device ? view.latest->device.get() : nullptr;
    if (stage == "balance")
        return foot.balance.method == foot::Balance::Method::as_it_stands ? "as it stands"
                                                                          : leaning(foot.balance.heel_deg);
    if (stage == "dress") return figure(foot.dress.arch_fill_mm, 1, "mm");
    if (stage == "trim") return figure(foot.trim.distal_first_mm, 1, "mm");
    if (stage == "reliefs") {
        std::size_t on = 0;
        for (const auto& feature : foot.features) on += feature.on ? 1 : 0;
        return std::to_string(on);
    }
    if (stage == "wall") {
        // where there are stations they rule, not the base
        if (foot.wall.stations.empty()) return figure(foot.wall.base_mm, 1, "mm");
        double low = foot.wall.stations.front().wall_mm, high = low;
        for (const design::WallStation& s : foot.wall.stations)
            low = std::min(low, s.wall_mm), high = std::max(high, s.wall_mm);
        return high - low < 0.05 ? figure(low, 1, "mm") : figure(low, 1) + " to " + figure(high, 1, "mm");
    }
    if (stage == "post")
        return foot.posts.rearfoot.on ? figure(foot.posts.rearfoot.height_mm, 1, "mm") : "none";
    if (stage == "prove" && device != nullptr && device->proved)
        return figure(device->proved->walls.least_wall_mm, 1, "mm");
    if (stage == "make" && device != nullptr && device->proved) return figure(device->mass_g(), 0, "g");
    return {};
}

}  // namespace

bool Screen::built(const std::string& stage) const {
    const model::FootView view = foot_view();
    if (!view.latest) return false;
    if (view.latest->device) return true;
    return stage == "receive" ? view.latest->received != nullptr
                              : stage == "examine" && view.latest->examined != nullptr;
}

void Screen::stages(const Box& region) {
    const picture::Theme& t = look_.theme();
    look_.fill(region, t.panel);
    look_.rule_down(region.right() - 1, region.y, region.bottom(), t.rule);
    const auto& names = model::stages();
    const model::FootView view = foot_view();
    const std::vector<Check> checks = all_checks();
    const bool have = session_.has_job() && foot() != nullptr;
    std::vector<Station> stations(names.size());
    bool blocked = false;
    for (std::size_t i = 0; i < names.size(); ++i) {
        Station& s = stations[i];
        if (!have) continue;
        for (const Check& check : checks) {
            if (stage_of(check.id) != names[i]) continue;
            if (!s.worst || check.verdict > s.worst->verdict) s.worst = check;
        }
        const bool stops_here = view.latest && view.latest->fault && !view.latest->fault->stage.empty() &&
                                (stage_of(view.latest->fault->stage) == names[i]);
        if (s.worst) {
            s.sign = sign_of_check(*s.worst);
            if (s.worst->verdict != Verdict::pass) {
                s.reason = s.worst->title;
                if (s.worst->figure) {
                    const std::string longer =
                        s.reason + " " +
                        (s.worst->id == "balance.capture" ? leaning(*s.worst->figure)
                                                          : figure(*s.worst->figure, 1, s.worst->unit));
                    if (look_.measure(longer, Face::small) <= region.w - (look_.narrow ? 52 : 60))
                        s.reason = longer;
                }
            }
        } else if (view.proved()) {
            s.sign = Sign::pass;
        }
        if (stops_here) {
            s.sign = Sign::stop;
            s.reason = "Stopped here";
        }
        s.key_figure = key_figure(names[i], *foot(), view);
        if (blocked) s = Station{};
        if (s.sign == Sign::stop) blocked = true;
        // no word on what is not built yet
        const bool told = stops_here || (s.worst && s.worst->verdict != Verdict::pass);
        if (!settled(names[i]) || (!built(names[i]) && !told))
            s.sign = session_.activity().busy ? Sign::working : Sign::waiting;
    }

    const double row = look_.narrow ? 32 : 36, reason_height = look_.narrow ? 18 : 19;
    const double glyph_x = region.x + (look_.narrow ? 22 : 26), name_x = region.x + (look_.narrow ? 40 : 48);
    double y = region.y + 10;
    std::vector<double> middles;
    for (const Station& s : stations) {
        middles.push_back(y + 0.5 * row);
        y += row + (s.reason.empty() ? 0 : reason_height);
    }
    for (std::size_t i = 0; i + 1 < stations.size(); ++i)
        look_.rule_down(glyph_x - 0.5, middles[i] + 11, middles[i + 1] - 11,
                        stations[i + 1].sign == Sign::waiting ? t.rule : t.frame);
    y = region.y + 10;
    for (std::size_t i = 0; i < stations.size(); ++i) {
        const Station& s = stations[i];
        const double height = row + (s.reason.empty() ? 0 : reason_height);
        const Box box{region.x + 6, y, region.w - 13, height};
        const bool active = have ? names[i] == session_.stage() : i == 0;
        const Hit h = hit("stage" + names[i], box);
        if (active) {
            look_.fill(box, look_.accent_fill(), 4);
            look_.fill({box.x, y + 4, 3, height - 8}, t.accent, 1.5);
        } else if (h.hovered) {
            look_.fill(box, t.head, 4);
        }
        look_.sign({glyph_x, middles[i]}, s.sign);
        const std::string shown = look_.narrow && !s.reason.empty() ? "" : s.key_figure;
        const double figure_width = shown.empty() ? 0 : look_.measure(shown, Face::small) + 8;
        look_.text(stage_title(names[i]), {name_x, middles[i]}, region.right() - 16 - name_x - figure_width,
                   active ? Face::strong : Face::body, s.sign == Sign::waiting && !active ? t.faint : t.text);
        if (!shown.empty())
            look_.text(shown, {region.right() - 16, middles[i]}, figure_width, Face::small,
                       !settled(names[i]) ? t.faint : t.soft, Align::right);
        if (!s.reason.empty())
            look_.name(s.reason, {name_x, middles[i] + 0.5 * row + 3}, region.right() - 12 - name_x,
                       Face::small, !settled(names[i]) ? t.faint : look_.sign_colour(s.sign));
        if (h.clicked && have) {
            say("stage " + names[i]);
            if (s.worst && s.worst->verdict != Verdict::pass) Panel::go_to(*this, *s.worst);
        }
        y += height;
    }
    y += 8;
    look_.rule_across(region.x + 16, region.right() - 16, y, t.rule);
    steps(region, y + 6);
}

void Screen::steps(const Box& region, double y) {
    state_.step_hovered.reset();
    const picture::Theme& t = look_.theme();
    const double head = 24, row = look_.narrow ? 24 : 25;
    if (y + head > region.bottom()) return;
    look_.text("Steps", {region.x + 16, y + 0.5 * head}, 80, Face::small_strong, t.soft);
    const design::History* history = session_.history();
    if (history == nullptr || history->labels().empty()) {
        look_.text("Nothing done yet", {region.x + 16, y + head + 12}, region.w - 32, Face::body, t.faint);
        return;
    }
    look_.key_cap(region.right() - 16, y + 0.5 * head, "Ctrl Z");
    y += head + 2;
    const std::vector<std::string> labels = history->labels();
    const std::size_t position = history->position();
    // newest on top; as many as fit, the present one among them
    const auto fits = static_cast<std::size_t>(std::max(0.0, (region.bottom() - 6 - y) / row));
    std::size_t top = labels.size();
    if (fits > 0 && top > position + fits - 1)
        top = std::max(position, std::min(labels.size(), position + fits / 2));
    for (std::size_t k = 0; k < fits && k < top; ++k) {
        const std::size_t step = top - k;  // from 1
        const Box box{region.x + 10, y, region.w - 20, row};
        const Hit h = hit("step" + std::to_string(step), box);
        const bool now = step == position;
        if (now || h.hovered) look_.fill(box, t.head, 3);
        const double middle = y + 0.5 * row;
        if (now) {
            const auto s = static_cast<float>(look_.scale);
            const auto px = [&](double v) { return static_cast<float>(v) * s; };
            look_.list->AddTriangleFilled({px(region.x + 14), px(middle - 4)},
                                          {px(region.x + 20), px(middle)},
                                          {px(region.x + 14), px(middle + 4)}, look_.ink(t.accent));
        }
        if (h.hovered && !now) state_.step_hovered = step;
        const auto [what, value] = step_words(labels[step - 1]);
        const Colour colour = step > position ? t.faint : now ? t.text : t.soft;
        const double value_width = value.empty() ? 0 : std::min(look_.measure(value, Face::small) + 8, 96.0);
        look_.name(what, {region.x + 26, middle}, region.w - 42 - value_width,
                   now ? Face::small_strong : Face::small, colour);
        if (!value.empty())
            look_.name(value, {region.right() - 16, middle}, value_width, Face::small, colour, Align::right);
        if (h.clicked && step > position) say("redo " + std::to_string(step - position));
        if (h.clicked && step < position) say("undo " + std::to_string(position - step));
        if (h.hovered && ImGui::IsMouseClicked(ImGuiMouseButton_Right))
            say("compare step " + std::to_string(step));
        y += row;
    }
}

}  // namespace archwright::editor::ui
