#include "engine/flex/bench.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <span>
#include <utility>

#include "engine/base/text.hpp"
#include "engine/flex/bench_ground.hpp"
#include "engine/flex/bench_large.hpp"
#include "engine/flex/bench_load.hpp"
#include "engine/flex/bench_stand.hpp"

namespace archwright::flex {

namespace {

/// Of the load under which the shell settles (our choice: enough to close the contact, little enough to be
/// called initial).
constexpr double preload_share = 0.05;
constexpr std::array<double, 5> load_steps{preload_share, 2.0 * preload_share, 0.25, 0.5, 1.0};
/// Of the load, past it: twice the mean load on the arch is its mean and two standard deviations.
const std::vector<double> shares_further{1.5, 2.0};
constexpr std::array<double, 2> secant_steps{preload_share, 1.0};
/// Elements of the shell on which a start is found, and the finest of those that tell how an answer moves.
constexpr double start_element_mm = 9.0, variation_element_mm = 3.0;
constexpr double variation_mm = 2.0;
/// Of the arch's height, and of a turn: beyond, small deflections say too little (our choice; at a tenth of
/// the arch a 3 mm shell goes down some 40 % further than they say).
constexpr double large_share = 0.1, large_turn_deg = 5.0;
/// Ways to stand that are kept; a run of all loads with all variations needs some twenty.
constexpr std::size_t most_stands = 40;

/// Settles under the preload and takes the load up in steps.
struct Course {
    std::vector<BenchPoint> points;  ///< deflections not yet counted from the first
    ContactResult last;
};

/// A stand with its load.
struct Loaded {
    BenchStand* stand = nullptr;
    BenchLoad load;
    const surface::TrimRule* rule = nullptr;
};

Outcome<Course> take_up(Loaded& loaded, LoadCase load_case, double load, std::span<const double> steps,
                        const ContactStart& begin, Progress* progress) {
    Course course;
    if (!on_ground(load_case)) {  // linear: one answer tells all
        auto solved = loaded.stand->linear().solve(loaded.load.forces(load));
        if (!solved) return solved.fault();
        const double whole = loaded.load.deflection(solved->displacement);
        const double slide = distal_slide(*loaded.stand, solved->displacement);
        for (const double step : steps) {
            const double share = step == steps.front() ? 0.0 : step;  // nothing to settle on
            course.points.push_back({share * load, share * whole, share * slide});
        }
        course.last.displacement = std::move(solved->displacement);
        return course;
    }
    ContactStart start = begin;
    for (const double share : steps) {
        auto solved = loaded.stand->contact().solve(loaded.load.forces(share * load), start, progress);
        if (!solved) {
            Fault named = bench_fault(load_case, solved.fault().message);
            named.kind = solved.fault().kind;
            return named;
        }
        const BenchStand& stand = *loaded.stand;
        const BenchPoint point{
            share * load, loaded.load.deflection(solved->displacement),
            distal_slide(stand, solved->displacement),
            arch_force(*loaded.rule, stand, loaded.stand->contact().problem().contacts, solved->contacts)};
        course.points.push_back(point);
        start = {solved->displacement, {}, solved->anchors};
        for (const ContactAnswer& answer : solved->contacts)
            start.touching.push_back(answer.state != ContactAnswer::State::open);
        course.last = std::move(*solved);
    }
    return course;
}

/// Fault of steps that do not rise to 1 or begin with a load too small.
Outcome<Done> check_steps(LoadCase load_case, const std::vector<double>& steps, double load) {
    if (steps.empty()) return Done{};
    bool good =
        steps.size() >= 2 && steps.back() == 1.0 && steps.front() * load >= least_load * preload_share;
    for (std::size_t i = 0; i + 1 < steps.size(); ++i) good = good && steps[i] < steps[i + 1];
    if (!good)
        return bench_fault(load_case, "the steps of the load do not rise from above 0 to the whole of it.");
    return Done{};
}

/// Secant from the settled state to the whole load.
double secant(const Course& course) {
    const BenchPoint &first = course.points.front(), &last = course.points.back();
    return (last.load - first.load) / (last.deflection - first.deflection);
}

void tell_stress(const BenchSubject& subject, BenchResult& result) {
    for (std::size_t t = 0; t < result.stress.size(); ++t) {
        Vec3 at = Vec3::Zero();
        for (const std::int32_t corner : result.model.triangles[t]) at += result.model.points[corner] / 3.0;
        const auto keep = [&](const FaceStress& face, BenchStress& most) {
            if (face.von_mises() > most.mpa)
                most = {face.von_mises(), at, face.von_mises() / subject.strength_mpa};
        };
        keep(result.stress[t].foot_side, result.foot_side);
        keep(result.stress[t].underside, result.underside);
    }
}

/// Of the middle surface's apex over the lowest place of the device.
double arch_height(const Middle& middle, const BenchSubject& subject) {
    const Vec2 apex = arch_apex(middle.model, *subject.rule);
    double low = 1e300, height = 0.0, nearest = 1e300;
    for (const Vec3& p : middle.place) low = std::min(low, p.z());
    for (const Vec3& p : middle.model.points)
        if (const double d = (p.head<2>() - apex).squaredNorm(); d < nearest) {
            nearest = d;
            height = p.z();
        }
    return height - low;
}

void tell_ground(const BenchSubject& subject, const BenchStand& stand, const std::vector<Contact>& contacts,
                 const std::vector<ContactAnswer>& last, BenchResult& result) {
    result.touches.assign(contacts.size(), 0);
    for (std::size_t c = 0; c < last.size(); ++c) {
        const ContactAnswer& answer = last[c];
        if (answer.state == ContactAnswer::State::open) continue;
        result.touches[c] = 1;
        const GroundPart part = ground_part(*subject.rule, stand.body().middle.place[c].head<2>());
        const bool distal = part == GroundPart::distal, heel = part == GroundPart::heel;
        (distal ? result.distal_n
         : heel ? result.heel_n
                : result.midfoot_n) += upward(stand, contacts[c], answer);
        result.midfoot_down = result.midfoot_down || (!distal && !heel);
        result.slides = result.slides || answer.state == ContactAnswer::State::slides;
    }
}

/// Share of the shell's area whose wall is under `wall_mm`, triangle by triangle.
double share_under(const Model& model, double wall_mm) {
    double under = 0.0, all = 0.0;
    for (const Triangle& t : model.triangles) {
        const Vec3 &a = model.points[t[0]], &b = model.points[t[1]], &c = model.points[t[2]];
        const double area = (b - a).cross(c - a).norm();
        all += area;
        if (model.wall_mm[t[0]] + model.wall_mm[t[1]] + model.wall_mm[t[2]] < 3.0 * wall_mm) under += area;
    }
    return under / all;
}

/// With large deflections up to the load.
Outcome<LargeTakeUp> take_up_far(Loaded& loaded, LoadCase load_case, double load,
                                 std::span<const double> steps, bool past, Progress* progress) {
    const std::vector<double> further =
        past && load_case == LoadCase::arch_press ? shares_further : std::vector<double>();
    std::vector<double> shares(steps.begin(), steps.end());
    const bool settles = on_ground(load_case);
    if (!settles) shares.erase(shares.begin());
    auto taken =
        take_up_large(*loaded.stand, loaded.load, *loaded.rule, load_case, load, shares, further, progress);
    if (taken && !settles) taken->points.insert(taken->points.begin(), BenchPoint{});
    return taken;
}

/// How far it moves over what is too far for small deflections: above 1 it is.
double too_far(LoadCase load_case, const Middle& middle, const BenchSubject& subject, double moved) {
    return load_case == LoadCase::torsion ? moved / large_turn_deg
                                          : moved / (large_share * arch_height(middle, subject));
}

}  // namespace

struct Bench::Inside {
    BenchSubject subject;
    std::optional<BenchResult> last;  ///< without what moves it, of these:
    BenchSetting last_setting;
    std::map<double, std::shared_ptr<const BenchBody>> bodies;
    std::vector<std::unique_ptr<BenchStand>> stands;

