#include "engine/mill/simulate.hpp"

#include "engine/base/parallel.hpp"
#include "engine/mill/stock.hpp"

namespace archwright::mill {

namespace {

constexpr double rapid_touch_mm = 1e-3;  // what a rapid may take off: last digits of a file
constexpr double cell_mm = 2.0;          // of the needles' index
constexpr int band_rows = 64;  // rows of columns a piece of work has; the same for any number of threads

/// The needles by place, in plan.
struct NeedleIndex {
    double x0 = 0.0, y0 = 0.0;
    int nx = 1, ny = 1;
    std::vector<std::uint32_t> begin, list;

    explicit NeedleIndex(const std::vector<Needle>& needles) {
        Box3 box;
        for (const Needle& needle : needles) box.add(needle.place);
        if (box.empty()) {
            begin.assign(2, 0);
            return;
        }
        x0 = box.low.x();
        y0 = box.low.y();
        nx = static_cast<int>(box.size().x() / cell_mm) + 1;
        ny = static_cast<int>(box.size().y() / cell_mm) + 1;
        begin.assign(static_cast<std::size_t>(nx) * ny + 1, 0);
        for (const Needle& needle : needles) ++begin[cell(needle) + 1];
        for (std::size_t i = 1; i < begin.size(); ++i) begin[i] += begin[i - 1];
        list.resize(needles.size());
        std::vector<std::uint32_t> next(begin.begin(), begin.end() - 1);
        for (std::size_t i = 0; i < needles.size(); ++i)
            list[next[cell(needles[i])]++] = static_cast<std::uint32_t>(i);
    }
    std::size_t cell(const Needle& needle) const {
        const int i = std::clamp(static_cast<int>((needle.place.x() - x0) / cell_mm), 0, nx - 1);
        const int k = std::clamp(static_cast<int>((needle.place.y() - y0) / cell_mm), 0, ny - 1);
        return static_cast<std::size_t>(k) * nx + i;
    }
};

struct Flat {
    const Operation* operation;
    std::size_t operation_index, move_index;
    Vec3 from, to;
    bool rapid;
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
    double deepest = 0.0;
    const auto cell = [&](double value, double from, int count) {
        return std::clamp(static_cast<int>((value - from) / top.step), 0, count - 1);
    };
    const int k0 = std::max(first, cell(std::min(a.y(), b.y()) - reach, top.y0, top.ny));
    const int k1 = std::min(last - 1, cell(std::max(a.y(), b.y()) + reach, top.y0, top.ny));
    for (int k = k0; k <= k1; ++k)
        for (int i = cell(std::min(a.x(), b.x()) - reach, top.x0, top.nx);
             i <= cell(std::max(a.x(), b.x()) + reach, top.x0, top.nx); ++i)
            deepest =
                std::max(deepest, top.at(i, k) - lowest_cut(body, a + lift, b + lift, top.x(i), top.y(k)));
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
    }
    return "";
}

Outcome<Simulated> simulate(const std::vector<Operation>& operations, const Vec3& block, double step,
                            const MachineLimits& machine, std::vector<Needle>& needles, Progress* progress) {
    Box3 box;
    box.add(Vec3(-0.5 * block.x(), -0.5 * block.y(), 0.0));
    box.add(Vec3(0.5 * block.x(), 0.5 * block.y(), 0.0));
    auto top = grid_over(box, 0.0, step);
    if (!top) return top.fault();
    std::fill(top->z.begin(), top->z.end(), 0.0);

    std::vector<Flat> moves;
    Simulated result;
    std::vector<Trouble> outside(2);
    outside[0].kind = Trouble::Kind::outside_travel;
    outside[1].kind = Trouble::Kind::into_the_bed;
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
        for (std::size_t m = 0; m < operation.moves.size(); ++m) {
            const Vec3& to = operation.moves[m].to;
            const double out =
                std::max((machine.travel_low - to).maxCoeff(), (to - machine.travel_high).maxCoeff());
            if (out > 1e-9) blame(outside[0], o, m, to, out);
            if (to.z() < -block.z()) blame(outside[1], o, m, to, -block.z() - to.z());
            // the first move of a cutter comes from its change, high above
            const Vec3 from =
                m == 0 ? Vec3(to.x(), to.y(), std::max(to.z(), 50.0)) : operation.moves[m - 1].to;
            moves.push_back({&operation, o, m, from, to, operation.moves[m].rapid});
            (operation.moves[m].rapid ? result.rapid_mm : result.feed_mm) += (to - from).norm();
        }
    }
    result.moves = moves.size();
    const NeedleIndex index(needles);
    const auto bands = static_cast<std::size_t>((top->ny + band_rows - 1) / band_rows);
    constexpr int kinds = 3;
    std::vector<std::array<BandTrouble, kinds>> found(bands);
    std::vector<double> least(bands, 0.0);
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
                if (move.rapid) {  // by a cutter that much smaller: what is grazed is not cut
                    const Vec3 up(0.0, 0.0, rapid_touch_mm);
                    const double deep = take_off(*top, grown(cutter, -rapid_touch_mm), move.from + up,
                                                 move.to + up, first, last);
                    if (deep > 0.0) note(0, m, deep + rapid_touch_mm);
                }
                take_off(*top, cutter, move.from, move.to, first, last);
            }
        }
    });
    if (progress != nullptr && !progress->report("Simulating", 0.6))
        return Fault{FaultKind::cancelled, "mill", "Cancelled; nothing was written.", {}};
    // needles: each row of cells by itself, every move in order
    parallel_for(static_cast<std::size_t>(index.ny), 1, [&](std::size_t begin, std::size_t end) {
        for (std::size_t row = begin; row < end; ++row) {
            const double y0 = index.y0 + cell_mm * static_cast<double>(row) - Needle::length_mm;
            const double y1 = index.y0 + cell_mm * static_cast<double>(row + 1) + Needle::length_mm;
            const std::size_t base = row * static_cast<std::size_t>(index.nx);
            for (const Flat& move : moves) {
                const double r = move.operation->cutter.radius();
                const double ylow = std::min(move.from.y(), move.to.y()) - r,
                             yhigh = std::max(move.from.y(), move.to.y()) + r;
                if (ylow > y1 || yhigh < y0) continue;
                const double zlow = std::min(move.from.z(), move.to.z());
                if (zlow > Needle::length_mm) continue;  // nothing of a device stands above its block
                const double xlow = std::min(move.from.x(), move.to.x()) - r - Needle::length_mm;
                const double xhigh = std::max(move.from.x(), move.to.x()) + r + Needle::length_mm;
                const int c0 =
                    std::clamp(static_cast<int>(std::floor((xlow - index.x0) / cell_mm)), 0, index.nx);
                const int c1 =
                    std::clamp(static_cast<int>(std::floor((xhigh - index.x0) / cell_mm)), -1, index.nx - 1);
                for (int c = c0; c <= c1; ++c)
                    for (std::uint32_t i = index.begin[base + static_cast<std::size_t>(c)];
                         i < index.begin[base + static_cast<std::size_t>(c) + 1]; ++i) {
                        Needle& needle = needles[index.list[i]];
                        if (zlow > needle.place.z() + Needle::length_mm) continue;
                        const double far = r + Needle::length_mm;
                        if (needle.place.y() < ylow - Needle::length_mm ||
                            needle.place.y() > yhigh + Needle::length_mm || needle.place.x() < xlow ||
                            needle.place.x() > xhigh || far <= 0.0)
                            continue;
                        needle.meet(move.operation->cutter, move.from, move.to);
                    }
            }
        }
    });
    for (int kind = 0; kind < kinds; ++kind) {
        std::vector<std::uint32_t> all;
        Trouble trouble;
        trouble.kind = static_cast<Trouble::Kind>(kind);
        for (const auto& band : found) {
            const BandTrouble& one = band[static_cast<std::size_t>(kind)];
            all.insert(all.end(), one.moves.begin(), one.moves.end());
            trouble.depth_mm = std::max(trouble.depth_mm, one.depth);
        }
        if (all.empty()) continue;
        std::sort(all.begin(), all.end());
        all.erase(std::unique(all.begin(), all.end()), all.end());
        trouble.count = all.size();
        trouble.operation = moves[all.front()].operation_index;
        trouble.move = moves[all.front()].move_index;
        trouble.where = moves[all.front()].to;
        result.troubles.push_back(trouble);
    }
    for (const Trouble& trouble : outside)
        if (trouble.count > 0) result.troubles.push_back(trouble);
    for (const double z : top->z) result.cut_mm3 -= std::max(z, -block.z()) * step * step;
    result.seconds = duration(operations, machine);
    result.top = std::move(*top);
    return result;
}

