#include "engine/picture/sheet.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/picture/board.hpp"
#include "engine/picture/model_view.hpp"

namespace archwright::picture {

namespace {

constexpr double head_height = 30.0;

std::string tenth(double value) {
    std::string text = rounded(value, 1);
    if (text.front() == '-') text.replace(0, 1, "\u2212");
    return text;
}

/// A check's figure for reading: whole numbers bare, small ones with the hundredth that decides.
std::string figure_of(double value) {
    const bool whole = value == std::round(value);
    std::string text = rounded(value, whole ? 0 : std::abs(value) < 1.0 ? 2 : 1);
    if (text.front() == '-') text.replace(0, 1, "\u2212");
    return text;
}

/// Draws the named parts of a sheet, each with its head, in boxes.
class Sheet {
  public:
    Sheet(Canvas& canvas, const Theme& theme, const Subject& subject)
        : canvas_(canvas), theme_(theme), subject_(subject) {}

    void top_bar(const Box& bar) {
        draw_title_bar(canvas_, bar, theme_, subject_.side(), subject_.input().case_code,
                       subject_.input().title);
    }
    void status_line(const Box& line);
    void plan(Box box) { draw_plan(canvas_, headed(box, "", "Plan", seen("from above")), theme_, subject_); }
    void foot(Box box) {
        const char* how =
            subject_.has_shell() ? "from medial and below, cast as glass" : "from medial and below";
        draw_model(canvas_, headed(box, "", subject_.has_shell() ? "Shell on the foot" : "Cast", how), theme_,
                   subject_, ModelView::on_foot);
    }
    void shell(Box box) {
        draw_model(canvas_, headed(box, "", "Shell", "from medial, by wall"), theme_, subject_,
                   ModelView::alone);
    }
    void underside(Box box) {
        draw_model(canvas_, headed(box, "", "Underside", seen("from below")), theme_, subject_,
                   ModelView::below);
    }
    void map(Box box, MapKind kind) {
        struct Head {
            const char *name, *detail;
        };
        const Head head = [&]() -> Head {
            switch (kind) {
                case MapKind::wall:
                    return {"Wall", "foot side, a line every 0.2 mm"};
                case MapKind::height:
                    return {"Height", "of the sole, contours 2 and 10 mm"};
                case MapKind::deviation:
                    return {"Foot side to cast", "more: stands into the foot"};
                case MapKind::rigidity:
                case MapKind::bending:
                    return {"Bending rigidity", rigidity_caution};
                case MapKind::mass:
                    break;
            }
            return {"Mass", "by area of the foot side"};
        }();
        draw_map(canvas_, headed(box, "", head.name, head.detail), theme_, subject_, kind);
    }
    void sections(Box box);
    void checks(Box box);
    void separators(const std::vector<Box>& boxes);

  private:
    std::string seen(const char* how) const { return std::string(word(subject_.side())) + " foot, " + how; }
    Box headed(Box& box, std::string_view letter, std::string_view name, std::string_view detail) {
        const Box strip = box.cut_top(head_height);
        draw_head(canvas_, strip, theme_, letter, name, detail);
        canvas_.fill(Box{strip.x, strip.bottom() - 1.0, strip.w, 1.0}, theme_.rule);
        return box;
    }
    void section(Box box, const SectionCut& cut, double scale) {
        const std::string detail = cut.axis == 0 ? "x " + rounded(cut.at, 0) + ", from behind"
                                                 : "y " + rounded(cut.at, 0) + ", from medial";
        draw_section(canvas_, headed(box, cut.letter, cut.title, detail), theme_, subject_, cut, scale);
    }

