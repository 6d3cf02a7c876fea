// Pieces of lines out of a drawing, joined to its one closed outline.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "engine/shoe/outline.hpp"

namespace archwright::shoe {

/// Most pieces of lines a drawing may have.
inline constexpr std::size_t most_pieces = 5'000;

/// A row of points, mm.
struct Piece {
    std::vector<Vec2> points;
    bool closed = false;   ///< the last point is joined to the first
    std::size_t line = 0;  ///< of the file, where it begins
};

/// Collects pieces within the limits. `name` is the file's.
class Pieces {
  public:
    explicit Pieces(std::string name) : name_(std::move(name)) {}

    /// Begins a piece at this line of the file. False once the limits are passed; one_outline() then says so.
    bool begin(std::size_t line);
    /// Adds a point to the last piece.
    bool add(const Vec2& point);
    /// Adds `at`(0 < t <= 1) in equal steps of t, with chords within tolerance::outline_chord_mm of the curve
    /// when `bend` bounds its second derivative, mm.
    bool add_curve(const std::function<Vec2(double)>& at, double bend);
    void close() { pieces_.back().closed = true; }
    bool begun() const { return !pieces_.empty(); }

    /// Joins open pieces whose ends meet within tolerance::outline_gap_mm; the one closed loop is the
    /// outline. Sentences about open pieces that were left out go to `notes`. Faults (input): no loop (with
    /// the gap to be closed), two or more (says how many and where), limits, and those of Outline::of.
    Outcome<Outline> one_outline(std::vector<std::string>& notes) &&;

  private:
    std::string name_;
    std::vector<Piece> pieces_;
    std::size_t points_ = 0;
    std::string trouble_;
};

}  // namespace archwright::shoe
