// archwright-registration-bench: known motions of a generated foot found again, by engine/registration and by
// the plainest way there is: point to point, every pair alike, from where the surfaces stand.
#include <cmath>
#include <ctime>
#include <iomanip>
#include <iostream>

#include "engine/registration/registration.hpp"
#include "tests/registration/feet.hpp"

using namespace archwright;
using namespace archwright::registration;
using namespace archwright::tests;

namespace {

/// P. J. Besl and N. D. McKay, IEEE Trans Pattern Anal Mach Intell 14:239, 1992: nearest points, least
/// squares of them, again until nothing moves.
Motion point_to_point(const Fixed& fixed, const Samples& moving, int most_rounds) {
    Motion motion;
    for (int round = 0; round < most_rounds; ++round) {
        std::vector<Pair> pairs;
        for (const Vec3& p : moving.points) {
            const Vec3 now = motion(p);
            if (const auto near = fixed.nearest(now, 1e3)) pairs.push_back({now, near->point});
        }
        const auto step = motion_of(pairs);
        if (!step) return motion;
        motion = motion.then(*step);
        if (step->angle_deg() < 1e-5 &&
            (step->turn * motion.shift - motion.shift + step->shift).norm() < 1e-5)
            return motion;
    }
    return motion;
}

struct Column {
    std::vector<double> seconds, mm, degrees;
    int within = 0;
};

double middle(std::vector<double> values) {
    std::nth_element(values.begin(), values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2),
                     values.end());
    return values[values.size() / 2];
}

void row(const char* name, const Column& c, std::size_t rounds) {
    std::cout << "| " << name << " | " << c.within << " of " << rounds << " | " << std::setprecision(3)
              << middle(c.mm) << " | " << *std::max_element(c.mm.begin(), c.mm.end()) << " | "
              << middle(c.degrees) << " | " << std::setprecision(2) << middle(c.seconds) << " |\n";
}

}  // namespace

int main(int count, char** words) {
    const int rounds = count > 1 ? std::atoi(words[1]) : 20;
    const TriangleMesh &foot = meshed_foot(24'000), &again = meshed_foot(19'000);
    const Fixed fixed(foot);
    for (const bool faulty : {false, true}) {
        Column ours, plain;
        for (int round = 0; round < rounds; ++round) {
            std::mt19937_64 random(seed() + static_cast<std::uint64_t>(round));
            const Motion truth = random_motion(random, 30.0, 50.0);
            TriangleMesh moving = faulty ? again : foot;
            if (faulty) {
                add_dent(moving, random_point(moving, random), 12.0, 2.5);
                cut_out(moving, random_point(moving, random), 0.2);
                add_noise(moving, 0.2, random);
            }
            moving = moved(std::move(moving), truth.inverse());
            const auto timed = [&](Column& column, const std::function<Motion()>& work) {
                const std::clock_t start = std::clock();  // of all threads
                const Motion found = work();
                column.seconds.push_back(static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC);
                const MotionError error = error_of(found, truth, moving);
                column.mm.push_back(error.mm);
                column.degrees.push_back(error.degrees);
                const double limit = faulty ? 0.1 : 0.01;
                column.within += error.mm < limit && error.degrees < limit;
            };
            timed(ours, [&] {
                Progress progress;
                return register_surfaces(moving, fixed, {}, progress)->fit.motion;
            });
            timed(plain, [&] { return point_to_point(fixed, samples_of(moving, 4000), 200); });
        }
        std::cout << (faulty ? "\nNoise 0.2 mm, a fifth missing, a dent: within 0.1 mm and 0.1 degrees\n\n"
                             : "Clean: within 0.01 mm and 0.01 degrees\n\n")
                  << "| | within | median off, mm | worst, mm | median, degrees | processor s "
                     "|\n|---|---|---|---|---|---|\n";
        row("engine/registration", ours, static_cast<std::size_t>(rounds));
        row("point to point, 200 rounds", plain, static_cast<std::size_t>(rounds));
    }
    return 0;
}
