#include "engine/mill/simulate.hpp"

#include "engine/base/parallel.hpp"
#include "engine/mill/arc.hpp"
#include "engine/mill/stock.hpp"

namespace archwright::mill {

namespace {

constexpr double arc_chord_mm = 5e-4;    // an arc is cut as chords that near
constexpr double rapid_touch_mm = 1e-3;  // what a rapid may take off: last digits of a file
// A shank as thick as its cutter may graze so much: levels of roughing keep within 0.05 mm of their common
// border, so that one finds up to twice that beside it which the one above left.
constexpr double shank_graze_mm = 0.1;
constexpr double cell_mm = 1.0;                    // of the needles' index
constexpr std::size_t moves_between_looks = 4096;  // whether it is cancelled
constexpr int band_rows = 32;  // rows of columns a piece of work has; the same for any number of threads

/// The needles by place in plan, those that look up and those that look down apart: of the two faces of a
/// shell a cutter meets one.
struct NeedleIndex {
    double x0 = 0.0, y0 = 0.0;
    int nx = 1, ny = 1;
    std::vector<std::uint32_t> begin, list;
    std::vector<double> top;  ///< of a cell's needles

    explicit NeedleIndex(const std::vector<Needle>& needles) {
        Box3 box;
        for (const Needle& needle : needles) box.add(needle.place);
        if (box.empty()) {
            begin.assign(3, 0);
            top.assign(2, 0.0);
            return;
        }
        x0 = box.low.x();
        y0 = box.low.y();
        nx = static_cast<int>(box.size().x() / cell_mm) + 1;
        ny = static_cast<int>(box.size().y() / cell_mm) + 1;
        begin.assign(2 * static_cast<std::size_t>(nx) * ny + 1, 0);
        top.assign(begin.size() - 1, -std::numeric_limits<double>::infinity());
        for (const Needle& needle : needles) {
            const std::size_t here = cell(needle);
            ++begin[here + 1];
            top[here] =
                std::max(top[here], needle.place.z() + Needle::length_mm * std::abs(needle.normal.z()));
        }
        for (std::size_t i = 1; i < begin.size(); ++i) begin[i] += begin[i - 1];
        list.resize(needles.size());
        std::vector<std::uint32_t> next(begin.begin(), begin.end() - 1);
        for (std::size_t i = 0; i < needles.size(); ++i)
            list[next[cell(needles[i])]++] = static_cast<std::uint32_t>(i);
    }
    std::size_t cell(const Needle& needle) const {
        const int i = std::clamp(static_cast<int>((needle.place.x() - x0) / cell_mm), 0, nx - 1);
        const int k = std::clamp(static_cast<int>((needle.place.y() - y0) / cell_mm), 0, ny - 1);
        return (static_cast<std::size_t>(k) * 2 + (needle.normal.z() < 0.0 ? 1 : 0)) *
                   static_cast<std::size_t>(nx) +
               i;
    }
};

struct Flat {
    const Operation* operation;
    std::size_t operation_index, move_index;
    std::size_t number;  ///< of the move among all; an arc is several of these
    Vec3 from, to;
    bool rapid;
    Sweep sweep;
};

/// Greatest height of columns within `reach` of the line from a to b, over the body that stands `up` above
/// the tip: how far it is in.
double body_in(const HeightGrid& top, const Vec3& a, const Vec3& b, double reach, double up, int first,
               int last) {
    if (std::min(a.z(), b.z()) + up >= 0.0) return 0.0;
    Cutter body;  // a flat end of that breadth
    body.diameter = 2.0 * reach;
    body.corner_radius = 0.0;
    const Vec3 lift(0.0, 0.0, up);
    const Sweep sweep(body, a + lift, b + lift);
    double deepest = 0.0;
    const auto cell = [&](double value, double from, int count) {
        return std::clamp(static_cast<int>((value - from) / top.step), 0, count - 1);
    };
    const int k0 = std::max(first, cell(std::min(a.y(), b.y()) - reach, top.y0, top.ny));
    const int k1 = std::min(last - 1, cell(std::max(a.y(), b.y()) + reach, top.y0, top.ny));
    for (int k = k0; k <= k1; ++k)
        for (int i = cell(std::min(a.x(), b.x()) - reach, top.x0, top.nx);
             i <= cell(std::max(a.x(), b.x()) + reach, top.x0, top.nx); ++i)
            deepest = std::max(deepest, top.at(i, k) - sweep.cut(top.x(i), top.y(k)));
    return deepest;
}

/// How much of what stands comes against a shank no thicker than its cutter, above the flutes. Whatever comes
/// within the cutter's breadth lower than their upper end is cut at once and does not meet the shank later:
/// so each column counts where the shank first comes over it.
double shank_rubs(const HeightGrid& top, const Cutter& cutter, const Sweep& sweep, int first, int last) {
    const Vec3 &a = sweep.a, &b = sweep.b;
    if (sweep.lowest + cutter.flute_length >= 0.0) return 0.0;
    const double r = 0.5 * cutter.shank_diameter - shank_graze_mm;
    double deepest = 0.0;
    const auto cell = [&](double value, double from, int count) {
        return std::clamp(static_cast<int>((value - from) / top.step), 0, count - 1);
    };
    const int k0 = std::max(first, cell(std::min(a.y(), b.y()) - r, top.y0, top.ny));
    const int k1 = std::min(last - 1, cell(std::max(a.y(), b.y()) + r, top.y0, top.ny));
    const int i0 = cell(std::min(a.x(), b.x()) - r, top.x0, top.nx);
    const int i1 = cell(std::max(a.x(), b.x()) + r, top.x0, top.nx);
    for (int k = k0; k <= k1; ++k)
        for (int i = i0; i <= i1; ++i) {
            const double z = top.at(i, k);
            if (z <= sweep.lowest + cutter.flute_length) continue;
            const double x = top.x(i) - a.x(), y = top.y(k) - a.y();
            const double aside = y * sweep.ex - x * sweep.ey, square = (r - aside) * (r + aside);
            if (square <= 0.0) continue;
            const double comes = std::max(0.0, x * sweep.ex + y * sweep.ey - std::sqrt(square));
            if (comes > sweep.length || (comes == 0.0 && x * x + y * y > r * r)) continue;
            deepest = std::max(deepest, z - (a.z() + sweep.slope * comes + cutter.flute_length));
        }
    return deepest;
}

struct BandTrouble {
    std::size_t first = 0, count = 0;
    double depth = 0.0;
    std::vector<std::uint32_t> moves;
};

}  // namespace

const char* words(Trouble::Kind kind) {
    switch (kind) {
        case Trouble::Kind::rapid_in_stock:
            return "a rapid goes through the block";
        case Trouble::Kind::holder_in_stock:
            return "the holder meets the block";
        case Trouble::Kind::shank_in_stock:
            return "the shank meets the block";
        case Trouble::Kind::outside_travel:
            return "a move leaves the machine's travel";
        case Trouble::Kind::into_the_bed:
            return "a move goes below the block";
        case Trouble::Kind::drill_sideways:
            return "a drill is fed sideways";
    }
    return "";
}

Outcome<Simulated> simulate(const std::vector<Operation>& operations, const Vec3& block, double step,
                            const MachineLimits& machine, std::vector<Needle>& needles, Progress* progress,
                            const HeightGrid* below) {
    Box3 box;
    box.add(Vec3(-0.5 * block.x(), -0.5 * block.y(), 0.0));
    box.add(Vec3(0.5 * block.x(), 0.5 * block.y(), 0.0));
    auto top = grid_over(box, 0.0, step);
    if (!top) return top.fault();
    std::fill(top->z.begin(), top->z.end(), 0.0);
    if (below != nullptr && (below->nx != top->nx || below->ny != top->ny))
        return Fault{
            FaultKind::internal, "mill", "The lower face is of another block or of other columns.", {}};

    std::vector<Flat> moves;
    std::vector<Vec3> places;
    Simulated result;
    std::vector<Trouble> outside(3);
    outside[0].kind = Trouble::Kind::outside_travel;
    outside[1].kind = Trouble::Kind::into_the_bed;
    outside[2].kind = Trouble::Kind::drill_sideways;
    const auto blame = [](Trouble& trouble, std::size_t operation, std::size_t move, const Vec3& where,
                          double depth) {
        if (trouble.count++ == 0) {
            trouble.operation = operation;
            trouble.move = move;
            trouble.where = where;
        }
        trouble.depth_mm = std::max(trouble.depth_mm, depth);
    };
    for (std::size_t o = 0; o < operations.size(); ++o) {
        const Operation& operation = operations[o];
        const Vec3 shorter(0.0, 0.0,
                           machine.longest_mm > 0.0 ? machine.longest_mm - operation.cutter.stick_out : 0.0);
        for (std::size_t m = 0; m < operation.moves.size(); ++m) {
            const Move& move = operation.moves[m];
            // the first move of a cutter comes from its change, high above
            Vec3 from = m == 0 ? Vec3(move.to.x(), move.to.y(), std::max(move.to.z(), 50.0))
                               : operation.moves[m - 1].to;
            const Vec3 begin = from;
            (move.rapid ? result.rapid_mm : result.feed_mm) += way_length(from, move);
            places.clear();
            walk(from, move, arc_chord_mm, places);
            double out = 0.0, under = 0.0;
            for (const Vec3& to : places) {
                out = std::max({out, (machine.travel_low + shorter - to).maxCoeff(),
                                (to - machine.travel_high - shorter).maxCoeff()});
                under = std::max(under, -block.z() - to.z());
                moves.push_back({&operation, o, m, result.moves, from, to, move.rapid,
                                 Sweep(operation.cutter, from, to)});
                from = to;
            }
            if (out > 1e-9) blame(outside[0], o, m, move.to, out);
            if (const double aside = (move.to - begin).head<2>().norm();
                operation.cutter.drill() && !move.rapid && aside > 1e-6)
                blame(outside[2], o, m, move.to, aside);
            if (under > 0.0) blame(outside[1], o, m, move.to, under);
            ++result.moves;
        }
    }
    const NeedleIndex index(needles);
    const auto bands = static_cast<std::size_t>((top->ny + band_rows - 1) / band_rows);
    constexpr int kinds = 3;
    std::vector<std::array<BandTrouble, kinds>> found(bands);
    if (progress != nullptr && !progress->report("Simulating", 0.0))
        return Fault{FaultKind::cancelled, "mill", "Cancelled; nothing was written.", {}};
    parallel_for(bands, 1, [&](std::size_t begin, std::size_t end) {
        for (std::size_t band = begin; band < end; ++band) {
            const int first = static_cast<int>(band) * band_rows, last = std::min(top->ny, first + band_rows);
            const double y0 = top->y(first), y1 = top->y(last - 1);
            const auto note = [&](int kind, std::size_t move, double depth) {
                BandTrouble& trouble = found[band][static_cast<std::size_t>(kind)];
                trouble.moves.push_back(static_cast<std::uint32_t>(move));
                trouble.depth = std::max(trouble.depth, depth);
            };
            for (std::size_t m = 0; m < moves.size(); ++m) {
                if (m % moves_between_looks == 0 && progress != nullptr && progress->cancelled()) return;
                const Flat& move = moves[m];
                const Cutter& cutter = move.operation->cutter;
                const double low = std::min(move.from.y(), move.to.y()),
                             high = std::max(move.from.y(), move.to.y());
                const double wide = std::max(cutter.radius(), 0.5 * cutter.holder_diameter);
                if (low - wide > y1 || high + wide < y0) continue;
                // what does not cut first: it meets the block as it stood
                if (const double in = body_in(*top, move.from, move.to, 0.5 * cutter.holder_diameter,
                                              cutter.stick_out, first, last);
                    in > rapid_touch_mm)
                    note(1, m, in);
                if (cutter.shank_diameter > cutter.diameter)
                    if (const double in = body_in(*top, move.from, move.to, 0.5 * cutter.shank_diameter,
                                                  cutter.flute_length, first, last);
                        in > rapid_touch_mm)
                        note(2, m, in);
                if (cutter.shank_diameter <= cutter.diameter)
                    if (const double in = shank_rubs(*top, cutter, move.sweep, first, last);
                        in > rapid_touch_mm)
                        note(2, m, in);
                if (move.rapid) {  // by a cutter that much smaller: what is grazed is not cut
                    const Vec3 up(0.0, 0.0, rapid_touch_mm);
                    const Cutter smaller = grown(cutter, -rapid_touch_mm);
                    const double deep =
                        take_off(*top, Sweep(smaller, move.from + up, move.to + up), first, last, below);
                    if (deep > 0.0) note(0, m, deep + rapid_touch_mm);
                }
                take_off(*top, move.sweep, first, last, below);
            }
        }
    });
    if (progress != nullptr && !progress->report("Simulating", 0.6))
        return Fault{FaultKind::cancelled, "mill", "Cancelled; nothing was written.", {}};
    // needles: each row of cells by itself, every move in order
    parallel_for(static_cast<std::size_t>(index.ny), 2, [&](std::size_t begin, std::size_t end) {
        for (std::size_t row = begin; row < end; ++row) {
            if (progress != nullptr && progress->cancelled()) return;
            const double y0 = index.y0 + cell_mm * static_cast<double>(row) - Needle::length_mm;
            const double y1 = index.y0 + cell_mm * static_cast<double>(row + 1) + Needle::length_mm;
            const std::size_t base = row * 2 * static_cast<std::size_t>(index.nx);
            for (const Flat& move : moves) {
                const double far = move.sweep.r + Needle::length_mm;
                if (std::min(move.from.y(), move.to.y()) - move.sweep.r > y1 ||
                    std::max(move.from.y(), move.to.y()) + move.sweep.r < y0)
                    continue;
                if (move.sweep.lowest > Needle::length_mm) continue;  // nothing stands above its block
                const auto column = [&](double x, int least, int most) {
                    return std::clamp(static_cast<int>(std::floor((x - index.x0) / cell_mm)), least, most);
                };
                const int c0 = column(std::min(move.from.x(), move.to.x()) - far, 0, index.nx);
                const int c1 = column(std::max(move.from.x(), move.to.x()) + far, -1, index.nx - 1);
                for (int face = 0; face < 2; ++face)
                    for (int c = c0; c <= c1; ++c) {
                        const std::size_t cell =
                            base + static_cast<std::size_t>(face) * static_cast<std::size_t>(index.nx) +
                            static_cast<std::size_t>(c);
                        if (index.top[cell] < move.sweep.lowest) continue;
                        for (std::uint32_t i = index.begin[cell]; i < index.begin[cell + 1]; ++i)
                            needles[index.list[i]].meet(move.sweep);
                    }
            }
        }
    });
    if (progress != nullptr && !progress->report("Simulating", 1.0))
        return Fault{FaultKind::cancelled, "mill", "Cancelled; nothing was written.", {}};
    for (int kind = 0; kind < kinds; ++kind) {
        std::vector<std::uint32_t> all;  // pieces of moves
        Trouble trouble;
        trouble.kind = static_cast<Trouble::Kind>(kind);
        for (const auto& band : found) {
            const BandTrouble& one = band[static_cast<std::size_t>(kind)];
            all.insert(all.end(), one.moves.begin(), one.moves.end());
            trouble.depth_mm = std::max(trouble.depth_mm, one.depth);
        }
        if (all.empty()) continue;
        std::sort(all.begin(), all.end());
        const auto of_one = [&](std::uint32_t p, std::uint32_t q) {
            return moves[p].number == moves[q].number;
        };
        all.erase(std::unique(all.begin(), all.end(), of_one), all.end());
        trouble.count = all.size();
        trouble.operation = moves[all.front()].operation_index;
        trouble.move = moves[all.front()].move_index;
        trouble.where = operations[trouble.operation].moves[trouble.move].to;
        result.troubles.push_back(trouble);
    }
    for (const Trouble& trouble : outside)
        if (trouble.count > 0) result.troubles.push_back(trouble);
    for (const double z : top->z) result.cut_mm3 -= std::max(z, -block.z()) * step * step;
    result.seconds = duration(operations, machine);
    result.top = std::move(*top);
    return result;
}

HeightGrid lower_face(const HeightGrid& top_before, const Nest& nest) {
    HeightGrid below = top_before;
    const auto highest = [&](double x, double y) {
        const double fx = (x - top_before.x0) / top_before.step, fy = (y - top_before.y0) / top_before.step;
        double z = -nest.block.z();
        for (const double kx : {std::floor(fx), std::ceil(fx)})
            for (const double ky : {std::floor(fy), std::ceil(fy)})
                z = std::max(z, top_before.at(std::clamp(static_cast<int>(kx), 0, top_before.nx - 1),
                                              std::clamp(static_cast<int>(ky), 0, top_before.ny - 1)));
        return z;
    };
    for (int k = 0; k < below.ny; ++k)
        for (int i = 0; i < below.nx; ++i) {
            // half a turn is its own way back
            const Vec3 there = nest.turned(1, Vec3(below.x(i), below.y(k), 0.0));
            below.at(i, k) = -nest.block.z() - highest(there.x(), there.y());
        }
    return below;
}

}  // namespace archwright::mill
