#include "assets/generator/cast.hpp"

#include <algorithm>
#include <cmath>

#include "assets/generator/cast_edge.hpp"
#include "assets/generator/cast_ink.hpp"
#include "assets/generator/cast_relief.hpp"
#include "engine/base/parallel.hpp"
#include "engine/base/text.hpp"

namespace archwright::generator {

namespace {

constexpr double coarse_edge_mm = 3.0;  // says how much of the foot a cast keeps
constexpr double snap_share = 0.08;     // of an edge: cuts nearer to a vertex go through it
constexpr std::uint64_t debris_stream = 401, wall_stream = 402;
constexpr int most_debris = 1000;

Fault wrong(const std::string& message) {
    return Fault{FaultKind::usage, "cast", message, {}};
}

Outcome<Done> check(const CastSpec& s) {
    struct Size {
        const char* name;
        double value, low, high;
    };
    std::vector<Size> sizes = {
        {"noise_mm", s.noise_mm, 0, 5},
        {"outer_wall_mm", s.outer_wall_mm, 0, 20},
        {"rim.raggedness_mm", s.rim.raggedness_mm, 0, 20},
        {"rim.tears", static_cast<double>(s.rim.tears), 0, 100},
        {"rim.tear_depth_mm", s.rim.tear_depth_mm, 0, 60},
        {"rim.fold_mm", s.rim.fold_mm, 0, 40},
        {"rim.fold_at_deg", s.rim.fold_at_deg, -360, 360},
        {"rim.fold_span_deg", s.rim.fold_span_deg, 1, 360},
        {"rim.height_mm", s.rim.height_mm.value_or(1), 1, 500},
        {"rim.front_height_mm", s.rim.front_height_mm.value_or(1), 1, 500},
        {"toe_cut_x_mm", s.toe_cut_x_mm.value_or(0), -500, 500},
        {"debris", static_cast<double>(s.debris), 0, most_debris},
        {"triangles", static_cast<double>(s.triangles), 500, 10e6},
    };
    for (const Dent& d : s.dents) {
        sizes.push_back({"dent.radius_mm", d.radius_mm, 0.5, 50});
        sizes.push_back({"dent.depth_mm", d.depth_mm, -20, 20});
    }
    for (const AirVoid& v : s.voids) {
        sizes.push_back({"void.radius_mm", v.radius_mm, 0.5, 50});
        sizes.push_back({"void.height_mm", v.height_mm, -20, 20});
    }
    for (const Crease& c : s.creases) {
        sizes.push_back({"crease.width_mm", c.width_mm, 0.2, 20});
        sizes.push_back({"crease.height_mm", c.height_mm, -20, 20});
        sizes.push_back({"crease.bow_mm", c.bow_mm, -50, 50});
    }
    for (const Roughness& r : s.rough) {
        sizes.push_back({"rough.radius_mm", r.radius_mm, 0.5, 100});
        sizes.push_back({"rough.rms_mm", r.rms_mm, 0, 5});
        sizes.push_back({"rough.grain_mm", r.grain_mm, 0.2, 50});
    }
    for (const Hole& h : s.holes) sizes.push_back({"hole.radius_mm", h.radius_mm, 0.1, 100});
    if (s.seam) {
        sizes.push_back({"seam.width_mm", s.seam->width_mm, 0.1, 20});
        sizes.push_back({"seam.height_mm", s.seam->height_mm, -20, 20});
        sizes.push_back({"seam.fade_mm", s.seam->fade_mm, 1, 1000});
        sizes.push_back({"seam.skew_deg", s.seam->skew_deg, -80, 80});
    }
    if (s.heel_flat) {
        sizes.push_back({"heel_flat.depth_mm", s.heel_flat->depth_mm, 0, 15});
        sizes.push_back({"heel_flat.tilt_about_x_deg", s.heel_flat->tilt_about_x_deg, -20, 20});
        sizes.push_back({"heel_flat.tilt_about_y_deg", s.heel_flat->tilt_about_y_deg, -20, 20});
    }
    for (const Size& size : sizes)
        if (!(size.value >= size.low && size.value <= size.high))
            return wrong(std::string(size.name) + " is " + exact(size.value) + "; it may be " +
                         exact(size.low) + " to " + exact(size.high));
    const Mat3 unit = s.rotation * s.rotation.transpose() - Mat3::Identity();
    if (!(unit.norm() < 1e-9 && s.rotation.determinant() > 0.0))
        return wrong("the rotation to file axes is not a proper rotation");
    if (!s.translation_mm.allFinite()) return wrong("the translation to file axes is not finite");
    return Done{};
}

/// The skin of the cast: its points where the scan has them, where the foot has them, and the foot's normals.
struct Skin {
    std::vector<Vec3> seen, base, normal;
    std::vector<Triangle> triangles;
};

/// The left foot's mirror, then the file's axes, then its unit.
Vec3 to_file(const Foot& foot, const CastSpec& spec, const Vec3& p) {
    const Vec3 own = foot.shape().side == Side::left ? Vec3(p.x(), -p.y(), p.z()) : p;
    return (1.0 / mm_per(spec.unit)) * (spec.rotation * own + spec.translation_mm);
}

/// The foot's truth in the file's frame, less the landmarks that the cast has lost.
FootTruth truth_of(const Foot& foot, const CastSpec& spec, const Extent& extent) {
    FootTruth truth = foot.truth();
    std::erase_if(truth.landmarks, [&](const auto& l) { return extent.level(l.second) > 0.0; });
    for (auto& [key, p] : truth.landmarks) p = to_file(foot, spec, p);
    return truth;
}

class Caster {
  public:
    Caster(const Foot& foot, const CastSpec& spec, const Extent& extent, const Relief& relief, const Ink* ink)
        : foot_(foot), spec_(spec), extent_(extent), relief_(relief), ink_(ink) {}

