// Every closed edge of a shell in one form: the trim line, the apertures' and the posts'.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

#include "engine/surface/shell.hpp"

namespace archwright::surface {

/// A closed edge, run so that what stands on it faces right: the trim and posts counter-clockwise in (u,v),
/// apertures clockwise. Refers to the shell, which must outlive it.
struct Border {
    enum class Kind { trim, aperture, post };
    Kind kind = Kind::trim;
    std::string name;  ///< "the trim line", "aperture \"...\"", "post \"...\""
    PeriodicCurve curve;
    const Shell* shell = nullptr;
    const Rim* rim = nullptr;    ///< of the trim or the aperture
    const Post* post = nullptr;  ///< of a post

    /// Control rows at parameter s, from the foot side to the underside; of a post's wall, from the underside
    /// to the floor (post_rows).
    RimRows rows(double s) const;
    std::string title() const;  ///< the name as a sentence begins with it
};

/// The trim, the apertures, the posts, each in their order.
std::vector<Border> borders(const Shell& shell);

}  // namespace archwright::surface
