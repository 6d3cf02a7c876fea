#include "engine/ask/trial.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/parallel.hpp"
#include "engine/base/text.hpp"
#include "engine/build/plan_border.hpp"
#include "engine/build/post_stage.hpp"
#include "engine/surface/grid_fit.hpp"
#include "engine/surface/loop.hpp"
#include "engine/surface/post.hpp"
#include "engine/surface/underside.hpp"

namespace archwright::ask {

namespace {

/// Spacing of the balls, mm: blends of the wall are the finest thing to see (as roll_underside has it).
constexpr double trial_ball_mm = 1.25;
/// Samples of the underside a span where posts are laid under it anew.
constexpr int samples_per_span = 2;
/// Least wall and greatest way along a normal that a trial takes for one, mm.
constexpr double least_trial_mm = 0.05, greatest_trial_mm = 80.0;

int nodes_over(const surface::Basis& basis, double spacing) {
    int per_span = 2;
    while (basis.span() > spacing * per_span) per_span *= 2;
    return basis.spans() * per_span + 1;
}

Fault trial_fault(const std::string& what, const Vec3& where) {
    return Fault{FaultKind::input, "ask", what, where};
}

}  // namespace

Outcome<Trial> Trial::of(const Built& built, const design::FootDesign& foot,
                         const flex::BenchSubject& subject, double element_mm, Progress* progress) {
    Trial trial;
    trial.built_ = built;
    trial.foot_ = foot;
    trial.subject_ = subject;
    auto body = flex::bench_body(subject, element_mm, progress);
    if (!body) return body.fault();
    trial.body_ = std::make_shared<const flex::BenchBody>(std::move(*body));

    const surface::Shell& shell = built.shelled->shell;
    const surface::SplineSurface& carpet = built.surfaced->carpet.surface;
    trial.plan_ = build::plan_box(carpet, built.surfaced->trim.curve).device;
    trial.lattice_ = built.shelled->features.empty() ? surface::Lattice{nodes_over(carpet.u, trial_ball_mm),
                                                                        nodes_over(carpet.v, trial_ball_mm),
                                                                        carpet.u.length, carpet.v.length}
                                                     : surface::feature_ball_lattice(carpet);
    trial.frames_ = surface::sample_frames(carpet, trial.lattice_);

    std::vector<surface::Outline> outlines;
    const auto add_posts = [&](const std::vector<surface::Post>& posts, bool stiffens) {
        for (const surface::Post& post : posts) {
            outlines.emplace_back(post.curve);
            trial.posts_.push_back({post, stiffens});
        }
    };
    add_posts(shell.posts, true);
    add_posts(trial.subject_.stuck_posts, false);
    for (const Vec2& uv : trial.body_->middle.uv) {
        const surface::SurfacePoint at = carpet.first(uv), above = shell.foot_side.first(uv),
                                    under = shell.underside.first(uv);
        trial.on_carpet_.push_back(at.s);
        trial.along_.push_back(at.normal());
        trial.across_.push_back((above.normal() + under.normal()).normalized());
        trial.above_.push_back(above.s);
        trial.under_.push_back(under.s);
        int over = -1;
        for (std::size_t i = 0; i < outlines.size(); ++i)
            if (outlines[i].inside(uv)) over = static_cast<int>(i);
        trial.post_of_.push_back(over);
    }
    const std::vector<surface::BallSheet> sheets = trial.sheets(foot.wall);
    trial.exits_ = exits(sheets, trial.on_carpet_, trial.along_, trial.body_->middle.uv);
    if (!trial.posts_.empty()) {
        Below below;
        below.lattice = surface::Lattice::over(shell.underside.u, shell.underside.v, samples_per_span);
        below.frames = surface::sample_frames(carpet, below.lattice);
        for (std::size_t k = 0; k < below.lattice.size(); ++k) below.uv.push_back(below.lattice.uv(k));
        below.exits = exits(sheets, below.frames.points, below.frames.normals, below.uv);
        trial.below_ = std::move(below);
    }
    return trial;
}

std::vector<surface::BallSheet> Trial::sheets(const design::Wall& wall) const {
    const build::Shelled& shelled = *built_.shelled;
    const auto map =
        std::make_shared<const design::WallMap>(wall, plan_, design::WallLimits::of(shelled.material));
    std::vector<surface::BallSheet> sheets;
    for (const surface::BallLayer& layer :
         shelled.features.sheets([map](const Vec2&, const Vec3& p) { return map->at(p.x(), p.y()); },
                                 shelled.material.wall_min_mm.value))
        sheets.push_back(surface::sample_layer(lattice_, frames_, layer));
    return sheets;
}

std::vector<double> Trial::exits(const std::vector<surface::BallSheet>& sheets,
                                 const std::vector<Vec3>& points, const std::vector<Vec3>& normals,
                                 const std::vector<Vec2>& uv) {
    std::vector<double> exits(uv.size());
    parallel_for(uv.size(), 64, [&](std::size_t begin, std::size_t end) {
        for (std::size_t p = begin; p < end; ++p) {
            exits[p] = sheets[0].exit(points[p], normals[p], uv[p]);
            for (std::size_t k = 1; k < sheets.size(); ++k)
                exits[p] = sheets[k].exit(points[p], normals[p], uv[p], exits[p]);
        }
    });
    return exits;
}

Outcome<std::vector<surface::Post>> Trial::floors(const std::vector<surface::BallSheet>& sheets) const {
    std::vector<surface::Post> floors;
    for (const PostUnder& post : posts_) floors.push_back(post.post);
    if (!below_) return floors;
    const std::vector<double> now = exits(sheets, below_->frames.points, below_->frames.normals, below_->uv);
    std::vector<Vec3> further(now.size());
    for (std::size_t k = 0; k < now.size(); ++k) {
        const double by = now[k] - below_->exits[k];
        further[k] = std::abs(by) < greatest_trial_mm ? Vec3(-by * below_->frames.normals[k]) : Vec3::Zero();
    }
    surface::SplineSurface underside = built_.shelled->shell.underside;
    const surface::SplineSurface moved =
        surface::GridFit(underside.u, underside.v, samples_per_span).fit(further);
    for (std::size_t k = 0; k < underside.control.size(); ++k) underside.control[k] += moved.control[k];
    auto laid = build::lay_posts(*built_.received, *built_.surfaced, underside, foot_);
    if (!laid) return laid.fault();
    for (surface::Post& floor : floors)
        for (const surface::Post& post : *laid)
            if (post.name == floor.name) floor = post;
    return floors;
}

Outcome<flex::Middle> Trial::middle(const design::Wall& wall) const {
    flex::Middle middle = body_->middle;
    const std::vector<surface::BallSheet> sheets = this->sheets(wall);
    const std::vector<double> now = exits(sheets, on_carpet_, along_, middle.uv);
    const auto floors = this->floors(sheets);
    if (!floors) return floors.fault();
    for (std::size_t p = 0; p < now.size(); ++p) {
        if (!(std::abs(now[p]) < greatest_trial_mm) || !(std::abs(exits_[p]) < greatest_trial_mm))
            return trial_fault("Walls like these leave no underside at " + place(on_carpet_[p]) + ".",
                               on_carpet_[p]);
        const Vec3 under = under_[p] - (now[p] - exits_[p]) * along_[p];
        double thick = (above_[p] - under).dot(across_[p]);
        middle.place[p] = under;
        if (const int over = post_of_[p]; over >= 0) {
            middle.place[p] = surface::floor_point((*floors)[over], under.head<2>());
            if (posts_[over].stiffens) thick = std::max(thick, (above_[p] - middle.place[p]).dot(across_[p]));
        }
        if (!(thick > least_trial_mm))
            return trial_fault("Walls like these leave nothing of the shell at " + place(on_carpet_[p]) + ".",
                               on_carpet_[p]);
        middle.model.points[p] = 0.5 * (above_[p] + under);
        middle.model.wall_mm[p] = thick;
    }
    return middle;
}

Outcome<std::shared_ptr<const flex::BenchBody>> Trial::body(const design::Wall& wall,
                                                            Progress* progress) const {
    auto changed = middle(wall);
    if (!changed) return changed.fault();
    flex::BenchBody body;
    body.middle = std::move(*changed);
    body.distal = body_->distal;
    body.located = body_->located;
    if (const auto good = body.middle.model.check(); !good) return good.fault();
    flex::Stiffness stiffness{body_->stiffness->pattern, {}};
    if (const auto done = flex::assemble_again(body.middle.model, stiffness, progress); !done)
        return done.fault();
    body.stiffness = std::make_shared<const flex::Stiffness>(std::move(stiffness));
    return std::make_shared<const flex::BenchBody>(std::move(body));
}

}  // namespace archwright::ask
