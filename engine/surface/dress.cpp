#include "engine/surface/dress.hpp"

#include <cmath>
#include <functional>

#include "engine/base/parallel.hpp"
#include "engine/surface/blend.hpp"
#include "engine/surface/fit.hpp"
#include "engine/surface/grid_fit.hpp"
#include "engine/surface/lattice.hpp"
#include "engine/surface/plane_cut.hpp"

namespace archwright::surface {

namespace {

// Samples to a knot span: of the fit, and of what is measured on it.
constexpr int fit_per_span = 2, measure_per_span = 4;
// Expansions begin at this share of the half width from the middle, and are whole at the other.
constexpr double lateral_from = 0.5, lateral_whole = 0.9, heel_from = 0.4, heel_whole = 0.8;
// Over which expansions end along the axis, mm.
constexpr double expansion_fade_mm = 30.0;

class Zone {
  public:
    explicit Zone(const PlanZone& zone) : outline_(PeriodicCurve::through(zone.outline)) {}
    bool crosses_itself() const { return outline_.self_crossings() > 0; }
    /// Signed distance from the curve, mm; positive inside.
    double inside(const Vec3& p) const {
        const Vec2 q = p.head<2>();
        return outline_.inside(q) ? outline_.distance(q) : -outline_.distance(q);
    }

  private:
    Outline outline_;
};

class Dressing {
  public:
    Dressing(const SplineSurface& carpet, const Dress& asked, const DressSite& site)
        : asked_(asked),
          site_(site),
          fit_(carpet.u, carpet.v, fit_per_span),
          samples_(Lattice::over(carpet.u, carpet.v, fit_per_span)),
          probes_(Lattice::over(carpet.u, carpet.v, measure_per_span)) {
        out_.surface = carpet;
    }

    Outcome<Dressed> run(const std::optional<Platform>& platform) {
        for (const KeepZone& zone : asked_.keep) {
            keep_.push_back({Zone(zone), zone.margin_mm});
            if (keep_.back().first.crosses_itself()) return crossed(zone);
        }
        if (platform) {
            const PlatformPlane plane = lay_platform(*platform, site_);
            step("platform", "Platform", [&](const Vec2& uv, const Vec3&, const Vec3&) {
                return Vec3(0.0, 0.0, -plane.addition(out_.surface, uv));
            });
        }
        if (asked_.arch_fill_mm != 0.0)
            outward("arch_fill", "Medial arch fill", [this](const Vec3& p) { return arch_fill(p); });
        if (asked_.lateral_expansion_mm != 0.0)
            outward("lateral_expansion", "Lateral expansion", [this](const Vec3& p) { return lateral(p); });
        if (asked_.heel_expansion_medial_mm != 0.0 || asked_.heel_expansion_posterior_mm != 0.0 ||
            asked_.heel_expansion_lateral_mm != 0.0)
            outward("heel_expansion", "Heel expansion", [this](const Vec3& p) { return heel(p); });
        for (const SmoothZone& zone : asked_.smooth) {
            if (Zone(zone).crosses_itself()) return crossed(zone);
            smooth(zone);
        }
        if (asked_.cover_mm != 0.0)
            outward("cover", "Room for a cover", [this](const Vec3&) { return asked_.cover_mm; });
        for (const bool medial : {true, false}) {
            const Skive& skive = medial ? asked_.medial_skive : asked_.lateral_skive;
            if (!(skive.depth_mm > 0.0)) continue;
            if (!out_.datum_z) out_.datum_z = lowest_of_heel();
            const auto plane = lay_skive(sample_points(out_.surface, probes_), skive, medial, site_);
            if (!plane) return plane.fault();
            step(medial ? "medial_skive" : "lateral_skive",
                 medial ? "Medial heel skive" : "Lateral heel skive",
                 [&](const Vec2&, const Vec3& p, const Vec3&) { return Vec3(0.0, 0.0, plane->removal(p)); });
        }
        return std::move(out_);
    }

  private:
    using Movement = std::function<Vec3(const Vec2& uv, const Vec3& p, const Vec3& n)>;

    static Fault crossed(const PlanZone& zone) {
        return {FaultKind::check, "dress",
                "The curve of the zone \"" + zone.name + "\" crosses itself: draw it anew.",
                Vec3(zone.outline[0].x(), zone.outline[0].y(), 0.0)};
    }

