#include "engine/shoe/pieces.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"

namespace archwright::shoe {

namespace {

std::string spot(const Vec2& p) {
    return "x " + rounded(p.x(), 1) + ", y " + rounded(p.y(), 1) + " mm (y up)";
}

// Joins `next` to `row` where an end of it is nearest to the row's end.
void join(Piece& row, const Piece& next, bool backward) {
    if (backward)
        row.points.insert(row.points.end(), next.points.rbegin() + 1, next.points.rend());
    else
        row.points.insert(row.points.end(), next.points.begin() + 1, next.points.end());
}

bool ends_meet(const Piece& piece) {
    return piece.points.size() > 3 &&
           (piece.points.front() - piece.points.back()).norm() <= tolerance::outline_gap_mm;
}

}  // namespace

bool Pieces::begin(std::size_t line) {
    if (!trouble_.empty()) return false;
    if (pieces_.size() == most_pieces) {
        trouble_ = "line " + std::to_string(line) + ": the drawing has more than " +
                   std::to_string(most_pieces) +
                   " pieces of lines. Save a drawing of the insole's outline alone.";
        return false;
    }
    pieces_.push_back({});
    pieces_.back().line = line;
    return true;
}

bool Pieces::add(const Vec2& point) {
    if (!trouble_.empty() || pieces_.empty()) return false;
    const std::string where = "line " + std::to_string(pieces_.back().line) + ": ";
    if (++points_ > most_outline_points) {
        trouble_ = where + "the drawing has more than " + std::to_string(most_outline_points) +
                   " points. Save a drawing of the insole's outline alone, with simpler lines.";
        return false;
    }
    if (!point.allFinite()) {
        trouble_ = where + "a number of this line is too large. Draw the insole in its own size.";
        return false;
    }
    std::vector<Vec2>& points = pieces_.back().points;
    if (points.empty() || points.back() != point) points.push_back(point);
    return true;
}

bool Pieces::add_curve(const std::function<Vec2(double)>& at, double bend) {
    // a chord over a step h of t is at most h^2 / 8 times the second derivative away from the curve
    const double wanted = std::ceil(std::sqrt(bend / (8.0 * tolerance::outline_chord_mm)));
    const double count = std::isfinite(wanted) ? std::clamp(wanted, 1.0, 1.0 + most_outline_points) : 1.0;
    for (double i = 1.0; i <= count; i += 1.0)
        if (!add(at(i / count))) return false;
    return true;
}

Outcome<Outline> Pieces::one_outline(std::vector<std::string>& notes) && {
    const auto wrong = [&](const std::string& what) {
        return Fault{FaultKind::input, "shoe", name_ + ": " + what, {}};
    };
    if (!trouble_.empty()) return wrong(trouble_);
    std::vector<Piece> loops, open;
    for (Piece& piece : pieces_) {
        if (piece.points.size() < 2) continue;
        if (piece.closed || ends_meet(piece))
            loops.push_back(std::move(piece));
        else
            open.push_back(std::move(piece));
    }
    std::size_t left_out = 0;
    double least_gap = std::numeric_limits<double>::infinity(), longest = 0.0;
    Vec2 gap_from = Vec2::Zero(), gap_to = Vec2::Zero();
    std::size_t gap_line = 0;
    std::vector<bool> used(open.size(), false);
    for (std::size_t first = 0; first < open.size(); ++first) {
        if (used[first]) continue;
        used[first] = true;
        Piece row = std::move(open[first]);
        bool closed = false;
        for (int direction = 0; direction < 2 && !closed; ++direction) {
            for (bool grown = true; grown && !closed;) {
                grown = false;
                double best = tolerance::outline_gap_mm;
                std::size_t next = open.size();
                bool backward = false;
                for (std::size_t i = first + 1; i < open.size(); ++i) {
                    if (used[i]) continue;
                    for (const bool from_its_end : {false, true}) {
                        const Vec2& end = from_its_end ? open[i].points.back() : open[i].points.front();
                        const double gap = (end - row.points.back()).norm();
                        if (gap > best || (gap == best && next != open.size())) continue;
                        best = gap;
                        next = i;
                        backward = from_its_end;
                    }
                }
                if (next == open.size()) break;
                used[next] = true;
                join(row, open[next], backward);
                open[next].points.clear();
                grown = true;
                closed = ends_meet(row);
            }
            if (!closed) std::reverse(row.points.begin(), row.points.end());
        }
        if (closed) {
            loops.push_back(std::move(row));
            continue;
        }
        ++left_out;
        double length = 0.0;
        for (std::size_t i = 1; i < row.points.size(); ++i)
            length += (row.points[i] - row.points[i - 1]).norm();
        if (length > longest) {  // the longest open line is what was meant
            longest = length;
            gap_from = row.points.back();
            gap_to = row.points.front();
            least_gap = (gap_from - gap_to).norm();
            gap_line = row.line;
        }
    }
    if (loops.empty() && left_out == 0)
        return wrong("there is no outline in it. Draw the insole's edge as one closed line.");
    if (loops.empty())
        return wrong("the outline is not closed: the line that begins at line " + std::to_string(gap_line) +
                     " of the file leaves a gap of " + rounded(least_gap, 2) + " mm between " +
                     spot(gap_from) + " and " + spot(gap_to) + ". Close it (gaps up to " +
                     rounded(tolerance::outline_gap_mm, 1) + " mm are closed by themselves).");
    if (loops.size() > 1) {
        constexpr std::size_t shown = 4;
        std::string lines;
        for (std::size_t i = 0; i < std::min(shown, loops.size()); ++i)
            lines += (i == 0 ? "" : ", ") + std::to_string(loops[i].line);
        return wrong("it holds " + std::to_string(loops.size()) + " closed lines (they begin at line " +
                     lines + (loops.size() > shown ? ", ..." : "") +
                     " of the file). Leave the insole's outline of one foot alone in it.");
    }
    if (left_out > 0)
        notes.push_back(std::to_string(left_out) + (left_out == 1 ? " open line" : " open lines") +
                        " beside the outline left out.");
    std::vector<Vec2> points = std::move(loops.front().points);
    // the end of a line that comes back to its beginning within the gap is that beginning
    while (points.size() > 3 && (points.front() - points.back()).norm() <= tolerance::outline_gap_mm &&
           points.front() != points.back() && !loops.front().closed)
        points.pop_back();
    return Outline::of(std::move(points), name_);
}

}  // namespace archwright::shoe
