// Rounds of Newton until contact and friction have settled.
#include <set>
#include <string>

#include "engine/flex/contact_search.hpp"
#include "engine/flex/friction_bounds.hpp"
#include "engine/flex/limits.hpp"

namespace archwright::flex {

namespace {

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

/// Friction x normal force less its bound, place by place, N.
Eigen::VectorXd bounds_off(const ContactSetup& setup, const ContactSpace& space,
                           const std::vector<double>& bounds) {
    Eigen::VectorXd off(static_cast<Eigen::Index>(bounds.size()));
    for (std::size_t k = 0; k < bounds.size(); ++k) {
        const int c = space.places()[k];
        off[static_cast<Eigen::Index>(k)] =
            setup.problem->contacts[c].friction * setup.normal_of(c, space.displacement(k)) - bounds[k];
    }
    return off;
}

}  // namespace

Outcome<int> settle(const ContactSetup& setup, ContactSpace& space, std::vector<char>& touching,
                    std::vector<double>& bounds, int most_rounds, Progress* progress) {
    std::set<std::vector<char>> seen;
    bool by_search = false, following = false;
    double before = 1e300;
    FrictionBounds followed;
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
            const Eigen::VectorXd off = setup.friction ? bounds_off(setup, space, bounds) : Eigen::VectorXd();
            if (off.lpNorm<1>() <= limit::friction_settled * setup.load_n) return round;
            followed.follow(bounds, off);
            following = true;
            by_search = false;
            seen.clear();
        } else if (const Eigen::VectorXd off =
                       following && same ? bounds_off(setup, space, bounds) : Eigen::VectorXd();
                   off.size() > 0 && left <= follow_share * off.lpNorm<1>()) {
            followed.follow(bounds, off);
        } else if (!seen.insert(touching).second) {
            by_search = true;  // a set that was there before: from here on every step lowers the energy
        }
    }
    if (space.lifted()) return lifted_fault();
    return contact_fault(FaultKind::internal, "The contact between shell and ground did not settle in " +
                                                  std::to_string(most_rounds) + " rounds.");
}

}  // namespace archwright::flex