    double kept(const Vec3& p) const {
        double free = 1.0;
        for (const auto& [zone, margin] : keep_) free *= ease(-zone.inside(p) / std::max(margin, 1e-3));
        return free;
    }

    double arch_fill(const Vec3& p) const {
        const double x = (p.x() - site_.arch_apex.x()) / (0.5 * asked_.arch_fill_length_mm);
        const double y = (p.y() - site_.arch_apex.y()) / (0.5 * asked_.arch_fill_breadth_mm);
        return asked_.arch_fill_mm * bump(x * x + y * y);
    }
    /// Distance from the axis over the half width of the line from heel to 5th head.
    double lateral(const Vec3& p) const {
        const TrimRule& rule = site_.rule;
        const double front = rule.fifth_head.x(), rear = rule.heel_centre.x();
        const double half = border_reach(rule, p.x(), false);
        const double share = (axis_y(rule, std::max(p.x(), rear)) - p.y()) / std::max(half, 1.0);
        const double along = ease((p.x() - rear) / expansion_fade_mm) *
                             (1.0 - ease((p.x() - front + expansion_fade_mm) / expansion_fade_mm));
        return asked_.lateral_expansion_mm * along *
               ease((share - lateral_from) / (lateral_whole - lateral_from));
    }
    /// Medial, posterior and lateral by the squares of sine and cosine round the heel: they sum to one.
    double heel(const Vec3& p) const {
        const Vec2 q = p.head<2>() - site_.rule.heel_centre.head<2>();
        const double behind = std::max(-q.x(), 0.0), r = std::hypot(behind, q.y());
        if (!(r > 0.0)) return 0.0;
        const double across = q.y() / r, back = behind / r;
        const double side = across > 0.0 ? asked_.heel_expansion_medial_mm : asked_.heel_expansion_lateral_mm;
        const double asked = across * across * side + back * back * asked_.heel_expansion_posterior_mm;
        const double share = r / heel_half_width(site_.rule);
        return asked * (1.0 - ease(q.x() / expansion_fade_mm)) *
               ease((share - heel_from) / (heel_whole - heel_from));
    }

    double lowest_of_heel() const {
        double z = 1e300;
        for (const Vec3& p : sample_points(out_.surface, probes_))
            if (p.x() <= site_.rule.heel_centre.x() + heel_half_width(site_.rule)) z = std::min(z, p.z());
        return z;
    }

    void outward(const char* id, const char* title, const std::function<double(const Vec3&)>& amount) {
        step(id, title, [&](const Vec2&, const Vec3& p, const Vec3& n) { return Vec3(-amount(p) * n); });
    }

    std::vector<Vec3> moved(const SplineSurface& from, const Lattice& lattice,
                            const Movement& movement) const {
        LatticeFrames frames = sample_frames(from, lattice);
        parallel_for(lattice.size(), 512, [&](std::size_t begin, std::size_t end) {
            for (std::size_t k = begin; k < end; ++k) {
                const Vec3 p = frames.points[k];
                frames.points[k] += kept(p) * movement(lattice.uv(k), p, frames.normals[k]);
            }
        });
        return std::move(frames.points);
    }

    void step(const std::string& id, const std::string& title, const Movement& movement) {
        SplineSurface after = fit_.fit(moved(out_.surface, samples_, movement));
        settle(id, title, std::move(after), moved(out_.surface, probes_, movement));
    }

    /// 0 where a place is meant to be as it is, 1 away from it.
    double smoothed(const Vec3& p) const {
        constexpr double around_mm = 5.0;
        double free = 1.0;
        for (const DressSite::Real& real : site_.real)
            free *= ease(((p - real.place).norm() - real.reach_mm) / around_mm);
        return free;
    }

