// A program of a mill played through: the block as it stands at any of its moves.
#pragma once

#include <algorithm>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/mill/simulate.hpp"

namespace archwright::editor::model {

/// Keeps the block at some moments and cuts on from the nearest one before. On columns coarser than the
/// simulation's: for looking at, never for judging.
class Playback {
  public:
    /// `lines`: the line of the program's text that each move stands in, in order. Fault as mill::grid_over;
    /// cancelled.
    static Outcome<Playback> of(std::vector<mill::Operation> operations, std::vector<std::size_t> lines,
                                const Vec3& block, const mill::MachineLimits& machine, double step_mm,
                                Progress& progress);

    struct Moment {
        std::size_t move = 0;  ///< how many are done
        std::size_t line = 0;  ///< of the text, from 1; 0 before the first
        double seconds = 0.0;  ///< since the program's begin
        Vec3 tip = Vec3::Zero();
        std::size_t operation = 0;
        bool rapid = false;
    };
    std::size_t moves() const { return ends_.size(); }
    /// The same as mill::duration of its operations; within one shared out by feed and way.
    double seconds() const { return seconds_.empty() ? 0.0 : seconds_.back(); }
    /// The moment after so many moves, at most all.
    Moment after(std::size_t moves) const;
    /// The last moment at or before this time.
    Moment at(double seconds) const;
    /// Upper face of the block then, z = 0 uncut, in the frame of the set-up.
    mill::HeightGrid stock(std::size_t moves) const;
    const std::vector<mill::Operation>& operations() const { return operations_; }
    /// Ways of the tip, one after the other.
    const Vec3& end(std::size_t move) const { return ends_[move]; }

    /// The first move of an operation.
    std::size_t begin_of(std::size_t operation) const {
        return static_cast<std::size_t>(
            std::lower_bound(operation_of_.begin(), operation_of_.end(), operation) - operation_of_.begin());
    }

    /// The block is kept after every so many moves' share of the whole. Moments kept of a small block; of a
    /// large one fewer, so that they stay within some 250 MB.
    static constexpr std::size_t kept_moments = 48, kept_numbers = 64'000'000;

  private:
    void cut(mill::HeightGrid& top, std::size_t from, std::size_t to) const;

    std::vector<mill::Operation> operations_;
    std::vector<std::size_t> lines_, operation_of_;
    std::vector<char> rapid_;
    std::vector<Vec3> begins_, ends_;
    std::vector<double> seconds_;  ///< after each move
    mill::HeightGrid whole_;
    struct Kept {
        std::size_t moves = 0;
        std::vector<float> z;
    };
    std::vector<Kept> kept_;
};

}  // namespace archwright::editor::model