    Outcome<Cast> run(Progress* progress) {
        const Outcome<double> edge = edge_for_count();
        if (!edge) return edge.fault();
        Outcome<TriangleMesh> whole = foot_.mesh(*edge, progress);
        if (!whole) return whole.fault();
        Skin skin = trimmed(*whole, *edge);
        if (skin.triangles.empty()) return wrong("nothing of the foot is left in this cast");
        fold(skin);

        TriangleMesh mesh{skin.seen, skin.triangles, {}};
        if (ink_) mesh.colours = colours(skin);
        const bool inward = spec_.inside_out.value_or(spec_.kind == CastSpec::Kind::plaster_negative);
        if (inward) mesh.flip();
        if (spec_.outer_wall_mm > 0.0) add_outer_wall(mesh, skin, inward);
        add_debris(mesh);
        if (progress && !progress->report("taking the cast", 1.0))
            return Fault{FaultKind::cancelled, "cast", "taking the cast was cancelled", {}};
        return in_file_frame(std::move(mesh));
    }

  private:
    /// Lattice edge that gives the asked number of triangles to what is kept.
    Outcome<double> edge_for_count() const {
        const Outcome<TriangleMesh> coarse = foot_.mesh(coarse_edge_mm);
        if (!coarse) return coarse.fault();
        std::size_t kept = 0;
        for (const Triangle& t : coarse->triangles) {
            const Vec3 middle = (coarse->points[t[0]] + coarse->points[t[1]] + coarse->points[t[2]]) / 3.0;
            if (extent_.level(middle) < 0.0) ++kept;
        }
        if (kept == 0) return wrong("nothing of the foot is left in this cast");
        const double walls = spec_.outer_wall_mm > 0.0 ? 2.0 : 1.0;
        const double edge = coarse_edge_mm * std::sqrt(walls * static_cast<double>(kept) /
                                                       static_cast<double>(spec_.triangles));
        return std::min(edge, coarse_edge_mm);
    }

    Skin trimmed(const TriangleMesh& whole, double edge) const {
        const std::size_t n = whole.points.size();
        std::vector<double> level(n);
        std::vector<Vec3> normal(n), seen(n);
        parallel_for(n, 1024, [&](std::size_t begin, std::size_t end) {
            for (std::size_t i = begin; i < end; ++i) {
                const Vec3& p = whole.points[i];
                level[i] = extent_.level(p);
                normal[i] = foot_.normal(p);
                // far beyond the rim nothing is left to see
                const double h = level[i] < 4.0 * edge ? relief_.faults(p) + relief_.noise(p, i) : 0.0;
                seen[i] = p + h * normal[i];
            }
        });
        const Cut kept = cut(whole.triangles, level, snap_share * edge);
        Skin skin;
        skin.triangles = kept.triangles;
        for (const Cut::Origin& o : kept.points) {
            const auto between = [&](const std::vector<Vec3>& v) -> Vec3 {
                return o.a == o.b ? v[o.a] : v[o.a] + o.t * (v[o.b] - v[o.a]);
            };
            skin.base.push_back(between(whole.points));
            skin.seen.push_back(between(seen));
            skin.normal.push_back(between(normal).normalized());
        }
        return skin;
    }

    void fold(Skin& skin) const {
        if (spec_.kind != CastSpec::Kind::plaster_negative) return;
        for (std::size_t i = 0; i < skin.seen.size(); ++i)
            skin.seen[i] = extent_.folded(skin.seen[i], skin.normal[i]);
    }

    std::vector<TriangleMesh::Colour> colours(const Skin& skin) const {
        std::vector<TriangleMesh::Colour> out(skin.base.size());
        parallel_for(out.size(), 1024, [&](std::size_t begin, std::size_t end) {
            for (std::size_t i = begin; i < end; ++i) out[i] = ink_->colour(skin.base[i], i);
        });
        return out;
    }

