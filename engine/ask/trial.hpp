// A built device with another wall, without laying, fitting or meshing anything anew.
#pragma once

#include <memory>
#include <vector>

#include "engine/build/device.hpp"
#include "engine/flex/bench_stand.hpp"
#include "engine/surface/lattice.hpp"

namespace archwright::ask {

/// What a device was built to, as far as its wall has to do with it.
struct Built {
    std::shared_ptr<const build::Received> received;
    std::shared_ptr<const build::Surfaced> surfaced;
    std::shared_ptr<const build::Shelled> shelled;
};

/// The middle surface of a device, its triangles and their (u,v) kept, under any wall map: at every point the
/// underside goes along the carpet's normal by as much as the rolling balls of the other map leave it further
/// away (surface::BallSheet, the balls of roll_underside themselves), the middle goes half of that way, and
/// what may touch goes with the underside. Floors of posts are laid anew (build::lay_posts) under the
/// underside so changed; which points stand over a post stays. Under the map the device was built with it is
/// the built device's own.
class Trial {
  public:
    /// `element_mm` of the triangles; faults those of flex::middle_of and flex::bench_body.
    /// `foot`: what the device was built from.
    static Outcome<Trial> of(const Built& built, const design::FootDesign& foot,
                             const flex::BenchSubject& subject, double element_mm, Progress* progress);
    Trial(Trial&&) = default;
    Trial& operator=(Trial&&) = default;

    /// Fault (stage "ask"): balls that leave no underside at a place, a wall of nothing.
    Outcome<flex::Middle> middle(const design::Wall& wall) const;
    /// Assembled.
    Outcome<std::shared_ptr<const flex::BenchBody>> body(const design::Wall& wall, Progress* progress) const;
    /// Of the device as it was built.
    const std::shared_ptr<const flex::BenchBody>& built_body() const { return body_; }
    const flex::BenchSubject& subject() const { return subject_; }

  private:
    Trial() = default;
    /// The balls of a map, asked how far along the carpet's normal they reach at places of it.
    std::vector<surface::BallSheet> sheets(const design::Wall& wall) const;
    static std::vector<double> exits(const std::vector<surface::BallSheet>& sheets,
                                     const std::vector<Vec3>& points, const std::vector<Vec3>& normals,
                                     const std::vector<Vec2>& uv);
    Outcome<std::vector<surface::Post>> floors(const std::vector<surface::BallSheet>& sheets) const;

    struct PostUnder {
        surface::Post post;  ///< as built
        bool stiffens = false;
    };
    /// Where the whole underside is asked: two places a span of it.
    struct Below {
        surface::Lattice lattice;
        surface::LatticeFrames frames;
        std::vector<Vec2> uv;
        std::vector<double> exits;  ///< of the wall it was built with
    };

    Built built_;
    design::FootDesign foot_;
    flex::BenchSubject subject_;
    std::shared_ptr<const flex::BenchBody> body_;
    design::DevicePlan plan_;
    surface::Lattice lattice_;
    surface::LatticeFrames frames_;
    // of every point
    std::vector<Vec3> on_carpet_, along_, across_, above_, under_;
    std::vector<int> post_of_;  ///< -1: under none
    std::vector<PostUnder> posts_;
    std::optional<Below> below_;  ///< where there are posts
    std::vector<double> exits_;   ///< of the wall it was built with
};

}  // namespace archwright::ask