    void smooth(const SmoothZone& zone) {
        const Zone curve(zone);
        const std::vector<Vec3> points = sample_points(out_.surface, samples_);
        FitPoints outside;
        const double area = samples_.step_u() * samples_.step_v();
        for (std::size_t k = 0; k < samples_.size(); ++k) {
            if (curve.inside(points[k]) > 0.0) continue;
            outside.uv.push_back(samples_.uv(k));
            outside.position.push_back(points[k]);
            outside.weight.push_back(area);
        }
        constexpr double stiffness = 1e-3;  // decides inside the zone alone: outside the samples are met
        const SplineSurface fair = PenalisedFit(fit_.u(), fit_.v(), {stiffness}).fit(outside);
        const auto towards = [&](const Lattice& lattice) {
            std::vector<Vec3> from = sample_points(out_.surface, lattice);
            const std::vector<Vec3> to = sample_points(fair, lattice);
            for (std::size_t k = 0; k < from.size(); ++k) {
                const double share = zone.strength * kept(from[k]) * smoothed(from[k]) *
                                     ease(curve.inside(from[k]) / std::max(zone.blend_mm, 1e-3));
                from[k] += share * (to[k] - from[k]);
            }
            return from;
        };
        settle("smooth." + zone.name, "Smoothing of " + zone.name, fit_.fit(towards(samples_)),
               towards(probes_));
    }

    void settle(const std::string& id, const std::string& title, SplineSurface after,
                const std::vector<Vec3>& wanted) {
        const std::vector<Vec3> now = sample_points(after, probes_);
        std::vector<double> off(now.size());
        for (std::size_t k = 0; k < now.size(); ++k) off[k] = (now[k] - wanted[k]).norm();
        out_.steps.push_back({id, title, out_.surface, after, std::move(off)});
        out_.surface = std::move(after);
    }

    const Dress& asked_;
    const DressSite& site_;
    GridFit fit_;
    Lattice samples_, probes_;
    std::vector<std::pair<Zone, double>> keep_;
    Dressed out_;
};

}  // namespace

Outcome<Dressed> dress(const SplineSurface& carpet, const Dress& asked,
                       const std::optional<Platform>& platform, const DressSite& site) {
    return Dressing(carpet, asked, site).run(platform);
}

std::vector<DressFigure> figures(const Dressed& dressed, const TrimRegion& inside) {
    std::vector<DressFigure> all;
    for (const DressStep& step : dressed.steps) {
        DressFigure figure;
        figure.id = step.id;
        figure.title = step.title;
        const Lattice lattice = Lattice::over(step.before.u, step.before.v, measure_per_span);
        const double cell = lattice.step_u() * lattice.step_v();
        std::vector<double> volume(lattice.size(), 0.0), largest(lattice.size(), 0.0),
            cosine(lattice.size(), 1.0);
        const auto before = sample_second(step.before, lattice), after = sample_second(step.after, lattice);
        parallel_for(lattice.size(), 512, [&](std::size_t begin, std::size_t end) {
            for (std::size_t k = begin; k < end; ++k) {
                if (!inside.inside(lattice.uv(k))) continue;
                const Vec3 d = after[k].s - before[k].s, du = after[k].su - before[k].su,
                           dv = after[k].sv - before[k].sv;
                const Vec3 &su = before[k].su, &sv = before[k].sv;
                const auto i = static_cast<int>(k) / lattice.nv, j = static_cast<int>(k) % lattice.nv;
                const double share =
                    (i == 0 || i + 1 == lattice.nu ? 0.5 : 1.0) * (j == 0 || j + 1 == lattice.nv ? 0.5 : 1.0);
                // normals point towards the foot: movement against them is plaster added
                volume[k] = -share * cell *
                            d.dot(su.cross(sv) + 0.5 * (su.cross(dv) + du.cross(sv)) + du.cross(dv) / 3.0);
                largest[k] = d.norm();
                cosine[k] = before[k].normal().dot(after[k].normal());
            }
        });
        for (std::size_t k = 0; k < lattice.size(); ++k) {
            figure.volume_mm3 += volume[k];
            if (largest[k] > figure.largest_mm) {
                figure.largest_mm = largest[k];
                figure.where = before[k].s;
            }
            if (inside.inside(lattice.uv(k)) && step.off[k] > figure.fit_mm) {
                figure.fit_mm = step.off[k];
                figure.fit_where = after[k].s;
            }
            if (cosine[k] < figure.least_cosine) {
                figure.least_cosine = cosine[k];
                figure.turned_at = before[k].s;
            }
        }
        all.push_back(std::move(figure));
    }
    return all;
}

}  // namespace archwright::surface
