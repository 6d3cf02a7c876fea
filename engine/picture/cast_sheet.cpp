#include "engine/picture/cast_sheet.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/picture/drafting.hpp"
#include "engine/picture/renderer.hpp"

namespace archwright::picture {

namespace {

using examine::Finding;

constexpr double relief_limit_mm = 2.0;
constexpr double row_height = 128.0, close_size = 112.0, close_view_mm = 56.0;

/// The height map as triangles in the design frame.
TriangleMesh relief_mesh(const examine::HeightMap& map) {
    TriangleMesh mesh;
    mesh.points = map.position;
    for (int i = 0; i + 1 < map.nu; ++i)
        for (int j = 0; j + 1 < map.nv; ++j) {
            const std::size_t a = map.index(i, j), b = map.index(i + 1, j), c = map.index(i + 1, j + 1),
                              d = map.index(i, j + 1);
            if (!map.valid[a] || !map.valid[b] || !map.valid[c] || !map.valid[d]) continue;
            const auto at = [](std::size_t k) { return static_cast<std::int32_t>(k); };
            // seen from below: u to the toes, v to medial turn clockwise about the way out of the foot
            mesh.triangles.push_back({at(a), at(c), at(b)});
            mesh.triangles.push_back({at(a), at(d), at(c)});
        }
    return mesh;
}

/// "+-" as reports write it in plain text, as a page shows it.
std::string typeset(std::string text) {
    for (std::size_t at = text.find("+-"); at != std::string::npos; at = text.find("+-", at))
        text.replace(at, 2, "\u00B1");
    return text;
}

class CastSheet {
  public:
    CastSheet(Canvas& canvas, const Theme& theme, Side side, const build::Received& received,
              const build::Examined& examined)
        : canvas_(canvas),
          theme_(theme),
          side_(side),
          received_(received),
          examined_(examined),
          relief_(relief_mesh(examined.map)),
          scale_(round_symmetric_scale(ColourMap::deviation(), relief_limit_mm, "Relief, mm")) {
        for (const float h : examined.map.height) values_.push_back(static_cast<double>(h));
    }

    void sole(Box box) {
        canvas_.fill(box, theme_.board);
        const Box strip = box.cut_top(30.0);
        draw_head(canvas_, strip, theme_, "", "Relief of the sole",
                  std::string(word(side_)) + " foot, from above, over a stiff smooth surface");
        Box aside = box.cut_right(86.0);
        Box3 extent;
        for (std::size_t k = 0; k < relief_.points.size(); ++k)
            if (examined_.map.valid[k]) extent.add(relief_.points[k]);
        for (const auto& call : examined_.calls) extent.add(call.finding.place);
        if (extent.empty()) return;
        const double scale = std::min((box.w - 40.0) / extent.size().y(), (box.h - 60.0) / extent.size().x());
        Axes axes(side_, Vec2::Zero(), scale);
        axes.origin = box.centre() - axes.at(extent.centre().y(), extent.centre().x());
        canvas_.clip(box);
        draw_grid(canvas_, box, theme_, axes);
        print(box, axes);
        for (const auto& [id, landmark] : received_.standing.landmarks) {
            if (plan_word(id)[0] == 0) continue;
            draw_landmark(canvas_, axes.at(landmark.position.y(), landmark.position.x()), theme_);
        }
        for (std::size_t i = 0; i < examined_.calls.size(); ++i) outline(axes, i);
        for (std::size_t i = 0; i < examined_.calls.size(); ++i) number(axes, i);
        canvas_.unclip();
        const Box legend = draw_legend(canvas_, {aside.x, box.y + 12.0}, 176.0, theme_, scale_);
        const Type small{type::small, Weight::regular, theme_.soft, Align::left};
        canvas_.write("+ away", {aside.x, legend.bottom() + 18.0}, 80.0, small);
        canvas_.write("\u2212 into the foot", {aside.x, legend.bottom() + 34.0}, 84.0, small);
        draw_side_letter(canvas_, {box.x + 10.0, box.bottom() - 36.0}, theme_, side_);
        draw_scale_bar(canvas_, {box.right() - 6.0, box.bottom() - 6.0}, 124.0, theme_, scale);
    }