    Canvas& canvas_;
    const Theme& theme_;
    const Subject& subject_;
};

void Sheet::status_line(const Box& line) {
    canvas_.fill(line, theme_.head);
    canvas_.fill(Box{line.x, line.y, line.w, 1.0}, theme_.rule);
    const Type soft{type::small, Weight::regular, theme_.soft, Align::left};
    const Type strong{type::small, Weight::semibold, theme_.text, Align::left};
    double x = line.x + 14.0;
    const auto item = [&](const std::string& what, const std::string& value) {
        const double need = canvas_.measure(what, soft) + canvas_.measure(value, strong) + 6.0;
        if (x + need > line.right() - 14.0) return;
        const Box a = canvas_.write_middle(what, {x, line.centre().y()}, 300.0, soft);
        const Box b = canvas_.write_middle(value, {a.right() + 6.0, line.centre().y()}, 300.0, strong);
        x = b.right() + 22.0;
    };
    const PictureInput& input = subject_.input();
    if (subject_.has_shell()) {
        const Vec3 size = subject_.shell_box().size();
        item("shell", tenth(size.x()) + " \u00D7 " + tenth(size.y()) + " \u00D7 " + tenth(size.z()) + " mm");
    }
    if (subject_.has_cast()) item("cast", tenth(subject_.cast().box().size().x()) + " mm long");
    if (input.asked_high_mm > 0.0)
        item("wall asked",
             (input.asked_high_mm - input.asked_low_mm < 0.05 ? std::string()
                                                              : tenth(input.asked_low_mm) + " to ") +
                 tenth(input.asked_high_mm) + " mm");
    if (input.walls != nullptr && input.walls->least_wall_mm > 0.0)
        item("least wall", rounded(input.walls->least_wall_mm, 2) + " mm");
    if (input.minimum_wall_mm > 0.0) item("limit", tenth(input.minimum_wall_mm) + " mm");
    const char* note = "Grid 10 mm. Wall: true distance between the two sides, not in the cut.";
    const double w = canvas_.measure(note, soft);
    if (x + w < line.right() - 14.0)
        canvas_.write_middle(note, {line.right() - 14.0 - w, line.centre().y()}, w + 1.0, soft);
}

void Sheet::sections(Box box) {
    const auto& cuts = subject_.cuts();
    std::vector<SectionCut> frontal;
    const SectionCut* sagittal = nullptr;
    for (const SectionCut& cut : cuts) {
        if (cut.axis == 0)
            frontal.push_back(cut);
        else
            sagittal = &cut;
    }
    if (sagittal != nullptr) {
        Box top = box.cut_top(std::floor(0.47 * box.h));
        section(top, *sagittal,
                section_scale({top.x, top.y, top.w, top.h - head_height}, subject_, {*sagittal}));
        canvas_.fill(Box{top.x, top.bottom() - 1.0, top.w, 1.0}, theme_.rule);
    }
    if (frontal.empty()) {
        canvas_.fill(box, theme_.board);
        return;
    }
    const double each = std::floor(box.w / static_cast<double>(frontal.size()));
    const double scale = section_scale({0.0, 0.0, each, box.h - head_height}, subject_, frontal);
    for (std::size_t i = 0; i < frontal.size(); ++i) {
        const bool last = i + 1 == frontal.size();
        Box part = last ? box : box.cut_left(each);
        section(part, frontal[i], scale);
        if (!last) canvas_.fill(Box{part.right() - 1.0, part.y, 1.0, part.h}, theme_.rule);
    }
}

void Sheet::checks(Box box) {
    std::vector<Check> ordered = subject_.input().checks;
    std::stable_sort(ordered.begin(), ordered.end(),
                     [](const Check& a, const Check& b) { return a.verdict > b.verdict; });
    int count[3] = {0, 0, 0};
    for (const Check& check : ordered) ++count[static_cast<int>(check.verdict)];
    std::string tally;
    for (const Verdict v : {Verdict::stop, Verdict::look, Verdict::pass})
        if (count[static_cast<int>(v)] > 0)
            tally += (tally.empty() ? "" : ", ") + std::to_string(count[static_cast<int>(v)]) + " " + word(v);
    Box list = headed(box, "", "Checks", tally);
    canvas_.fill(list, theme_.panel);
    list = list.inset(6.0);
    if (ordered.empty()) {
        canvas_.write_middle("None asked for.", {list.x + 8.0, list.y + 14.0}, list.w - 16.0,
                             {type::body, Weight::regular, theme_.faint, Align::left});
        return;
    }
    const double row = 26.0;
    const auto fit = static_cast<std::size_t>(std::max(0.0, std::floor(list.h / row)));
    const bool more = ordered.size() > fit;
    const std::size_t shown = more ? (fit > 0 ? fit - 1 : 0) : ordered.size();
    for (std::size_t i = 0; i < shown; ++i) {
        const Check& check = ordered[i];
        Box line = list.cut_top(row);
        const Colour colour =
            check.verdict == Verdict::pass ? theme_.text : verdict_colour(theme_, check.verdict);
        if (check.verdict != Verdict::pass)
            canvas_.fill(Box{line.x, line.y + 1.0, line.w, line.h - 2.0},
                         check.verdict == Verdict::look ? theme_.look_fill : theme_.stop_fill, 1.0, 4.0);
        const double y = line.centre().y();
        draw_verdict(canvas_, {line.x + 14.0, y}, theme_, check.verdict);
        double right = line.right() - 8.0;
        if (check.figure && !check.unit.empty()) {  // a bare number says nothing here
            std::string figure = figure_of(*check.figure);
            if (check.unit == "degrees")
                figure += "\u00B0";
            else if (!check.unit.empty())
                figure += " " + check.unit;
            const Box written = canvas_.write_middle(figure, {right, y}, 90.0,
                                                     {type::small, Weight::regular, colour, Align::right});
            right = written.x - 8.0;
        }
        canvas_.write_middle(
            check.title, {line.x + 28.0, y}, right - line.x - 28.0,
            {type::small, check.verdict == Verdict::pass ? Weight::regular : Weight::semibold, colour,
             Align::left});
    }
    if (more)
        canvas_.write_middle("and " + std::to_string(ordered.size() - shown) + " more in the report",
                             {list.x + 28.0, list.y + 13.0}, list.w - 30.0,
                             {type::small, Weight::regular, theme_.faint, Align::left});
}

void Sheet::separators(const std::vector<Box>& boxes) {
    for (const Box& b : boxes) {
        canvas_.fill(Box{b.right() - 1.0, b.y, 1.0, b.h}, theme_.frame);
        canvas_.fill(Box{b.x, b.bottom() - 1.0, b.w, 1.0}, theme_.frame);
    }
}

}  // namespace

const std::vector<std::string>& view_words() {
    static const std::vector<std::string> words{"foot",     "shell",   "underside", "plan",
                                                "sections", "wall",    "height",    "deviation",
                                                "rigidity", "bending", "mass",      "all"};
    return words;
}

std::optional<Fault> settings_fault(const PictureSettings& settings) {
    const auto refuse = [](FaultKind kind, std::string message) {
        return Fault{kind, "picture", std::move(message), {}};
    };
    if (settings.width < 480 || settings.width > 6000 || settings.height < 360 || settings.height > 6000)
        return refuse(FaultKind::usage, "A picture is 480 to 6000 pixels wide and 360 to 6000 high, not " +
                                            std::to_string(settings.width) + " x " +
                                            std::to_string(settings.height) + ".");
    if (!(settings.scale >= 0.5 && settings.scale <= 4.0))
        return refuse(FaultKind::usage,
                      "The scale of a picture is 0.5 to 4, not " + exact(settings.scale) + ".");
    if (!Canvas::has_font())
        return refuse(
            FaultKind::output,
            "No font was found for the picture. Install the package fonts-inter or fonts-dejavu-core.");
    return std::nullopt;
}

void draw_title_bar(Canvas& canvas, const Box& bar, const Theme& theme, Side side,
                    const std::string& case_code, const std::string& title) {
    canvas.fill(bar, theme.panel);
    canvas.fill(Box{bar.x, bar.bottom() - 1.0, bar.w, 1.0}, theme.rule);
    const double y = bar.centre().y();
    // the mark: two arches
    for (const auto& [r, colour] : {std::pair(9.0, theme.accent), std::pair(4.6, theme.text)}) {
        std::vector<Vec2> arch;
        for (int i = 0; i <= 24; ++i) {
            const double a = 3.14159265358979323846 * i / 24.0;
            arch.push_back({bar.x + 24.0 - r * std::cos(a), y + 4.5 - r * std::sin(a)});
        }
        canvas.polyline(arch, false, {colour, 2.0, 1.0, {}, true});
    }
    const Box name = canvas.write_middle("Archwright", {bar.x + 42.0, y}, 110.0,
                                         {type::stage, Weight::semibold, theme.text, Align::left});
    // what matters most, the side, in words and with its letter, stands on the right
    draw_side_letter(canvas, {bar.right() - 40.0, y - 13.0}, theme, side);
    const char* side_words = side == Side::left ? "Left foot" : "Right foot";
    const Type strong{type::body, Weight::semibold, theme.text, Align::right};
    const Box at_right = canvas.write_middle(side_words, {bar.right() - 50.0, y}, 90.0, strong);
    double x = name.right() + 26.0;
    canvas.fill(Box{x - 14.0, bar.y + 10.0, 1.0, bar.h - 20.0}, theme.rule);
    const double room_end = at_right.x - 20.0;
    if (!case_code.empty() && room_end > x + 20.0) {
        const Box code = canvas.write_middle(case_code, {x, y}, room_end - x,
                                             {type::body, Weight::semibold, theme.text, Align::left});
        x = code.right() + 14.0;
    }
    if (!title.empty() && room_end > x + 20.0)
        canvas.write_middle(title, {x, y}, room_end - x,
                            {type::body, Weight::regular, theme.soft, Align::left});
}

Outcome<Picture> draw_sheet(const PictureInput& input, const PictureSettings& settings) {
    const auto refuse = [](FaultKind kind, std::string message) {
        return Fault{kind, "picture", std::move(message), {}};
    };
    if (auto fault = settings_fault(settings)) return *fault;
    for (const std::string& view : settings.views)
        if (std::find(view_words().begin(), view_words().end(), view) == view_words().end()) {
            const std::string near = nearest_word(view, view_words());
            return refuse(
                FaultKind::usage,
                "There is no view \"" + view + "\"" +
                    (near.empty() ? "" : "; did you mean \"" + near + "\"?") +
                    " Views: foot, shell, underside, plan, sections, wall, height, deviation, all.");
        }
    const Subject subject(input);
    if (!subject.has_cast() && !subject.has_shell())
        return refuse(FaultKind::input, "There is neither a cast nor a shell to draw.");
    const Theme& colours = theme(settings.dark);
    Canvas canvas(settings.width, settings.height, settings.scale, colours.board);
    Sheet sheet(canvas, colours, subject);
    Box page{0.0, 0.0, static_cast<double>(settings.width), static_cast<double>(settings.height)};
    sheet.top_bar(page.cut_top(44.0));
    sheet.status_line(page.cut_bottom(26.0));

    std::vector<std::string> views = settings.views;
    if (views.empty() || std::find(views.begin(), views.end(), "all") != views.end()) {
        Box plan = page.cut_left(std::floor(0.25 * page.w));
        Box map = page.cut_left(std::floor(0.275 * page.w));
        Box checks = map.cut_bottom(std::floor(0.38 * map.h));
        Box models = page.cut_top(std::floor(0.46 * page.h));
        Box foot = models.cut_left(std::floor(0.58 * models.w));
        sheet.plan(plan);
        sheet.map(map, MapKind::wall);
        sheet.checks(checks);
        sheet.foot(foot);
        sheet.shell(models);
        sheet.sections(page);
        sheet.separators({plan, map, checks, foot, models});
    } else {
        const double each = std::floor(page.w / static_cast<double>(views.size()));
        std::vector<Box> boxes;
        for (std::size_t i = 0; i < views.size(); ++i) {
            const Box box = i + 1 == views.size() ? page : page.cut_left(each);
            boxes.push_back(box);
            const std::string& view = views[i];
            if (view == "foot") sheet.foot(box);
            if (view == "shell") sheet.shell(box);
            if (view == "underside") sheet.underside(box);
            if (view == "plan") sheet.plan(box);
            if (view == "sections") sheet.sections(box);
            if (view == "wall") sheet.map(box, MapKind::wall);
            if (view == "height") sheet.map(box, MapKind::height);
            if (view == "deviation") sheet.map(box, MapKind::deviation);
            if (view == "rigidity") sheet.map(box, MapKind::rigidity);
            if (view == "bending") sheet.map(box, MapKind::bending);
            if (view == "mass") sheet.map(box, MapKind::mass);
        }
        boxes.pop_back();
        sheet.separators(boxes);
    }
    return Picture{canvas.take(), canvas.shortened(), canvas.written()};
}

Outcome<Image> compose(const PictureInput& input, const PictureSettings& settings) {
    Outcome<Picture> picture = draw_sheet(input, settings);
    if (!picture) return picture.fault();
    return std::move(picture->image);
}

}  // namespace archwright::picture
