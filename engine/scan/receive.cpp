#include "engine/scan/receive.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/mesh/topology.hpp"
#include "engine/scan/clean.hpp"
#include "engine/scan/receive_layers.hpp"
#include "engine/scan/receive_plan.hpp"
#include "engine/scan/receive_samples.hpp"
#include "engine/scan/side_cues.hpp"
#include "engine/scan/up.hpp"

namespace archwright::scan {
namespace {

constexpr std::size_t sample_count = 24000;
constexpr double cut_share = 0.4;  // of the extent: a longer loop may be a cut through the toes, not a hole
constexpr std::size_t least_triangles = 200;  // fewer cannot show a foot

Fault refused(const std::string& message) {
    return {FaultKind::input, "receive", message, std::nullopt};
}
Fault cancelled() {
    return {FaultKind::cancelled, "receive", "Receiving the scan was cancelled.", std::nullopt};
}

double angle_between(const Vec3& a, const Vec3& b) {
    return degrees(std::acos(std::clamp(a.normalized().dot(b.normalized()), -1.0, 1.0)));
}

/// One way the scan could lie, looked at as a foot.
struct Stance {
    Vec3 up = Vec3::UnitZ();  ///< file coordinates, before levelling
    Laying laying;
    double score = 0.0;          ///< how much it looks like a foot on its sole
    double contact_share = 0.0;  ///< of the surface
};

/// A foot lying on its side also has contact, but no heel and toes, and no side: the vote for these decides
/// between ways up that contact alone leaves close. Stated toes have no say in it: a wrong word about them
/// must not turn the foot over.
Stance stance(const Samples& samples, const UpCandidate& up, const std::vector<Vec3>& edge) {
    Stance s;
    s.laying = lay(samples, up.up, std::nullopt, edge);
    s.up = up.up;
    s.contact_share = up.contact_share;
    const double side = propose_side(side_cues(s.laying.plan, 1.0)).confidence;
    s.score = up.score * std::max(0.05, s.laying.toes.confidence) * std::max(0.2, side);
    return s;
}

/// Best first. A stated way up comes first whatever it scores.
std::vector<Stance> stances_of(const Samples& samples, const std::optional<Opening>& opening,
                               const Stated& stated, const std::vector<Vec3>& edge) {
    std::vector<Stance> stances;
    const std::vector<UpCandidate> candidates = find_up(samples, opening);
    if (candidates.empty() || !(candidates.front().score > 0.0))
        return stances;  // nothing could touch a ground
    for (const UpCandidate& c : candidates)
        if (c.score > 0.2 * candidates.front().score) stances.push_back(stance(samples, c, edge));
    std::stable_sort(stances.begin(), stances.end(),
                     [](const Stance& a, const Stance& b) { return a.score > b.score; });
    if (stated.up) {
        UpCandidate said{stated.up->normalized(), candidates.front().score, 0.0};
        for (const UpCandidate& c : candidates)
            if (angle_between(c.up, said.up) < 30.0)
                said.contact_share = std::max(said.contact_share, c.contact_share);
        if (said.contact_share == 0.0) said.contact_share = candidates.front().contact_share;
        stances.insert(stances.begin(), stance(samples, said, edge));
    }
    return stances;
}

/// From the shape alone: a stated way up stands first in the list and is passed over.
Proposal<Vec3> propose_up(const std::vector<Stance>& stances, bool stated) {
    const std::size_t first = stated && stances.size() > 1 ? 1 : 0;
    const Stance& best = stances[first];
    const double ratio =
        first + 1 < stances.size() && best.score > 0.0 ? stances[first + 1].score / best.score : 0.0;
    Proposal<Vec3> proposal;
    proposal.value = best.laying.plan.posture.up();
    proposal.confidence = 1.0 - ratio;
    proposal.clear = ratio <= tolerance::up_second_best;
    proposal.reason = rounded(100.0 * best.contact_share, 0) +
                      " % of the surface would lie on the ground; the next best way up scores " +
                      rounded(100.0 * ratio, 0) + " % of this one";
    return proposal;
}

/// The open share of the sole when there is no sole to stand on, else nothing. An opening where the sole
/// should be looks down: then the way up is the other way than openings look.
std::optional<double> missing_sole(const Stance& best, bool clear, const Samples& samples,
                                   const std::optional<Opening>& opening, const std::vector<Vec3>& edge) {
    const double open = open_share(best.laying.plan);
    if (open >= tolerance::sole_open_refused) return open;
    const double length = nominal_length / best.laying.plan.posture.scale;
    const double contact =
        best.contact_share * samples.area_each * static_cast<double>(samples.size()) / (length * length);
    const bool stands = contact >= tolerance::least_contact;
    if (stands && (clear || !opening)) return std::nullopt;
    if (!opening) return 1.0 - contact / tolerance::least_contact;
    const Laying over = lay(samples, -opening->normal, std::nullopt, edge);
    const double open_over = open_share(over.plan);
    if (!stands) return std::max(open_over, 1.0 - contact / tolerance::least_contact);
    if (over.toes.clear && open_over >= tolerance::sole_open_refused) return open_over;
    return std::nullopt;
}

/// Share of a few samples that have another sheet within 0.6 to 8 mm along their normal.
double second_layer_share(const Plan& plan, double mm) {
    constexpr std::size_t queries = 600;
    constexpr double nearest_mm = 0.6, farthest_mm = 8.0;
    constexpr double slant = 0.5;  // lateral over along: rough surfaces' own normals lean this far
    const std::size_t stride = std::max<std::size_t>(1, plan.position.size() / queries);
    // sorted by x, so that a query looks at a thin slice only
    std::vector<std::pair<double, std::size_t>> by_x(plan.position.size());
    for (std::size_t i = 0; i < by_x.size(); ++i) by_x[i] = {plan.position[i].x(), i};
    std::sort(by_x.begin(), by_x.end());
    std::size_t asked = 0, found = 0;
    for (std::size_t i = 0; i < plan.position.size(); i += stride) {
        ++asked;
        const Vec3& p = plan.position[i];
        const Vec3& n = plan.normal[i];
        const double reach = 1.2 * farthest_mm / mm;
        auto it = std::lower_bound(by_x.begin(), by_x.end(), std::pair{p.x() - reach, std::size_t{0}});
        for (; it != by_x.end() && it->first < p.x() + reach; ++it) {
            const Vec3 d = mm * (plan.position[it->second] - p);
            const double along = d.dot(n);
            if (std::abs(along) < nearest_mm || std::abs(along) > farthest_mm) continue;
            if ((d - along * n).norm() > slant * std::abs(along)) continue;
            if (std::abs(n.dot(plan.normal[it->second])) < 0.8) continue;
            ++found;
            break;
        }
    }
    return asked == 0 ? 0.0 : static_cast<double>(found) / static_cast<double>(asked);
}

/// Keeps the layer on the foot's side of a wall that was scanned from both sides.
std::optional<Check> keep_inner_layer(const TriangleMesh& cleaned, const Topology& topology, const Plan& plan,
                                      double mm_per_unit, std::vector<std::uint8_t>& usable) {
    TriangleMesh mm_mesh = cleaned;
    for (Vec3& p : mm_mesh.points) p *= mm_per_unit;
    const std::optional<DoubleWall> wall = find_double_wall(mm_mesh);
    if (!wall) return std::nullopt;
    usable = inner_layer(cleaned, topology, plan, mm_per_unit);
    Check check;
    check.id = "receive.double_wall";
    check.title = "Cast scanned on both faces";
    check.verdict = Verdict::look;
    check.figure = wall->gap;
    check.unit = "mm";
    check.message =
        rounded(100.0 * wall->share, 0) + " % of the surface has a second layer " + rounded(wall->gap, 1) +
        " mm away. The inner one, which lay against the foot, is used; the outer one is left out.";
    return check;
}

Proposal<bool> winding(const Plan& plan) {
    std::size_t up = 0, all = 0;
    for (std::size_t i = 0; i < plan.position.size(); ++i) {
        const double t = Plan::share(plan.position[i].x());
        if (plan.position[i].z() > 8.0 || t > 0.76 || std::abs(plan.normal[i].z()) < 0.8) continue;
        ++all;
        if (plan.normal[i].z() > 0.0) ++up;
    }
    Proposal<bool> proposal;
    if (all == 0) return proposal;
    const double share = static_cast<double>(up) / static_cast<double>(all);
    proposal.value = share > 0.5;
    const double agreeing = proposal.value ? share : 1.0 - share;
    proposal.confidence = 2.0 * agreeing - 1.0;
    proposal.clear = agreeing >= tolerance::winding_clear;
    proposal.reason = rounded(100.0 * agreeing, 0) + " % of the sole faces " +
                      (proposal.value ? "into the foot (scanned from inside)" : "the ground");
    return proposal;
}

template <class T>
Check check_direction(const char* id, const char* title, const Proposal<T>& proposal, bool stated,
                      const std::string& what) {
    Check check;
    check.id = id;
    check.title = title;
    check.figure = proposal.confidence;
    check.message = (stated ? "As stated; " : "From the shape: ") + proposal.reason + ".";
    if (stated && !proposal.clear) {
        check.verdict = Verdict::look;
        check.message += " The shape alone does not show it clearly.";
    }
    if (!stated && !proposal.clear) {
        check.verdict = Verdict::stop;
        check.signable = false;
        check.message = "State " + what + ": the shape does not tell it clearly (" + proposal.reason + ").";
    }
    return check;
}

Check check_winding(const Proposal<bool>& proposal, const std::optional<bool>& stated) {
    Check check = check_direction("receive.inside_out", "Inside and outside", proposal, stated.has_value(),
                                  "whether the scan was taken from inside");
    if (stated && *stated != proposal.value && proposal.clear) {
        check.verdict = Verdict::stop;
        check.signable = false;
        check.message = "Stated against the shape: " + proposal.reason + ".";
    }
    // a copy mirrored by software has its winding turned over just as a scan from inside has
    if (!stated && proposal.clear && proposal.value) {
        check.verdict = Verdict::look;
        check.message += " Or the file was mirrored by software, and is of the other foot: check the side.";
    }
    return check;
}

std::string region(double share) {
    return share < 0.3    ? "under the heel"
           : share < 0.6  ? "under the arch"
           : share < 0.78 ? "under the ball"
                          : "under the toes";
}

Check check_sole(const SoleCoverage& sole, const Plan& plan) {
    Check check;
    check.id = "receive.sole";
    check.title = "Sole complete";
    check.figure = 100.0 * sole.open_share;
    check.limit = 100.0 * tolerance::sole_open_look;
    check.unit = "%";
    if (sole.open_share > tolerance::sole_open_look || !sole.holes.empty()) check.verdict = Verdict::look;
    check.message = rounded(100.0 * sole.open_share, 1) + " % of the sole is open.";
    constexpr std::size_t named = 5;
    for (std::size_t i = 0; i < std::min(named, sole.holes.size()); ++i)
        check.message += " Hole of " + rounded(sole.holes[i].diameter_mm, 1) + " mm " +
                         region(Plan::share(plan.posture.to_working(sole.holes[i].centre).x())) + ".";
    if (sole.holes.size() > named)
        check.message += " " + std::to_string(sole.holes.size() - named) + " smaller ones.";
    return check;
}

Check check_rim(const RimReport& rim) {
    Check check;
    check.id = "receive.rim";
    check.title = "Rim of the cast";
    if (!rim.open) {
        check.message = "The surface is closed.";
        return check;
    }
    check.figure = rim.ragged_mm;
    check.limit = tolerance::rim_ragged_mm;
    check.unit = "mm";
    check.message = "The rim is " + rounded(rim.perimeter_mm, 0) + " mm round and ragged by " +
                    rounded(rim.ragged_mm, 1) + " mm";
    if (rim.folded) check.message += ", folded over along " + rounded(rim.folded_mm, 0) + " mm";
    check.message += ".";
    if (rim.excluded_mm2 > 0.0) {
        check.verdict = Verdict::look;
        check.message += " " + rounded(rim.excluded_mm2 / 100.0, 1) + " square cm beside it are not used.";
    }
    return check;
}

Check check_toes(bool cut, bool lateral_missing, double length_mm) {
    Check check;
    check.id = "receive.toes_present";
    check.title = "Toes";
    if (cut) {
        check.verdict = Verdict::look;
        check.message = "The cast ends before the toes; the foot length, " + rounded(length_mm, 0) +
                        " mm, is estimated from the ball.";
    } else if (lateral_missing) {
        check.message = "The lateral toes are missing, which is no fault.";
    } else {
        check.message = "The toes are there.";
    }
    return check;
}

}  // namespace

Outcome<Reception> receive(const TriangleMesh& cleaned, const std::optional<LengthUnit>& declared,
                           const Stated& stated, Progress* progress) {
    const auto going = [&](const char* what, double fraction) {
        return progress == nullptr || progress->report(what, fraction);
    };
    if (cleaned.triangles.size() < least_triangles)
        return refused("The scan has only " + std::to_string(cleaned.triangles.size()) +
                       " triangles: too few to show a foot. Export it again at full resolution.");
    const double extent = cleaned.box().size().maxCoeff();
    if (!(extent > 0.0) || !std::isfinite(extent)) return refused("The scan has no extent. Export it again.");
    if ((stated.up && !(stated.up->norm() > 0.0)) || (stated.toes && !(stated.toes->norm() > 0.0)))
        return Fault{FaultKind::usage, "receive", "A stated direction has no length.", std::nullopt};

    if (!going("Sampling the scan", 0.0)) return cancelled();
    Samples samples = take_samples(cleaned, sample_count);
    if (samples.size() < sample_count / 2) return refused("The scan has no area. Export it again.");
    Vec3 middle = Vec3::Zero();
    for (const Vec3& p : samples.position) middle += p;
    middle /= static_cast<double>(samples.size());

    if (!going("Looking for the rim", 0.2)) return cancelled();
    const Topology topology = find_topology(cleaned);
    const std::vector<BoundaryLoop> loops = boundary_loops(cleaned, topology);
    const int rim = find_rim(loops, extent);
    std::optional<Opening> opening;
    if (rim >= 0) opening = opening_of(cleaned, loops[static_cast<std::size_t>(rim)], middle);
    std::vector<Vec3> edge;  // of every opening large enough to be a cut
    for (const BoundaryLoop& loop : loops)
        if (loop.length > cut_share * extent)
            for (const std::int32_t p : loop.points) edge.push_back(cleaned.points[p]);

    if (!going("Finding up, toes and side", 0.5)) return cancelled();
    Reception r;
    std::vector<Stance> stances = stances_of(samples, opening, stated, edge);
    if (stances.empty())
        return refused(
            "No side of the scan could stand on the ground: it shows no surface of a foot. Look at it in the "
            "scanner's program, and export the cast again.");
    r.toes = stances.front().laying.toes;  // from the shape alone, whatever was stated
    if (stated.toes) stances.front().laying = lay(samples, stances.front().up, stated.toes, edge);
    Laying laying = stances.front().laying;
    r.up = propose_up(stances, stated.up.has_value());
    const Vec3 up_of_shape = r.up.value;
    const bool up_of_shape_clear = r.up.clear;
    r.foot_length = nominal_length / laying.plan.posture.scale;
    r.toes_cut = laying.plan.toes_cut;
    r.sole.open_share = open_share(laying.plan);
    if (const auto share = missing_sole(stances.front(), r.up.clear || stated.up, samples, opening, edge))
        return refused("The sole is missing: " + rounded(100.0 * *share, 0) + " % of it is open" +
                       (stated.up
                            ? ", with up as it was stated. State up again, or scan the cast again with its "
                              "sole."
                            : ". This scan cannot be used; scan the cast again with its sole."));

    const auto find_unit = [&] {
        r.units = unit_candidates(r.foot_length, r.toes_cut);
        r.unit = propose_unit(r.units, declared);
        r.unit_of_shape = r.unit.value;
        const Check check = check_unit(r.unit, r.units, declared, stated.unit);
        if (stated.unit) r.unit = {*stated.unit, 1.0, true, "stated"};
        return check;
    };
    Check unit_check = find_unit();

    if (!going("Looking for a second layer", 0.7)) return cancelled();
    std::optional<Check> layer_check;
    if (second_layer_share(laying.plan, mm_per(r.unit.value) / laying.plan.posture.scale) >
        tolerance::double_wall_suspected) {
        layer_check = keep_inner_layer(cleaned, topology, laying.plan, mm_per(r.unit.value), r.usable);
        if (layer_check) {
            samples = take_samples(cleaned, sample_count, r.usable);
            laying = lay(samples, laying.plan.posture.up(), stated.toes, edge);
            r.foot_length = nominal_length / laying.plan.posture.scale;
            r.sole.open_share = open_share(laying.plan);
            unit_check = find_unit();  // the outer layer made the foot longer
        }
    }
    const double mm_per_unit = mm_per(r.unit.value);
    const Plan& plan = laying.plan;
    const bool up_disputed = stated.up && angle_between(up_of_shape, plan.posture.up()) > 45.0;
    r.up.value = plan.posture.up();
    const double toes_off = angle_between(r.toes.value, laying.plan.posture.toes());
    r.toes.value = laying.plan.posture.toes();
    r.inside_out = winding(plan);
    const Check winding_check = check_winding(r.inside_out, stated.inside_out);
    if (stated.inside_out) r.inside_out = {*stated.inside_out, 1.0, true, "stated"};
    r.side_cues = side_cues(plan, mm_per_unit / plan.posture.scale);
    r.side = propose_side(r.side_cues);
    std::vector<Vec3> edge_working;
    for (const Vec3& p : edge) edge_working.push_back(plan.posture.to_working(p));
    r.lateral_toes_missing = lateral_toes_missing(plan, stated.side.value_or(r.side.value), edge_working);

    if (!going("Examining the rim", 0.9)) return cancelled();
    r.sole.holes = sole_holes(cleaned, loops, rim, plan, mm_per_unit);
    if (rim >= 0)
        r.rim = examine_rim(cleaned, topology, loops[static_cast<std::size_t>(rim)], *opening, mm_per_unit,
                            r.usable);

    r.checks = {unit_check, check_direction("receive.up", "Which way is up", r.up, stated.up.has_value(),
                                            "which way is up")};
    if (up_disputed) {
        r.checks.back().verdict = up_of_shape_clear ? Verdict::stop : Verdict::look;
        r.checks.back().signable = false;
        r.checks.back().message += " The shape would lie on another side: state up again.";
    }
    r.checks.push_back(check_direction("receive.toes", "Heel and toes", r.toes, stated.toes.has_value(),
                                       "which end is the toes'"));
    constexpr double other_way = 45.0;
    if (stated.toes && toes_off > other_way) {
        r.checks.back().verdict = r.toes.clear ? Verdict::stop : Verdict::look;
        r.checks.back().signable = false;
        r.checks.back().message += " By the shape they lie " + rounded(toes_off, 0) +
                                   " degrees from where they were stated: state the toes again.";
    }
    r.checks.push_back(check_side(r.side, stated.side));
    r.checks.push_back(winding_check);
    r.checks.push_back(check_sole(r.sole, plan));
    if (layer_check) r.checks.push_back(*layer_check);
    r.checks.push_back(check_rim(r.rim));
    r.checks.push_back(check_toes(r.toes_cut, r.lateral_toes_missing, r.foot_length * mm_per_unit));
    return r;
}

}  // namespace archwright::scan
