#include "editor/model/playback.hpp"

#include <algorithm>

#include "engine/base/parallel.hpp"
#include "engine/mill/arc.hpp"
#include "engine/mill/stock.hpp"

namespace archwright::editor::model {

Outcome<Playback> Playback::of(std::vector<mill::Operation> operations, std::vector<std::size_t> lines,
                               const Vec3& block, const mill::MachineLimits& machine, double step_mm,
                               Progress& progress) {
    Playback play;
    Box3 box;
    box.add(Vec3(-0.5 * block.x(), -0.5 * block.y(), 0.0));
    box.add(Vec3(0.5 * block.x(), 0.5 * block.y(), 0.0));
    auto grid = mill::grid_over(box, 0.0, step_mm);
    if (!grid) return grid.fault();
    play.whole_ = std::move(*grid);
    std::fill(play.whole_.z.begin(), play.whole_.z.end(), 0.0);
    play.operations_ = std::move(operations);
    double before = 0.0;
    constexpr double from_above_mm = 50.0;  // where a cutter comes from after its change
    constexpr double within_mm = 0.01;      // chords of an arc lie so near to it
    std::size_t read = 0;
    for (std::size_t o = 0; o < play.operations_.size(); ++o) {
        const mill::Operation& operation = play.operations_[o];
        std::vector<double> share;
        double all = 0.0;
        for (std::size_t m = 0; m < operation.moves.size(); ++m, ++read) {
            if (read == lines.size()) break;
            const mill::Move& move = operation.moves[m];
            Vec3 begin = m == 0 ? Vec3(move.to.x(), move.to.y(), std::max(move.to.z(), from_above_mm))
                                : operation.moves[m - 1].to;
            const double speed =
                move.rapid ? machine.rapid_mm_min : std::min(move.feed, machine.feed_most_mm_min);
            std::vector<Vec3> way;
            mill::walk(begin, move, within_mm, way);
            for (const Vec3& to : way) {
                share.push_back(m > 0 && speed > 0.0 ? (to - begin).norm() / speed : 0.0);
                all += share.back();
                play.begins_.push_back(begin);
                play.ends_.push_back(to);
                play.operation_of_.push_back(o);
                play.rapid_.push_back(move.rapid ? 1 : 0);
                play.lines_.push_back(lines[read]);
                begin = to;
            }
        }
        const double whole = mill::duration({operation}, machine);
        double passed = 0.0;
        for (const double part : share) {
            passed += part;
            play.seconds_.push_back(before + (all > 0.0 ? whole * passed / all : 0.0));
        }
        before += whole;
    }
    std::size_t moves = 0;
    for (const mill::Operation& operation : play.operations_) moves += operation.moves.size();
    if (moves != lines.size())
        return Fault{FaultKind::internal, "mill", "The program's lines and its moves do not agree.", {}};
    mill::HeightGrid top = play.whole_;
    std::size_t done = 0;
    const std::size_t moments =
        std::clamp<std::size_t>(kept_numbers / std::max<std::size_t>(1, top.z.size()), 4, kept_moments);
    for (std::size_t k = 1; k <= moments; ++k) {
        if (!progress.report("Keeping the block's moments",
                             static_cast<double>(k) / static_cast<double>(moments)))
            return Fault{FaultKind::cancelled, "mill", "Cancelled; nothing was planned.", {}};
        const std::size_t to = play.ends_.size() * k / moments;
        play.cut(top, done, to);
        done = to;
        play.kept_.push_back({done, std::vector<float>(top.z.begin(), top.z.end())});
    }
    return play;
}

void Playback::cut(mill::HeightGrid& top, std::size_t from, std::size_t to) const {
    constexpr std::size_t rows = 32;
    const std::size_t bands = (static_cast<std::size_t>(top.ny) + rows - 1) / rows;
    parallel_for(bands, 1, [&](std::size_t begin, std::size_t end) {
        for (std::size_t band = begin; band < end; ++band) {
            const int first = static_cast<int>(band * rows),
                      last = std::min(top.ny, static_cast<int>((band + 1) * rows));
            for (std::size_t m = from; m < to; ++m)
                (void)mill::take_off(top, {operations_[operation_of_[m]].cutter, begins_[m], ends_[m]}, first,
                                     last);
        }
    });
}

Playback::Moment Playback::after(std::size_t moves) const {
    moves = std::min(moves, ends_.size());
    Moment moment;
    moment.move = moves;
    if (moves == 0) {
        if (!begins_.empty()) moment.tip = begins_.front();
        return moment;
    }
    const std::size_t last = moves - 1;
    moment.line = lines_[last];
    moment.seconds = seconds_[last];
    moment.tip = ends_[last];
    moment.operation = operation_of_[last];
    moment.rapid = rapid_[last] != 0;
    return moment;
}

Playback::Moment Playback::at(double seconds) const {
    const auto next = std::upper_bound(seconds_.begin(), seconds_.end(), seconds);
    return after(static_cast<std::size_t>(next - seconds_.begin()));
}

mill::HeightGrid Playback::stock(std::size_t moves) const {
    moves = std::min(moves, ends_.size());
    mill::HeightGrid top = whole_;
    std::size_t from = 0;
    const auto next =
        std::find_if(kept_.begin(), kept_.end(), [&](const Kept& kept) { return kept.moves > moves; });
    if (next != kept_.begin()) {
        const Kept& kept = *(next - 1);
        from = kept.moves;
        std::copy(kept.z.begin(), kept.z.end(), top.z.begin());
    }
    cut(top, from, moves);
    return top;
}

}  // namespace archwright::editor::model