    Outcome<std::shared_ptr<const BenchBody>> body(double element_mm, Progress* progress) {
        std::shared_ptr<const BenchBody>& kept = bodies[element_mm];
        if (kept == nullptr) {
            auto made = bench_body(subject, element_mm, progress);
            if (!made) return made.fault();
            kept = std::make_shared<const BenchBody>(std::move(*made));
        }
        return kept;
    }

    Outcome<Loaded> loaded(LoadCase load_case, const BenchSupport& support, const Vec2& moved,
                           double element_mm, Progress* progress) {
        const auto body = this->body(element_mm, progress);
        if (!body) return body.fault();
        const Middle& middle = (*body)->middle;
        Loaded loaded;
        loaded.rule = subject.rule;
        loaded.load = place_load(*subject.rule, middle.model, load_case, moved);
        if (loaded.load.shares.empty()) return bench_fault(load_case, "the load lies beside the shell.");
        std::optional<BenchSupport> on;
        std::optional<BenchPose> pose = BenchPose{};
        if (on_ground(load_case)) {
            on = support;
            pose = put_down(middle.place, subject.rule->heel_centre, loaded.load.at, support.bed_shape);
            if (!pose)
                return bench_fault(load_case, support.bed_shape.empty()
                                                  ? "the load does not stand between the places the shell "
                                                    "rests on."
                                                  : "the shell finds no rest on that bed under the load.");
        }
        const auto same = std::find_if(stands.begin(), stands.end(),
                                       [&](const auto& stand) { return stand->is(*body, on, *pose); });
        if (same != stands.end()) {
            loaded.stand = same->get();
        } else {
            auto stand = on ? BenchStand::on_ground(subject, *body, *on, *pose, progress)
                            : BenchStand::held(subject, *body, progress);
            if (!stand) return stand.fault();
            if (stands.size() == most_stands) stands.erase(stands.begin());
            stands.push_back(std::make_unique<BenchStand>(std::move(*stand)));
            loaded.stand = stands.back().get();
        }
        loaded.load.up = loaded.stand->up();
        return loaded;
    }

