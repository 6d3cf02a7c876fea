// Rounds of Newton until contact and friction have settled.
#include <set>
#include <string>

#include "engine/flex/contact_search.hpp"
#include "engine/flex/limits.hpp"

namespace archwright::flex {

namespace {

/// Bounds of friction are moved on once what is out of balance is this share of how far they are off; they
/// slow down when they come nearer by less than `slow_share` in a round, down to `least_pace`.
constexpr double follow_share = 0.1, slow_share = 0.8, least_pace = 0.01;

/// The length of step at which the slope of the energy is 0, at most 1.
double best_length(const ContactSpace& space, const std::vector<double>& bounds) {
    if (space.slope(1.0, bounds) <= 0.0) return 1.0;
    double low = 0.0, high = 1.0;
    for (int i = 0; i < 60 && high - low > 1e-12 * high; ++i) {
        const double middle = 0.5 * (low + high);
        (space.slope(middle, bounds) > 0.0 ? high : low) = middle;
    }
    return low > 0.0 ? low : high;
}

/// How far the bounds of friction are from friction x normal force, all together, N.
double bounds_off(const ContactSetup& setup, const ContactSpace& space, const std::vector<double>& bounds) {
    double off = 0.0;
    for (std::size_t k = 0; k < space.places().size(); ++k) {
        const int c = space.places()[k];
        off += std::abs(setup.problem->contacts[c].friction * setup.normal_of(c, space.displacement(k)) -
                        bounds[k]);
    }
    return off;
}

}  // namespace

Outcome<int> settle(const ContactSetup& setup, ContactSpace& space, std::vector<char>& touching,
                    std::vector<double>& bounds, int most_rounds, Progress* progress) {
    std::set<std::vector<char>> seen;
    bool by_search = false, following = false;
    double were_off = 1e300, pace = 1.0, before = 1e300;
    const auto follow = [&](double off) {
        if (off > slow_share * were_off) pace = std::max(least_pace, 0.7 * pace);
        were_off = off;
        for (std::size_t k = 0; k < bounds.size(); ++k) {
            const int c = space.places()[k];
            const double bound =
                setup.problem->contacts[c].friction * setup.normal_of(c, space.displacement(k));
            bounds[k] += pace * (bound - bounds[k]);
        }
    };
    for (int round = 1; round <= most_rounds; ++round) {
        if (progress != nullptr &&
            !progress->report("Contact with the ground", 1.0 - 1.0 / (1.0 + 0.05 * round)))
            return contact_fault(FaultKind::cancelled, "Cancelled.");
        if (const auto done = space.find_step(by_search ? nullptr : &touching, bounds); !done)
            return done.fault();
        space.move(by_search ? best_length(space, bounds) : 1.0);
        if (!by_search &&
            space.lifted()) {  // that set does not hold the shell: go on downhill from where it was
            space.back();
            by_search = true;
            continue;
        }
        std::vector<char> now(space.places().size());
        for (std::size_t k = 0; k < now.size(); ++k)
            now[k] = setup.gap_of(space.places()[k], space.displacement(k)) < 0.0;
        const bool same = now == touching;
        touching = std::move(now);
        const double left = space.left(bounds);
        const bool as_good =
            same && left > 0.5 * before && left <= space.rounding();  // no round makes it better
        before = left;
        if (left <= limit::settled * setup.load_n || as_good) {
            if (space.lifted()) return lifted_fault();
            const double off = setup.friction ? bounds_off(setup, space, bounds) : 0.0;
            if (off <= limit::friction_settled * setup.load_n) return round;
            follow(off);
            following = true;
            by_search = false;
            seen.clear();
        } else if (const double off = following && same ? bounds_off(setup, space, bounds) : 0.0;
                   off > 0.0 && left <= follow_share * off) {
            follow(off);
        } else if (!seen.insert(touching).second) {
            by_search = true;  // a set that was there before: from here on every step lowers the energy
        }
    }
    if (space.lifted()) return lifted_fault();
    return contact_fault(FaultKind::internal, "The contact between shell and ground did not settle in " +
                                                  std::to_string(most_rounds) + " rounds.");
}

}  // namespace archwright::flex