    void rows(Box box) {
        canvas_.fill(box, theme_.panel);
        const Box strip = box.cut_top(30.0);
        const std::size_t n = examined_.calls.size();
        draw_head(canvas_, strip, theme_, "", "Findings",
                  n == 0 ? "none"
                         : std::to_string(n) + ", worst first; noise of the scan " +
                               rounded(examined_.noise_mm, 2) + " mm");
        box = box.inset(8.0);
        const auto fit = static_cast<std::size_t>(std::max(0.0, std::floor(box.h / row_height))) * 2;
        const double width = std::floor(0.5 * box.w);
        const bool more = n > fit;
        const std::size_t shown = more ? fit - 1 : n;
        for (std::size_t i = 0; i < shown; ++i)
            row({box.x + (i % 2 == 0 ? 0.0 : width), box.y + row_height * std::floor(0.5 * double(i)), width,
                 row_height},
                i);
        if (more)
            canvas_.write_middle("and " + std::to_string(n - shown) + " more in the report",
                                 {box.x + (shown % 2 == 0 ? 12.0 : width + 12.0),
                                  box.y + row_height * (std::floor(0.5 * double(shown)) + 0.5)},
                                 width - 24.0, {type::body, Weight::regular, theme_.faint, Align::left});
        if (n == 0)
            canvas_.write_middle("No fault was found on this cast.", {box.x + 12.0, box.y + 24.0},
                                 box.w - 24.0, {type::body, Weight::regular, theme_.text, Align::left});
    }

  private:
    void print(const Box& box, const Axes& axes) {
        const double s = canvas_.scale();
        Image part = canvas_.take(box);
        if (part.width == 0 || part.height == 0) return;
        Camera camera(other(side_), Vec3::UnitZ(), Vec3::UnitX(), 0.0);
        camera.pin(Vec3::Zero(), s * axes.origin - Vec2(std::round(box.x * s), std::round(box.y * s)),
                   s * axes.scale);
        const Vec3 sun = (-0.62 * camera.right() + 0.62 * camera.up() - 0.62 * camera.forward()).normalized();
        // the rest of the cast as plain plaster, a little further from the eye than the relief on it
        Body cast;
        cast.mesh = &received_.standing.mesh;
        cast.shader = [&, sun](const Fragment& f) {
            return theme_.cast * std::clamp(0.55 + 0.5 * f.normal.dot(sun), 0.4, 1.1);
        };
        Body relief;
        relief.mesh = &relief_;
        relief.values = &values_;
        relief.shader = [&, sun](const Fragment& f) {
            return scale_.colour(f.value) * std::clamp(0.66 + 0.5 * f.normal.dot(sun), 0.6, 1.12);
        };
        render({{cast}, {}, nullptr}, camera, part);
        render({{relief}, {}, nullptr}, camera, part);
        canvas_.place(part, box);
    }

    Colour colour_of(const build::Examined::Call& call) const {
        if (call.answered == design::Answer::Is::foot) return theme_.pass;
        return theme_.look;
    }

    void outline(const Axes& axes, std::size_t i) {
        const auto& call = examined_.calls[i];
        const Finding& f = call.finding;
        const bool certain = f.certainty == Finding::Certainty::certain;
        const Pen core{theme_.ink, 1.6, 1.0, certain ? std::vector<double>{} : std::vector<double>{4.0, 3.0}};
        const Pen casing{theme_.board, 3.6, 0.8};
        if (!f.line.empty()) {
            std::vector<Vec2> page;
            for (const Vec3& p : f.line) page.push_back(axes.at(p.y(), p.x()));
            canvas_.polyline(page, false, casing);
            canvas_.polyline(page, false, core);
            return;
        }
        const double radius = std::max(5.0, 0.5 * axes.scale * std::max(f.length_mm, f.breadth_mm));
        const Vec2 at = axes.at(f.place.y(), f.place.x());
        if (radius > 0.5 * 60.0 * axes.scale) return;
        canvas_.circle(at, radius, casing);
        canvas_.circle(at, radius, core);
    }

    void number(const Axes& axes, std::size_t i) {
        const Finding& f = examined_.calls[i].finding;
        const Vec3& place = f.line.empty() ? f.place : f.line.front();
        const double aside =
            f.line.empty() ? std::max(5.0, 0.5 * axes.scale * std::max(f.length_mm, f.breadth_mm)) * 0.71
                           : 7.0;
        disc(axes.at(place.y(), place.x()) + Vec2(aside + 6.0, -aside - 6.0), i);
    }

    void disc(const Vec2& at, std::size_t i) {
        const auto& call = examined_.calls[i];
        canvas_.disc(at, 9.0, colour_of(call));
        canvas_.write_middle(std::to_string(i + 1), at, 18.0,
                             {type::small, Weight::semibold, theme_.on_accent, Align::centre});
    }