    Outcome<double> stiffness(LoadCase load_case, const BenchSupport& support, const Vec2& moved,
                              double element_mm, double load, Progress* progress) {
        auto at = loaded(load_case, support, moved, element_mm, progress);
        if (!at) return at.fault();
        const auto course = take_up(*at, load_case, load, secant_steps, {}, progress);
        if (!course) return course.fault();
        return secant(*course);
    }

    /// Without what moves it.
    Outcome<BenchResult> answer(LoadCase load_case, const BenchSetting& setting, double load,
                                Progress* progress);
    Outcome<Done> tell_variations(LoadCase load_case, const BenchSetting& setting, double load,
                                  BenchResult& result, Progress* progress);
};

Outcome<Done> Bench::Inside::tell_variations(LoadCase load_case, const BenchSetting& setting, double load,
                                             BenchResult& result, Progress* progress) {
    const double element_mm = std::max(setting.element_mm, variation_element_mm);
    const auto base = stiffness(load_case, setting.support, setting.moved, element_mm, load, progress);
    if (!base) {
        if (base.fault().kind == FaultKind::cancelled) return base.fault();
        result.variations.push_back({"other places and supports", {}, base.fault().message, false});
        return Done{};
    }
    const auto tell = [&](const std::string& what, const Vec2& moved, const BenchSupport& support,
                          bool of_support) -> Outcome<Done> {
        const auto other = stiffness(load_case, support, moved, element_mm, load, progress);
        if (!other && other.fault().kind == FaultKind::cancelled) return other.fault();
        BenchVariation variation{what, {}, {}, of_support};
        if (other)
            variation.change = *other / *base - 1.0;
        else
            variation.why_not = other.fault().message;
        result.variations.push_back(std::move(variation));
        return Done{};
    };
    struct Way {
        const char* word;
        Vec2 way;
    };
    for (const Way& way : {Way{"forward", Vec2(1, 0)}, Way{"back", Vec2(-1, 0)}, Way{"medially", Vec2(0, 1)},
                           Way{"laterally", Vec2(0, -1)}})
        if (const auto told = tell(rounded(variation_mm, 0) + " mm " + way.word,
                                   setting.moved + variation_mm * way.way, setting.support, false);
            !told)
            return told.fault();
    if (!on_ground(load_case)) return Done{};
    const auto with = [&](double friction, double spring, double bed) {
        BenchSupport other = setting.support;
        other.friction = friction;
        other.distal_spring_n_mm = spring;
        other.bed_n_mm3 = bed;
        return other;
    };
    struct Other {
        const char* what;
        BenchSupport support;
    };
    for (const Other& other :
         {Other{"no friction", with(0.0, 0.0, 0.0)}, Other{"friction 0.6", with(0.6, 0.0, 0.0)},
          Other{"distal edge held in plane by 50 N/mm", with(setting.support.friction, 50.0, 0.0)},
          Other{"a bed of 1 N/mm3", with(setting.support.friction, 0.0, 1.0)}})
        if (const auto told = tell(other.what, setting.moved, other.support, true); !told)
            return told.fault();
    return Done{};
}

Bench::Bench(BenchSubject subject) : inside_(std::make_unique<Inside>()) {
    inside_->subject = std::move(subject);
}
Bench::Bench(Bench&&) noexcept = default;
Bench& Bench::operator=(Bench&&) noexcept = default;
Bench::~Bench() = default;

const BenchSubject& Bench::subject() const {
    return inside_->subject;
}

Outcome<BenchResult> Bench::run(LoadCase load_case, const BenchSetting& setting, Progress* progress) {
    Inside& in = *inside_;
    const BenchSubject& subject = in.subject;
    const double load = setting.load ? *setting.load : own_load(load_case, subject.body_mass_kg);
    if (!(load >= least_load && load <= most_load))
        return bench_fault(load_case, "a load of " + exact(load) + " is none: choose " + exact(least_load) +
                                          " to " + exact(most_load) + ".");
    if (!(subject.strength_mpa > 0.0)) return bench_fault(load_case, "the material has no strength.");
    if (const auto good = check_support(setting.support); !good) return good.fault();
    if (const auto good = check_steps(load_case, setting.steps, load); !good) return good.fault();
    // one name for all of its solutions
    std::optional<Progress::Stretch> named;
    if (progress != nullptr) named.emplace(*progress, title(load_case), 0.0, 1.0);
    BenchSetting plain = setting;
    plain.sensitivity = false;
    if (!in.last || in.last->load_case != load_case || in.last->load != load || !(in.last_setting == plain)) {
        auto answer = in.answer(load_case, plain, load, progress);
        if (!answer) return answer.fault();
        in.last = std::move(*answer);
        in.last_setting = plain;
    }
    BenchResult result = *in.last;
    if (setting.sensitivity && result.gives)
        if (const auto told = in.tell_variations(load_case, setting, load, result, progress); !told)
            return told.fault();
    return result;
}

Outcome<BenchResult> Bench::Inside::answer(LoadCase load_case, const BenchSetting& setting, double load,
                                           Progress* progress) {
    Inside& in = *this;
    ContactStart begin;
    std::optional<ContactResult> rough_result;
    std::optional<ContactProblem> rough_problem;
    if (on_ground(load_case) && setting.element_mm < start_element_mm &&
        setting.deflections != Deflections::large) {
        auto rough = in.loaded(load_case, setting.support, setting.moved, start_element_mm, progress);
        if (!rough) return rough.fault();
        auto solved = rough->stand->contact().solve(rough->load.forces(preload_share * load), {}, progress);
        if (!solved && solved.fault().kind == FaultKind::cancelled) return solved.fault();
        if (solved) {
            rough_result = std::move(*solved);
            rough_problem = rough->stand->contact().problem();
        }
    }
    auto at = in.loaded(load_case, setting.support, setting.moved, setting.element_mm, progress);
    if (!at) return at.fault();
    if (rough_result) begin = start_from(*rough_problem, *rough_result, at->stand->contact().problem());
    const std::span<const double> steps =
        setting.steps.empty() ? std::span<const double>(load_steps) : std::span<const double>(setting.steps);
    const Middle& middle = at->stand->body().middle;
    BenchResult result;
    result.load_case = load_case;
    result.load = load;
    result.load_at = at->load.at;
    result.model = middle.model;
    result.uv = middle.uv;
    // deflections and slides from where it had settled
    const auto from_settled = [](std::vector<BenchPoint> points, const BenchPoint& settled) {
        for (BenchPoint& point : points) {
            point.deflection -= settled.deflection;
            point.distal_slide_mm -= settled.distal_slide_mm;
        }
        return points;
    };
    const auto counted = [&](const std::vector<BenchPoint>& points) {
        result.curve = from_settled(points, points[0]);
        result.preload = points[0].load;
        result.settled_mm = points[0].deflection;
        return result.curve.back().deflection;
    };
    bool far = setting.deflections == Deflections::large;
    result.why_deflections = "as asked";
    if (setting.deflections == Deflections::automatic) {
        const double thin = share_under(middle.model, thin_wall_mm);
        far = thin > thin_share;
        result.why_deflections = "the wall is under " + rounded(thin_wall_mm, 0) + " mm over " +
                                 rounded(100.0 * thin, 0) + " % of the shell";
    }
    std::optional<Course> course;
    const auto small = [&]() -> Outcome<double> {
        auto taken = take_up(*at, load_case, load, steps, begin, progress);
        if (!taken) return taken.fault();
        course = std::move(*taken);
        return too_far(load_case, middle, subject, counted(course->points));
    };
    if (!far) {
        const auto of_limit = small();
        if (!of_limit) return of_limit.fault();
        if (setting.deflections == Deflections::automatic && *of_limit > 1.0) {
            far = true;
            result.why_deflections =
                load_case == LoadCase::torsion
                    ? "small ones turn it by more than " + rounded(large_turn_deg, 0) + " degrees"
                    : "small ones move it by " + rounded(10.0 * *of_limit, 0) + " % of its arch";
        }
    }
    std::vector<ContactAnswer> answers;
    std::optional<LargeTakeUp> large;
    if (far) {
        auto taken = take_up_far(*at, load_case, load, steps, setting.further, progress);
        if (taken) {
            large = std::move(*taken);
        } else if (taken.fault().kind == FaultKind::cancelled || taken.fault().kind == FaultKind::check ||
                   setting.deflections == Deflections::large) {
            return taken.fault();
        } else {
            result.why_deflections = "with large ones no answer was found (" + taken.fault().message + ")";
            if (!course)
                if (const auto of_limit = small(); !of_limit) return of_limit.fault();
        }
    }
    if (large) {
        result.deflections = Deflections::large;
        counted(large->points);
        result.further = from_settled(large->further, large->points[0]);
        result.rests = large->rests;
        result.snaps = large->snaps;
        result.displacement = large->whole.freedoms();
        result.stress = std::move(large->stress);
        answers = std::move(large->contacts);
    } else {
        result.displacement = course->last.displacement;
        result.stress = stresses(result.model, result.displacement);
        answers = std::move(course->last.contacts);
    }
    const double moved = result.curve.back().deflection;
    result.large = too_far(load_case, middle, subject, moved) > 1.0;
    result.gives = !on_ground(load_case) || moved >= least_deflection;
    if (result.gives) {
        result.initial_stiffness = (result.curve[1].load - result.preload) / result.curve[1].deflection;
        result.stiffness = (result.load - result.preload) / moved;
    }
    if (on_ground(load_case))
        tell_ground(subject, *at->stand, at->stand->contact().problem().contacts, answers, result);
    tell_stress(subject, result);
    return result;
}

}  // namespace archwright::flex
