#include "exporters/papers/design_sheet.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/base/version.hpp"
#include "engine/design/fingerprint.hpp"
#include "engine/picture/board.hpp"
#include "engine/picture/of_device.hpp"
#include "exporters/papers/design_sheet_words.hpp"

namespace archwright::exporters::papers {

namespace {

using picture::SectionCut;
using picture::Subject;

constexpr double cast_over_mm = 5.0;    // of the cast, shown above the shell's edge
constexpr double cast_beside_mm = 5.0;  // and beside it
constexpr double outline_height_mm = 12.0;
constexpr double figures_apart_mm = 13.0;
constexpr int map_pixels_wide = 340;  // logical: words of the map are 3 mm high
constexpr double map_scale = 3.0;     // about 300 dots an inch

/// Grows a box (mm, y upwards) by a point.
struct Reach {
    Vec2 low{1e300, 1e300}, high{-1e300, -1e300};

    void add(const Vec2& p) {
        low = low.cwiseMin(p);
        high = high.cwiseMax(p);
    }
    picture::Box box() const { return {low.x(), low.y(), high.x() - low.x(), high.y() - low.y()}; }
};

/// The pieces of a line that lie within a box, cut at its border.
std::vector<std::vector<Vec2>> within(const std::vector<Vec2>& line, const Vec2& low, const Vec2& high) {
    std::vector<std::vector<Vec2>> pieces;
    std::vector<Vec2> piece;
    for (std::size_t i = 1; i < line.size(); ++i) {
        const Vec2 a = line[i - 1], way = line[i] - a;
        double from = 0.0, to = 1.0;
        for (int k = 0; k < 2; ++k) {
            if (way[k] == 0.0) {
                if (a[k] < low[k] || a[k] > high[k]) to = -1.0;
                continue;
            }
            const double one = (low[k] - a[k]) / way[k], two = (high[k] - a[k]) / way[k];
            from = std::max(from, std::min(one, two));
            to = std::min(to, std::max(one, two));
        }
        if (from > to) {
            if (piece.size() > 1) pieces.push_back(piece);
            piece.clear();
            continue;
        }
        if (from > 0.0 && !piece.empty()) {
            pieces.push_back(piece);
            piece.clear();
        }
        if (piece.empty()) piece.push_back(a + from * way);
        piece.push_back(a + to * way);
        if (to < 1.0) {
            pieces.push_back(piece);
            piece.clear();
        }
    }
    if (piece.size() > 1) pieces.push_back(piece);
    return pieces;
}

SheetSection section_of(const Subject& subject, const SectionCut& cut, double right) {
    SheetSection s;
    s.letter = cut.letter;
    s.title = cut.title;
    const auto on_page = [&](const Vec3& p) { return Vec2(right * cut.across(p), p.z() - subject.ground()); };
    Reach shell;
    for (const picture::Chain& chain : picture::cut_section(subject.shell(), cut)) {
        std::vector<Vec2> ring;
        for (const Vec3& p : chain.points) {
            ring.push_back(on_page(p));
            shell.add(ring.back());
        }
        if (chain.closed && ring.size() > 2) ring.push_back(ring.front());
        s.shell.push_back(std::move(ring));
    }
    if (s.shell.empty()) return s;
    s.shell_box = shell.box();
    const Vec2 low(shell.low.x() - cast_beside_mm, -1.0),
        high(shell.high.x() + cast_beside_mm, shell.high.y() + cast_over_mm);
    Reach all = shell;
    all.add({shell.low.x(), 0.0});
    if (subject.has_cast())
        for (const picture::Chain& chain : picture::cut_section(subject.cast(), cut)) {
            std::vector<Vec2> line;
            for (const Vec3& p : chain.points) line.push_back(on_page(p));
            if (chain.closed && !line.empty()) line.push_back(line.front());
            for (std::vector<Vec2>& piece : within(line, low, high)) {
                for (const Vec2& p : piece) all.add(p);
                s.cast.push_back(std::move(piece));
            }
        }
    s.box = all.box();
    for (const picture::WallFigure& figure : picture::wall_figures(subject, cut, figures_apart_mm))
        s.walls.push_back({right * cut.across(figure.foot_side), figure.wall_mm});
    std::sort(s.walls.begin(), s.walls.end(),
              [](const SheetSection::Wall& a, const SheetSection::Wall& b) { return a.across < b.across; });
    return s;
}

/// `numbered`: reliefs and pads in the order of their numbers.
SheetPlan plan_of(const Subject& subject, const std::vector<SectionCut>& cuts, double right,
                  const std::vector<feature::Figure>& numbered) {
    SheetPlan plan;
    Reach all, shell;
    const auto at = [&](double x, double y) { return Vec2(right * y, x); };
    const auto of_edge = [&](const std::vector<Vec3>& edge, bool strong) {
        SheetPlan::Outline outline;
        outline.edge = strong;
        for (const Vec3& p : edge) {
            outline.points.push_back(at(p.x(), p.y()));
            all.add(outline.points.back());
            if (strong) shell.add(outline.points.back());
        }
        if (!outline.points.empty()) outline.points.push_back(outline.points.front());
        plan.outlines.push_back(std::move(outline));
    };
    of_edge(subject.foot_edge(), true);
    for (const auto& edge : subject.hole_edges()) of_edge(edge, true);
    for (const auto& edge : subject.lower_edges()) of_edge(edge, false);
    plan.rear = shell.low.y();
    plan.front = shell.high.y();
    for (const picture::PlanOutline& one : subject.input().outlines) {
        // regions of the wall reach past the shell, and the wall's map shows what they do
        if (one.kind == picture::PlanOutline::Kind::wall_region) continue;
        SheetPlan::Outline outline;
        for (std::size_t k = 0; k < numbered.size(); ++k)
            if (numbered[k].name == one.feature) outline.number = static_cast<int>(k) + 1;
        for (const Vec2& p : one.points) {
            outline.points.push_back(at(p.x(), p.y()));
            all.add(outline.points.back());
        }
        if (!outline.points.empty()) outline.points.push_back(outline.points.front());
        plan.outlines.push_back(std::move(outline));
    }
    for (const auto& [id, landmark] : subject.input().landmarks)
        if (*picture::plan_word(id) != '\0') {
            plan.heads.push_back({at(landmark.position.x(), landmark.position.y()), {}});
            all.add(plan.heads.back().at);
        }
    if (subject.has_cast())
        for (const picture::Chain& chain :
             picture::plane_section(subject.cast(), 2, subject.ground() + outline_height_mm)) {
            std::vector<Vec2> line;
            for (const Vec3& p : chain.points) {
                line.push_back(at(p.x(), p.y()));
                all.add(line.back());
            }
            if (chain.closed) line.push_back(line.front());
            plan.foot.push_back(std::move(line));
        }
    for (const SectionCut& cut : cuts) {
        plan.cuts.push_back({cut.at, cut.letter});
        SheetPlan::Width width{cut.at, 1e300, -1e300};
        for (const picture::Chain& chain : picture::cut_section(subject.shell(), cut))
            for (const Vec3& p : chain.points) {
                width.low = std::min(width.low, right * p.y());
                width.high = std::max(width.high, right * p.y());
            }
        if (width.low <= width.high) plan.widths.push_back(width);
    }
    plan.box = all.box();
    return plan;
}

picture::Image map_of(const Subject& subject, picture::MapKind kind, std::vector<std::string>& cut) {
    const int high = static_cast<int>(std::lround(map_pixels_wide * sheet_map_height / sheet_map_width));
    const picture::Theme& theme = picture::theme(false);
    picture::Canvas canvas(map_pixels_wide, high, map_scale, theme.board);
    picture::draw_map(canvas, {0.0, 0.0, 1.0 * map_pixels_wide, 1.0 * high}, theme, subject, kind);
    for (const std::string& words : canvas.shortened()) cut.push_back(words);
    return canvas.take();
}

}  // namespace

Outcome<DesignSheet> design_sheet_of(const design::Job& job, const build::Device& device,
                                     const std::vector<FlexLoad>& bench) {
    if (!device.shelled || !device.proved || !device.surfaced || !device.received || !job.foot(device.side))
        return Fault{FaultKind::input, "sheet", "There is no shell that was proved.", {}};
    if (!picture::Canvas::has_font())
        return Fault{FaultKind::output,
                     "sheet",
                     "no font to write with: install the package fonts-inter or fonts-dejavu-core.",
                     {}};
    const design::FootDesign& foot = *job.foot(device.side);
    const picture::PictureInput input = picture::input_of(device, foot);
    const Subject subject(input);
    DesignSheet s;
    s.case_code = device.case_code;
    s.revision = device.revision;
    s.revision_date = job.revisions.back().date;
    s.laboratory = job.laboratory;
    s.prescriber = job.order.prescriber;
    s.fingerprint = design::fingerprint(job, device.side);
    s.material = device.shelled->material.name;
    s.side = device.side;
    const double right = -picture::handed(device.side);
    s.medial_left = right < 0.0 ? "medial" : "lateral";
    s.medial_right = right < 0.0 ? "lateral" : "medial";
    std::vector<SectionCut> frontal;
    for (const SectionCut& cut : subject.cuts())
        if (cut.axis == 0) frontal.push_back(cut);
    if (frontal.size() != s.sections.size())
        return Fault{FaultKind::input, "sheet", "The shell is too short for three sections.", {}};
    for (std::size_t k = 0; k < s.sections.size(); ++k)
        s.sections[k] = section_of(subject, frontal[k], right);
    s.plan = plan_of(subject, frontal, right, device.shelled->feature_figures);
    s.wall_map = map_of(subject, picture::MapKind::wall, s.map_words_cut);
    s.cast_map = map_of(subject, picture::MapKind::deviation, s.map_words_cut);
    s.rigidity_map = map_of(subject, picture::MapKind::rigidity, s.map_words_cut);
    tell_design(s, job, device, bench);
    return s;
}

}  // namespace archwright::exporters::papers