    /// The plaster's other side, wavy in thickness, joined to this one along every open edge.
    void add_outer_wall(TriangleMesh& mesh, const Skin& skin, bool inward) const {
        const auto n = static_cast<std::int32_t>(skin.seen.size());
        const Waves thickness(Random(spec_.seed, wall_stream), 25.0, 70.0, 12);
        for (std::size_t i = 0; i < skin.seen.size(); ++i) {
            const double t =
                spec_.outer_wall_mm * (1.0 + 0.12 * std::clamp(thickness(skin.base[i]), -2.0, 2.0));
            mesh.points.push_back(skin.seen[i] + t * skin.normal[i]);
            if (ink_) mesh.colours.push_back(spec_.colours->ground);
        }
        const auto add = [&](Triangle t) {
            if (!inward) std::swap(t[1], t[2]);
            mesh.triangles.push_back(t);
        };
        for (const Triangle& t : skin.triangles) add({t[0] + n, t[1] + n, t[2] + n});
        for (const auto& [a, b] : open_edges(skin.triangles)) {
            add({a, b, b + n});
            add({a, b + n, a + n});
        }
    }

    /// Crumbs: octahedra of 1 to 4 mm, lying about the cast.
    void add_debris(TriangleMesh& mesh) const {
        Random random(spec_.seed, debris_stream);
        const double l = foot_.shape().length_mm;
        for (int i = 0; i < spec_.debris; ++i) {
            const double a = random.between(0.0, 2.0 * std::numbers::pi), r = random.between(0.75, 1.0) * l;
            const Vec3 at(0.3 * l + r * std::cos(a), r * std::sin(a), random.between(0.0, 0.3 * l));
            const auto first = static_cast<std::int32_t>(mesh.points.size());
            for (int axis = 0; axis < 3; ++axis)
                for (double sign : {-1.0, 1.0}) {
                    mesh.points.push_back(at + sign * random.between(0.5, 2.0) * Vec3::Unit(axis));
                    if (ink_) mesh.colours.push_back(spec_.colours->ground);
                }
            for (int x = 0; x < 2; ++x)
                for (int y = 0; y < 2; ++y)
                    for (int z = 0; z < 2; ++z) {
                        Triangle t = {first + x, first + 2 + y, first + 4 + z};
                        if ((x + y + z) % 2 == 0) std::swap(t[1], t[2]);
                        mesh.triangles.push_back(t);
                    }
        }
    }

    Cast in_file_frame(TriangleMesh mesh) const {
        Cast cast;
        cast.mesh = std::move(mesh);
        for (Vec3& p : cast.mesh.points) p = to_file(foot_, spec_, p);
        if (foot_.shape().side == Side::left) cast.mesh.flip();
        cast.truth = truth_of(foot_, spec_, extent_);

        const double scale = 1.0 / mm_per(spec_.unit);
        Mat3 linear = scale * spec_.rotation;
        if (foot_.shape().side == Side::left) linear.col(1) = -linear.col(1);
        cast.design_to_file.topLeftCorner<3, 3>() = linear;
        cast.design_to_file.topRightCorner<3, 1>() = scale * spec_.translation_mm;
        return cast;
    }

    const Foot& foot_;
    const CastSpec& spec_;
    const Extent& extent_;
    const Relief& relief_;
    const Ink* ink_;
};

}  // namespace

Outcome<Cast> take_cast(const Foot& foot, const CastSpec& spec, Progress* progress) {
    if (const auto sound = check(spec); !sound) return sound.fault();
    const Outcome<Extent> extent = Extent::lay(foot, spec);
    if (!extent) return extent.fault();
    const Outcome<Relief> relief = Relief::lay(foot, spec);
    if (!relief) return relief.fault();
    std::optional<Ink> ink;
    if (spec.colours) {
        Outcome<Ink> laid = Ink::lay(foot, spec);
        if (!laid) return laid.fault();
        ink = std::move(laid).value();
    }
    return Caster(foot, spec, *extent, *relief, ink ? &*ink : nullptr).run(progress);
}

Outcome<FootTruth> truth_in_file(const Foot& foot, const CastSpec& spec) {
    if (const auto sound = check(spec); !sound) return sound.fault();
    const Outcome<Extent> extent = Extent::lay(foot, spec);
    if (!extent) return extent.fault();
    return truth_of(foot, spec, *extent);
}

Vec3 in_file(const Foot& foot, const CastSpec& spec, const Vec3& p) {
    return to_file(foot, spec, p);
}

FootShape under_plaster(FootShape shape) {
    shape.toe_web_mm = 9.0;
    return shape;
}

}  // namespace archwright::generator