    void row(Box box, std::size_t i) {
        const auto& call = examined_.calls[i];
        const Finding& f = call.finding;
        box = box.inset(6.0);
        Box close = box.cut_left(close_size);
        close.h = close_size;
        canvas_.fill(close, theme_.board);
        canvas_.clip(close);
        const double view = std::max(close_view_mm, 1.3 * std::max(f.length_mm, f.breadth_mm));
        Axes axes(side_, Vec2::Zero(), close_size / std::min(view, 120.0));
        axes.origin = close.centre() - axes.at(f.place.y(), f.place.x());
        print(close, axes);
        outline(axes, i);
        canvas_.unclip();
        canvas_.frame(close, {theme_.frame, 1.0});
        disc({close.x + 12.0, close.y + 12.0}, i);

        box.cut_left(10.0);
        const bool certain = f.certainty == Finding::Certainty::certain;
        double y = box.y + 12.0;
        std::string name = title(f.kind);
        name[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(name[0])));
        canvas_.write_middle(name + (certain ? "" : "?"), {box.x, y}, box.w,
                             {type::body, Weight::semibold, theme_.text, Align::left});
        y += 17.0;
        std::string size = rounded(f.length_mm, 0) +
                           (f.breadth_mm > 0.0 ? " \u00D7 " + rounded(f.breadth_mm, 1) : std::string()) +
                           " mm";
        if (f.depth_mm != 0.0)
            size += ", " + rounded(std::abs(f.depth_mm), 1) + " \u00B1 " + rounded(1.96 * f.depth_sd_mm, 1) +
                    (f.depth_mm < 0.0 ? " mm into the foot" : " mm away");
        canvas_.write_middle(size, {box.x, y}, box.w,
                             {type::small, Weight::regular, theme_.soft, Align::left});
        y += 17.0;
        std::string words = typeset(f.sentence + " " + f.advice_words);
        if (call.answered)
            words = (*call.answered == design::Answer::Is::foot ? "The foot's own shape, says "
                                                                : "A fault left as it is, says ") +
                    call.answered_by + ". " + typeset(f.sentence);
        wrap(words, {box.x, y, box.w - 4.0, box.bottom() - y}, {type::small, Weight::regular, theme_.text});
    }

    /// Words on as many lines as the box takes; what does not fit ends in an ellipsis.
    void wrap(const std::string& text, const Box& box, const Type& type) {
        constexpr double leading = 14.5;
        std::string line;
        double y = box.y;
        std::size_t at = 0;
        while (at < text.size()) {
            const std::size_t space = std::min(text.find(' ', at), text.size());
            const std::string next =
                line.empty() ? text.substr(at, space - at) : line + " " + text.substr(at, space - at);
            const bool last_line = y + 2.0 * leading > box.bottom();
            if (canvas_.measure(next, type) > box.w && !line.empty()) {
                if (last_line) {
                    while (!line.empty() && canvas_.measure(line + "\u2026", type) > box.w) line.pop_back();
                    canvas_.write_middle(line + "\u2026", {box.x, y}, box.w, type);
                    return;
                }
                canvas_.write_middle(line, {box.x, y}, box.w, type);
                y += leading;
                line.clear();
                continue;
            }
            line = next;
            at = space + 1;
        }
        if (!line.empty()) canvas_.write_middle(line, {box.x, y}, box.w, type);
    }

    Canvas& canvas_;
    const Theme& theme_;
    Side side_;
    const build::Received& received_;
    const build::Examined& examined_;
    TriangleMesh relief_;
    std::vector<double> values_;
    MapScale scale_;
};

}  // namespace

Outcome<Picture> draw_cast_sheet(const build::Received& received, const build::Examined& examined, Side side,
                                 const std::string& case_code, const PictureSettings& settings) {
    if (auto fault = settings_fault(settings)) return *fault;
    const Theme& colours = theme(settings.dark);
    Canvas canvas(settings.width, settings.height, settings.scale, colours.board);
    Box page{0.0, 0.0, static_cast<double>(settings.width), static_cast<double>(settings.height)};
    Box bar = page.cut_top(44.0);
    draw_title_bar(canvas, bar, colours, side, case_code, "Cast as received");
    Box sole = page.cut_left(std::floor(0.38 * page.w));
    CastSheet sheet(canvas, colours, side, received, examined);
    sheet.sole(sole);
    sheet.rows(page);
    canvas.fill(Box{sole.right() - 1.0, sole.y, 1.0, sole.h}, colours.frame);
    return Picture{canvas.take(), canvas.shortened(), canvas.written()};
}

}  // namespace archwright::picture
