// The small languages inside SVG attributes: numbers, lengths, transforms, paths (SVG 1.1, 7.6 and 8.3).
#pragma once

#include <Eigen/Geometry>
#include <optional>
#include <string>
#include <string_view>

#include "engine/shoe/pieces.hpp"

namespace archwright::shoe {

/// Reads numbers and words off the front of a text.
class SvgWords {
  public:
    explicit SvgWords(std::string_view text) : rest_(text) {}

    /// The next number, after blanks and commas; nothing, and nothing taken, where there is none.
    std::optional<double> number();
    /// One digit, 0 or 1 (flags of arcs may stand without blanks).
    std::optional<bool> flag();
    /// The next letter, after blanks and commas, if there is one.
    std::optional<char> letter();
    /// Takes a run of letters; empty when there is none.
    std::string_view word();
    /// Takes this character after blanks.
    bool take(char wanted);
    bool ended();
    std::string_view rest() const { return rest_; }

  private:
    void skip();
    std::string_view rest_;
};

/// A length of a page in mm; nothing without one of the units mm, cm, in, pt, pc.
std::optional<double> page_length_mm(std::string_view text);

/// Value of `transform`; nothing when it is not understood.
std::optional<Eigen::Affine2d> transform_of(std::string_view text);

/// Adds a path's lines, in mm by `to_mm`. Empty when all was understood; else what was not, as the end of a
/// sentence.
std::string add_path(std::string_view d, const Eigen::Affine2d& to_mm, std::size_t line, Pieces& pieces);

/// Adds the part of an ellipse from angle `from` over `sweep` radians: centre + cos u + sin v. The first
/// point is not added.
bool add_ellipse(const Vec2& centre, const Vec2& u, const Vec2& v, double from, double sweep, Pieces& pieces);

}  // namespace archwright::shoe