double duration(const std::vector<Operation>& operations, const MachineLimits& machine) {
    constexpr double bend_mm = 0.01;
    const double a = machine.acceleration_mm_s2;
    double seconds = 0.0;
    for (const Operation& operation : operations) {
        const auto& moves = operation.moves;
        const std::size_t n = moves.size();
        if (n < 2) continue;
        // speeds at the joints: what the bend lets pass, then what braking and speeding up let
        std::vector<double> length(n, 0.0), wish(n, 0.0), joint(n + 1, 0.0);
        std::vector<Vec3> along(n, Vec3::Zero());
        for (std::size_t i = 1; i < n; ++i) {
            const Vec3 d = moves[i].to - moves[i - 1].to;
            length[i] = d.norm();
            if (length[i] > 0.0) along[i] = d / length[i];
            wish[i] =
                (moves[i].rapid ? machine.rapid_mm_min : std::min(moves[i].feed, machine.feed_most_mm_min)) /
                60.0;
        }
        for (std::size_t i = 1; i + 1 < n; ++i) {
            // a bend by theta, its corner cut by bend_mm, is an arc of radius bend / (1 / cos(theta/2) - 1)
            const double cosine = std::clamp(along[i].dot(along[i + 1]), -1.0, 1.0);
            const double half = std::sqrt(0.5 * (1.0 + cosine));
            const double radius = half >= 1.0 - 1e-12 ? 1e12 : bend_mm * half / (1.0 - half);
            joint[i] = std::min({wish[i], wish[i + 1], std::sqrt(a * radius)});
        }
        for (std::size_t i = 1; i < n; ++i)
            joint[i] = std::min(joint[i], std::sqrt(joint[i - 1] * joint[i - 1] + 2.0 * a * length[i]));
        for (std::size_t i = n - 1; i-- > 0;)
            joint[i] = std::min(joint[i], std::sqrt(joint[i + 1] * joint[i + 1] + 2.0 * a * length[i + 1]));
        for (std::size_t i = 1; i < n; ++i) {
            if (!(length[i] > 0.0) || !(wish[i] > 0.0)) continue;
            const double v0 = joint[i - 1], v1 = joint[i];
            const double top = std::min(wish[i], std::sqrt(a * length[i] + 0.5 * (v0 * v0 + v1 * v1)));
            const double used = (2.0 * top * top - v0 * v0 - v1 * v1) / (2.0 * a);
            seconds += (2.0 * top - v0 - v1) / a + std::max(0.0, length[i] - used) / top;
        }
    }
    return seconds;
}

}  // namespace archwright::mill
