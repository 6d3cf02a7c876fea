// The inspector: what the chosen stage lets a person set, and its checks.
#include <algorithm>
#include <cmath>

#include "editor/ui/said.hpp"
#include "editor/ui/screen.hpp"
#include "engine/base/text.hpp"
#include "engine/design/parameters.hpp"

namespace archwright::editor::ui {

namespace {

std::string kind_words(feature::Feature::Kind kind) {
    using Kind = feature::Feature::Kind;
    switch (kind) {
        case Kind::groove:
            return "Groove";
        case Kind::cavity:
            return "Relief";
        case Kind::pad:
            return "Pad";
        case Kind::metatarsal_dome:
            return "Metatarsal dome";
        case Kind::metatarsal_bar:
            return "Metatarsal bar";
        case Kind::aperture:
            return "Aperture";
    }
    return {};
}

/// Keys of a relief or pad that decide anything for its kind.
std::vector<std::string> feature_keys(const feature::Feature& f) {
    using Kind = feature::Feature::Kind;
    std::vector<std::string> keys;
    if (f.relief()) keys.push_back("depth_mm");
    if (f.raised()) keys.push_back("height_mm");
    keys.push_back("width_mm");
    if (f.kind != Kind::groove) keys.push_back("length_mm");
    if (f.kind != Kind::groove && f.kind != Kind::metatarsal_bar) keys.push_back("turn_deg");
    if (f.kind != Kind::aperture) keys.push_back("flank_mm");
    if (f.kind == Kind::groove) keys.insert(keys.end(), {"fade_start_mm", "fade_end_mm"});
    if (f.kind == Kind::metatarsal_dome || f.kind == Kind::metatarsal_bar) keys.push_back("behind_mm");
    keys.insert(keys.end(), {"forward_mm", "medial_mm"});
    if (f.kind != Kind::aperture) keys.push_back("underside");
    if (f.relief()) keys.push_back("least_wall_mm");
    keys.push_back("anchor");
    return keys;
}

std::string free_name(const design::FootDesign& foot, const std::string& start) {
    for (int n = 1;; ++n) {
        const std::string name = start + "-" + std::to_string(n);
        if (std::none_of(foot.features.begin(), foot.features.end(),
                         [&](const feature::Feature& f) { return f.name == name; }))
            return name;
    }
}

}  // namespace

void Screen::checks(const Box& area, double& y, const std::vector<Check>& all) {
    const picture::Theme& t = look_.theme();
    std::vector<const Check*> sorted;
    for (const Check& check : all) sorted.push_back(&check);
    std::stable_sort(sorted.begin(), sorted.end(),
                     [](const Check* a, const Check* b) { return a->verdict > b->verdict; });
    for (const Check* check : sorted) {
        const Box box{area.x - 6, y, area.w + 12, 26};
        const Hit h = hit("check " + check->id, box);
        const bool chosen = session_.selection().what == "check" && session_.selection().name == check->id;
        const bool bad = check->verdict != Verdict::pass;
        if (bad)
            look_.fill(box, check->verdict == Verdict::stop ? t.stop_fill : t.look_fill, 3);
        else if (h.hovered || chosen)
            look_.fill(box, t.head, 3);
        look_.sign({box.x + 15, y + 13}, sign_of(check->verdict), 0.9);
        const Colour colour = bad ? look_.sign_colour(sign_of(check->verdict)) : t.text;
        std::string value;
        if (check->figure)
            value = figure(*check->figure,
                           *check->figure == std::round(*check->figure) ? 0
                           : std::abs(*check->figure) < 1               ? 2
                                                                        : 1,
                           check->unit);
        const double vw = value.empty() ? 0 : look_.measure(value, Face::body) + 8;
        look_.name(check->title, {box.x + 30, y + 13}, box.w - 36 - vw, bad ? Face::strong : Face::body,
                   colour);
        if (vw > 0)
            look_.text(value, {box.right() - 6, y + 13}, vw, Face::body, bad ? colour : t.soft, Align::right);
        y += 28;
        if (chosen)
            y += look_.paragraph(check->message, {area.x + 24, y}, area.w - 24, 12, Face::small, t.soft) + 6;
        if (h.clicked) {
            say(chosen ? "select none" : "select check " + check->id);
            if (check->where) {
                state_.section_x = std::round(check->where->x());
                state_.section_y = std::round(check->where->y());
            }
        }
    }
}

void Screen::feature_list(const Box& area, double& y) {
    const picture::Theme& t = look_.theme();
    const design::FootDesign& f = *foot();
    small_head(area, y, "In this order, from the cast outwards");
    const double row = 34;
    const Box whole{area.x - 6, y, area.w + 12,
                    row * static_cast<double>(std::max<std::size_t>(f.features.size(), 1))};
    if (f.features.empty()) look_.text("None yet", {area.x, y + 0.5 * row}, area.w, Face::body, t.faint);
    const feature::Feature* selected = nullptr;
    for (std::size_t i = 0; i < f.features.size(); ++i) {
        const feature::Feature& one = f.features[i];
        const Box box{whole.x, y, whole.w, row};
        const bool chosen = session_.selection().what == "feature" && session_.selection().name == one.name;
        if (chosen) selected = &one;
        const Hit h = hit("feature " + one.name, box);
        if (chosen) {
            look_.fill(box, look_.accent_fill(), 4);
            look_.fill({box.x, y + 3, 3, row - 6}, t.accent, 1.5);
        } else if (h.hovered) {
            look_.fill(box, t.head, 4);
        }
        const double m = y + 0.5 * row;
        for (int r = -1; r <= 1; ++r)
            for (int c = 0; c < 2; ++c) look_.disc({box.x + 12 + 5 * c, m + 5 * r}, 1.1, t.faint);
        look_.text(std::to_string(i + 1), {box.x + 31, m}, 16, Face::small, t.soft, Align::centre);
        const Colour colour = one.on ? t.text : t.faint;
        if (one.kind == feature::Feature::Kind::aperture) {
            look_.ring({box.x + 50, m}, 6, colour, 1.2);
            look_.ring({box.x + 50, m}, 3.4, colour, 1.2);
        } else {
            look_.relief_sign({box.x + 50, m}, one.relief(), colour);
        }
        std::string sizes = "off";
        if (one.on) {
            sizes = figure(one.kind == feature::Feature::Kind::groove ? one.width_mm : one.length_mm, 0);
            if (one.kind != feature::Feature::Kind::groove) sizes += " \u00d7 " + figure(one.width_mm, 0);
            if (one.relief()) sizes += " \u00d7 " + figure(one.depth_mm, 1);
            if (one.raised()) sizes += " \u00d7 " + figure(one.height_mm, 1);
        }
        const double sw = look_.measure(sizes, Face::small) + 8;
        look_.name(one.name, {box.x + 66, m}, box.w - 66 - sw - 12, chosen ? Face::strong : Face::body,
                   colour);
        look_.text(sizes, {box.right() - 10, m}, sw, Face::small, one.on ? t.soft : t.faint, Align::right);
        if (h.clicked) say(chosen ? "select none" : "select feature " + one.name);
        y += row;
        if (i + 1 < f.features.size()) look_.rule_across(box.x + 6, box.right() - 6, y, t.rule);
    }
    if (!f.features.empty()) look_.frame({whole.x, whole.y, whole.w, whole.h + 1}, t.rule, 4);
    y += 8;
    // what may be added
    look_.text("+", {area.x, y + 12}, 14, Face::strong, t.accent);
    double x = area.x + 18;
    const std::pair<const char*, const char*> kinds[] = {
        {"groove", "Groove"},        {"cavity", "relief"},      {"pad", "pad"},
        {"metatarsal_dome", "dome"}, {"metatarsal_bar", "bar"}, {"aperture", "aperture"}};
    for (const auto& [key, words] : kinds) {
        const double w = look_.measure(words, Face::body);
        if (link((std::string("add ") + key).c_str(), words, {x, y + 12})) {
            const std::string name = free_name(f, key == std::string("metatarsal_dome")  ? "dome"
                                                  : key == std::string("metatarsal_bar") ? "bar"
                                                                                         : key);
            const bool placed = key == std::string("metatarsal_dome") || key == std::string("metatarsal_bar");
            std::string points;
            if (!placed) {
                // where the sections cross
                const std::string cx = rounded(state_.section_x, 0), cy = rounded(state_.section_y, 0);
                points = key == std::string("groove")
                             ? " points=[[" + cx + "," + cy + "],[" + rounded(state_.section_x + 40, 0) +
                                   "," + cy + "]]"
                             : " points=[[" + cx + "," + cy + "]]";
            }
            say("feature add " + name + " " + key + points);
            say("select feature " + name);
        }
        x += w + 10;
    }
    y += 30;
    look_.rule_across(area.x - 6, area.right() + 6, y, t.rule);
    y += 10;
    if (selected == nullptr) {
        look_.text("Choose one to see its figures.", {area.x, y + 12}, area.w, Face::body, t.faint);
        y += 30;
        return;
    }
    look_.name(selected->name, {area.x, y + 12}, area.w - 150, Face::strong, t.text);
    const double ow = look_.measure(selected->on ? "Switch off" : "Switch on", Face::body);
    if (link("remove", "Remove", {area.right(), y + 12}, Align::right))
        say("feature remove " + selected->name);
    const double rw = look_.measure("Remove", Face::body);
    if (link("switch", selected->on ? "Switch off" : "Switch on", {area.right() - rw - 16 - ow, y + 12}))
        say(std::string("feature ") + (selected->on ? "off " : "on ") + selected->name);
    y += 24;
    look_.text(kind_words(selected->kind), {area.x, y + 8}, area.w, Face::small, t.soft);
    y += 20;
    for (const std::string& key : feature_keys(*selected))
        parameter_row(area, y, "features[]." + key, "features[" + selected->name + "]." + key);
}

void Screen::landmark_list(const Box& area, double& y) {
    const picture::Theme& t = look_.theme();
    small_head(area, y, "Landmarks");
    const std::string by = session_.settings().person;
    bool open = false;
    for (const auto& [id, landmark] : foot()->landmarks) {
        const bool suggested = landmark.source == foot::Landmark::Source::suggested;
        open = open || suggested;
        const Box box{area.x - 6, y, area.w + 12, 28};
        const Hit h = hit(std::string("landmark ") + foot::key(id), box);
        const bool chosen =
            session_.selection().what == "landmark" && session_.selection().name == foot::key(id);
        if (chosen || h.hovered) look_.fill(box, chosen ? look_.accent_fill() : t.head, 3);
        look_.sign({box.x + 15, y + 14}, suggested ? Sign::look : Sign::pass, 0.9);
        const std::string aside = "\u00b1 " + figure(landmark.sd_mm, 1, "mm");
        const double aw = look_.measure(aside, Face::small) + 8;
        const double room = box.w - 40 - aw;
        const bool fits = look_.measure(foot::title(id), Face::body) <= room;
        look_.text(foot::title(id), {box.x + 30, y + 14}, room, fits ? Face::body : Face::small, t.text);
        look_.text(aside, {box.right() - 8, y + 14}, aw, Face::small, t.soft, Align::right);
        if (h.clicked)
            say(chosen ? std::string("select none") : std::string("select landmark ") + foot::key(id));
        y += 30;
    }
    y += 4;
    if (open) {
        if (by.empty()) {
            y += look_.paragraph(
                     "Confirming goes on record with a code. Give yours once: \"setting person CODE\" in the "
                     "command list.",
                     {area.x, y}, area.w, 3, Face::small, t.soft) +
                 8;
        } else if (button("confirm all", "Confirm all", {area.x, y, 120, 28}, false)) {
            say("landmark confirm all by=" + by);
        }
        y += 36;
    }
}

void Screen::receive_panel(const Box& area, double& y) {
    const picture::Theme& t = look_.theme();
    const design::FootDesign& f = *foot();
    const std::string by = session_.settings().person;
    look_.text("Cast", {area.x, y + 12}, 60, Face::strong, t.text);
    look_.name(f.cast.path, {area.right(), y + 12}, area.w - 70, Face::small, t.soft, Align::right);
    y += 30;
    const auto stated = [&](const char* name, const std::string& value, const design::Statement& s,
                            const std::vector<std::string>& words, const std::string& command) {
        const bool person = s.by == design::StatedBy::person;
        look_.sign({area.x + 8, y + 14},
                   person                               ? Sign::pass
                   : s.by == design::StatedBy::proposed ? Sign::look
                                                        : Sign::stop,
                   0.9);
        look_.text(name, {area.x + 24, y + 14}, 50, Face::body, t.text);
        const double w = area.w - 90;
        const auto at = std::find(words.begin(), words.end(), value);
        const int next =
            segments(name, {area.x + 90, y + 1, w, 26}, words,
                     s.by == design::StatedBy::nobody ? -1 : static_cast<int>(at - words.begin()));
        if (next >= 0) {
            if (by.empty()) {
                state_.told =
                    "What a cast is goes on record with a code. Give yours once: Ctrl K, then \"setting "
                    "person CODE\".";
                state_.told_fault = true;
            } else {
                say("state " + command + "=" + words[static_cast<std::size_t>(next)] + " by=" + by);
            }
        }
        y += 32;
        const std::string who = person ? "stated by " + s.code
                                : s.by == design::StatedBy::proposed
                                    ? "proposed, " + rounded(100 * s.confidence, 0) + " %"
                                    : "not known";
        y += look_.paragraph(who + (s.evidence.empty() ? "" : ": " + s.evidence), {area.x + 24, y},
                             area.w - 24, 5, Face::small, t.soft) +
             8;
    };
    const char* units[] = {"mm", "cm", "in", "m"};
    std::string unit;
    if (const auto text =
            design::get(session_.job(), std::string(word(session_.foot())) + ".cast.unit.value"))
        unit = *text;
    if (unit.empty())
        if (const auto text = design::get(f, "cast.unit.value")) unit = *text;
    stated("Side", word(session_.foot()), f.side, {"left", "right"}, "side");
    stated("Unit", unit, f.cast.unit, {units[0], units[1], units[2], units[3]}, "unit");
    look_.rule_across(area.x - 6, area.right() + 6, y, t.rule);
    y += 10;
    parameter_rows(area, y, {"order", "capture", "calipers"});
}

void Screen::make_panel(const Box& area, double& y) {
    const picture::Theme& t = look_.theme();
    const model::FootView view = foot_view();
    const bool ready = view.proved();
    const std::vector<Check> open = ready ? view.latest->device->open_stops() : std::vector<Check>{};
    if (!ready)
        y += look_.paragraph(session_.activity().busy ? "The device is being built and proved."
                                                      : "There is no proved device of this design.",
                             {area.x, y}, area.w, 3, Face::body, t.soft) +
             8;
    for (const Check& stop : open)
        y +=
            look_.paragraph(stop.title + ": " + stop.message, {area.x, y}, area.w, 6, Face::body, t.stop) + 6;
    const std::string folder = session_.job_path().parent_path().empty()
                                   ? "made"
                                   : (session_.job_path().parent_path() / "made").string();
    if (button("export files", "Export", {area.x, y, 110, 30}, ready && open.empty(),
               ready && open.empty())) {
        say("export " + in_quotes(folder));
    }
    look_.name("STL, 3MF, STEP and report", {area.x + 122, y + 10}, area.w - 122, Face::small, t.soft);
    look_.name("into " + folder, {area.x + 122, y + 24}, area.w - 122, Face::small, t.faint);
    y += 44;
    if (const auto& last = session_.last_export()) {
        if (last->fault) {
            y += look_.paragraph(last->fault->message, {area.x, y}, area.w, 6, Face::small, t.stop) + 6;
        } else {
            small_head(area, y, "Written");
            for (const auto& file : last->files) {
                look_.name(file.filename().string(), {area.x, y + 9}, area.w, Face::small, t.text);
                y += 18;
            }
            y += 8;
        }
    }
    look_.rule_across(area.x - 6, area.right() + 6, y, t.rule);
    y += 10;
    small_head(area, y, "Letters on the underside");
    parameter_rows(area, y, {"lettering"});
}

void Screen::inspector(const Box& region) {
    const picture::Theme& t = look_.theme();
    look_.fill(region, t.panel);
    look_.rule_down(region.x, region.y, region.bottom(), t.rule);
    const double margin = 18;
    const Box area{region.x + margin, region.y, region.w - 2 * margin, region.h};
    const bool have = session_.has_job() && foot() != nullptr;
    const std::string stage = have ? session_.stage() : "receive";
    const double title_y = region.y + 28;
    const model::FootView view = foot_view();
    std::vector<Check> all, here;
    if (view.latest)
        all = view.latest->device     ? view.latest->device->checks
              : view.latest->received ? view.latest->received->checks
                                      : view.latest->first_checks;
    Verdict worst = Verdict::pass;
    for (const Check& check : all)
        if (stage_of(check.id) == stage || stage == "prove") {
            here.push_back(check);
            worst = std::max(worst, check.verdict);
        }
    look_.text(stage_title(stage), {area.x, title_y}, area.w - 90, Face::title, t.text);
    if (have && !here.empty()) {
        look_.sign({area.right() - 8, title_y}, sign_of(worst));
        look_.text(word(worst), {area.right() - 24, title_y}, 50, Face::body,
                   look_.sign_colour(sign_of(worst)), Align::right);
    }
    const double top = title_y + 24;
    ImGui::SetCursorScreenPos({look_.px(region.x + 1), look_.px(top)});
    ImGui::BeginChild("inspector", {look_.px(region.w - 1), look_.px(region.bottom() - top)}, false,
                      ImGuiWindowFlags_NoNav);
    ImDrawList* outer = look_.list;
    look_.list = ImGui::GetWindowDrawList();
    double y = static_cast<double>(ImGui::GetCursorScreenPos().y) / look_.scale;
    const double begin = y;
    if (!have) {
        const auto& recent = session_.settings().recent;
        look_.text(recent.empty() ? "No cast yet." : "No cast yet. Recent cases:", {area.x, y + 10}, area.w,
                   Face::body, t.soft);
        y += 30;
        for (const std::string& path : recent) {
            const std::filesystem::path file(path);
            const Box box{area.x - 6, y, area.w + 12, 34};
            const Hit h = hit("recent " + path, box);
            if (h.hovered) look_.fill(box, t.head, 4);
            const std::string folder = file.parent_path().filename().string();
            const double fw = std::min(look_.measure(folder, Face::small) + 8, 120.0);
            look_.name(file.stem().string(), {area.x + 4, y + 17}, area.w - fw - 8, Face::strong, t.text);
            look_.name(folder, {area.right(), y + 17}, fw, Face::small, t.soft, Align::right);
            if (h.clicked) {
                say("open " + in_quotes(path));
            }
            y += 34;
            look_.rule_across(area.x, area.right(), y, t.rule);
        }
    } else {
        // what stopped the work, on top of everything
        if (view.latest && view.latest->fault) {
            const Box card{area.x - 6, y, area.w + 12, 0};
            ImDrawList* list = look_.list;
            list->ChannelsSplit(2);
            list->ChannelsSetCurrent(1);
            double inner = y + 10;
            look_.sign({card.x + 16, inner + 9}, Sign::stop);
            look_.text("The work stops here", {card.x + 32, inner + 9}, card.w - 40, Face::strong, t.stop);
            inner += 24;
            inner += look_.paragraph(view.latest->fault->message, {card.x + 12, inner}, card.w - 24, 10,
                                     Face::body, t.text) +
                     8;
            list->ChannelsSetCurrent(0);
            look_.fill({card.x, y, card.w, inner - y}, t.stop_fill, 4);
            list->ChannelsMerge();
            y = inner + 12;
        }
        const auto rows = [&](const std::vector<std::string>& prefixes) {
            parameter_rows(area, y, prefixes);
        };
        if (stage == "receive") receive_panel(area, y);
        if (stage == "examine") landmark_list(area, y);
        if (stage == "balance") rows({"balance"});
        if (stage == "dress") rows({"dress"});
        if (stage == "trim") rows({"trim"});
        if (stage == "reliefs") feature_list(area, y);
        if (stage == "wall") rows({"material", "wall"});
        if (stage == "wall")
            for (const design::WallRegion& region_of_wall : foot()->wall.regions) {
                y += 8;
                small_head(area, y, "Region " + region_of_wall.name);
                for (const char* key : {"wall_mm", "blend_mm", "priority"})
                    parameter_row(area, y, std::string("wall.regions[].") + key,
                                  "wall.regions[" + region_of_wall.name + "]." + key);
            }
        if (stage == "post") rows({"posts"});
        if (stage == "prove") small_head(area, y, "Rim"), rows({"rim"});
        if (stage == "make") make_panel(area, y);
        if (!here.empty()) {
            y += 8;
            look_.rule_across(area.x - 6, area.right() + 6, y, t.rule);
            y += 8;
            std::size_t counts[3] = {0, 0, 0};
            for (const Check& check : here) ++counts[static_cast<std::size_t>(check.verdict)];
            std::string aside;
            if (counts[2] > 0) aside += std::to_string(counts[2]) + " stop, ";
            if (counts[1] > 0) aside += std::to_string(counts[1]) + " look, ";
            aside += std::to_string(counts[0]) + " pass";
            small_head(area, y, stage == "prove" ? "All checks" : "Checks of this stage", aside);
            checks(area, y, here);
        }
    }
    ImGui::SetCursorScreenPos({look_.px(region.x + 2), look_.px(begin)});
    ImGui::Dummy({1, look_.px(y - begin + 16)});
    look_.list = outer;
    ImGui::EndChild();
}

}  // namespace archwright::editor::ui
