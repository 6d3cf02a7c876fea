#include "engine/mill/emit.hpp"

#include <numbers>

#include "engine/base/units.hpp"

namespace archwright::mill {

namespace {

constexpr double over_stock_mm = 1.0;   // rapids end this far above what stands there
constexpr double link_over_mm = 0.2;    // links keep this far above the mesh
constexpr double entry_room_mm = 0.75;  // level curves of the plan's grids err by less
constexpr double same_place_mm = 1e-6;
constexpr int most_ramp_rounds = 60;
constexpr int lead_chords = 12;  // 0.003 mm within the circle
constexpr double stock_arc_mm = 0.02;

}  // namespace

Emitter::Emitter(Operation& operation, const Speeds& speeds, const PlanSetting& setting, const DropGrid& drop,
                 double drop_offset, StockTop& stock)
    : operation_(operation),
      speeds_(speeds),
      setting_(setting),
      drop_(drop),
      drop_offset_(drop_offset),
      stock_(stock) {}

void Emitter::feed(const Vec3& to, double speed) {
    if ((to - at_).norm() < same_place_mm) return;
    // straight down, or steeper than a ramp: slowly
    const double down = at_.z() - to.z(), level = std::hypot(to.x() - at_.x(), to.y() - at_.y());
    operation_.moves.push_back({to, false, down > level ? std::min(speed, speeds_.plunge) : speed});
    stock_.cut(operation_.cutter, at_, to);
    at_ = to;
}

void Emitter::rapid(const Vec3& to) {
    if (started_ && (to - at_).norm() < same_place_mm) return;
    operation_.moves.push_back({to, true, 0.0});
    at_ = to;
    started_ = true;
}

void Emitter::retract() {
    if (started_) rapid({at_.x(), at_.y(), setting_.clearance_mm});
}

void Emitter::over_to(const Vec3& to, double open) {
    retract();
    rapid({to.x(), to.y(), setting_.clearance_mm});
    double free = stock_.free_for(operation_.cutter, to.x(), to.y());
    // what the level above opened counts only where it came
    if (open < free && stock_.cleared(operation_.cutter, to.x(), to.y(), open)) free = open;
    free += over_stock_mm;
    if (const double z = std::max(free, to.z()); z < setting_.clearance_mm) rapid({to.x(), to.y(), z});
}

bool Emitter::link_to(const Vec3& to, double link) {
    const double away = std::hypot(to.x() - at_.x(), to.y() - at_.y());
    if (!started_ || away > link) return false;
    if (away < same_place_mm && to.z() >= at_.z()) return true;  // the piece goes on from here
    double top = std::max(at_.z(), to.z());
    const int steps = static_cast<int>(away / 0.1) + 1;
    DropGrid::Near near;
    for (int i = 0; i <= steps; ++i) {
        const Vec3 p = at_ + (to - at_) * (static_cast<double>(i) / steps);
        top = std::max(top, drop_.z(p.x(), p.y(), -1e6, &near) + drop_offset_ + link_over_mm);
    }
    if (top > std::max(at_.z(), to.z()) + 6.0) return false;  // over a wall: the clearance plane is as near
    const Vec3 from = at_;
    if (top > from.z() + same_place_mm) feed({from.x(), from.y(), top}, speeds_.feed);
    feed({to.x(), to.y(), top}, speeds_.feed);
    return true;
}

void Emitter::feed_arc(const Move& arc) {
    std::vector<Vec3> places;
    walk(at_, arc, stock_arc_mm, places);
    operation_.moves.push_back(arc);
    for (const Vec3& to : places) {
        stock_.cut(operation_.cutter, at_, to);
        at_ = to;
    }
}

void Emitter::cut(const std::vector<Vec3>& points, double link, Run run) {
    if (points.empty()) return;
    if (!link_to(points.front(), link)) over_to(points.front(), 0.0);
    if (run == Run::curve && setting_.arcs_within_mm > 0.0) {
        feed(points.front(), speeds_.feed);
        for (const Move& move : with_arcs(points, speeds_.feed, setting_.arcs_within_mm))
            if (move.turn != 0)
                feed_arc(move);
            else
                feed(move.to, speeds_.feed);
        return;
    }
    for (const Vec3& p : points) feed(p, speeds_.feed);
}

void Emitter::ramp_in(std::vector<Vec3> loop, double link, double open) {
    if (loop.size() < 2) return;
    const double level = std::min_element(loop.begin(), loop.end(), [](const Vec3& p, const Vec3& q) {
                             return p.z() < q.z();
                         })->z();
    if (link_to(loop.front(), link)) {
        for (const Vec3& p : loop) feed(p, speeds_.feed);
        return;
    }
    // Beside a tab or a wall the level above may have gone over it: what it cleared counts only in places
    // with room around them, and the loop is begun in one.
    const auto roomy = [&](const Vec3& p) {
        for (int i = 0; i < 8; ++i) {
            const double angle = 0.25 * std::numbers::pi * i;
            if (drop_.z(p.x() + entry_room_mm * std::cos(angle), p.y() + entry_room_mm * std::sin(angle),
                        -1e6) +
                    drop_offset_ >
                level + same_place_mm)
                return false;
        }
        return p.z() <= level + same_place_mm;
    };
    loop.pop_back();
    const auto first = std::find_if(loop.begin(), loop.end(), roomy);
    if (first == loop.end())
        open = 0.0;
    else
        std::rotate(loop.begin(), first, loop.end());
    loop.push_back(loop.front());
    over_to(loop.front(), open);
    const double stands = stock_.free_for(operation_.cutter, loop.front().x(), loop.front().y());
    const bool opened = stock_.cleared(operation_.cutter, loop.front().x(), loop.front().y(), open);
    const double start = std::min(at_.z(), (opened ? std::min(open, stands) : stands) + 0.1);
    if (start > level + 0.05) {
        feed({loop.front().x(), loop.front().y(), start}, speeds_.plunge);
        double round = 0.0;
        for (std::size_t i = 1; i < loop.size(); ++i) round += (loop[i] - loop[i - 1]).head<2>().norm();
        // as flat as asked, or so steep that it ends within a bound of rounds
        const double slope = std::max(std::tan(radians(setting_.ramp_deg)),
                                      (start - level) / (most_ramp_rounds * std::max(round, 1e-3)));
        std::size_t i = 1;
        for (std::size_t steps = 0; steps < 2 * most_ramp_rounds * loop.size();
             ++steps, i = i + 1 < loop.size() ? i + 1 : 1) {
            const double length = (loop[i] - at_).head<2>().norm();
            const double z = std::max(at_.z() - slope * length, loop[i].z());
            if (z > level || length <= 0.0) {
                feed({loop[i].x(), loop[i].y(), z}, speeds_.plunge);
                continue;
            }
            const double share = (at_.z() - level) / (slope * length);
            Vec3 end = at_ + share * (loop[i] - at_);
            end.z() = level;
            feed(end, speeds_.plunge);
            // the whole round from here, to here
            std::vector<Vec3> rest{end};
            for (std::size_t k = 0; k + 1 < loop.size(); ++k)
                rest.push_back(loop[(i + k - 1) % (loop.size() - 1) + 1]);
            rest.push_back(end);
            for (const Vec3& p : rest) feed({p.x(), p.y(), std::max(p.z(), level)}, speeds_.feed);
            return;
        }
    }
    for (const Vec3& p : loop) feed(p, speeds_.feed);
}

void lead(std::vector<Vec3>& loop, const DropGrid& drop, double radius) {
    if (loop.size() < 3) return;
    const auto quarter = [&](const Vec3& at, const Vec2& along) {
        // centre to the left; from a quarter turn before
        const Vec2 left(-along.y(), along.x());
        std::vector<Vec3> arc;
        for (int i = 0; i < lead_chords; ++i) {
            const double angle = 0.5 * std::numbers::pi * (1.0 - static_cast<double>(i) / lead_chords);
            const Vec2 p = Vec2(at.x(), at.y()) + radius * (1.0 - std::cos(angle)) * left -
                           radius * std::sin(angle) * along;
            if (drop.z(p.x(), p.y(), -1e6) > at.z()) return std::vector<Vec3>();
            arc.emplace_back(p.x(), p.y(), at.z());
        }
        return arc;
    };
    const auto direction = [](const Vec3& a, const Vec3& b) -> Vec2 {
        const Vec2 d = (b - a).head<2>();
        return d.norm() > 0.0 ? Vec2(d.normalized()) : Vec2(Vec2::UnitX());
    };
    std::vector<Vec3> in = quarter(loop.front(), direction(loop.front(), loop[1]));
    // the way out is the way in of the loop run backwards, its left on the other hand
    const Vec2 back = direction(loop.back(), loop[loop.size() - 2]);
    std::vector<Vec3> out;
    {
        const Vec2 left(back.y(), -back.x());
        const Vec3& at = loop.back();
        for (int i = 1; i <= lead_chords; ++i) {
            const double angle = 0.5 * std::numbers::pi * static_cast<double>(i) / lead_chords;
            const Vec2 p = Vec2(at.x(), at.y()) + radius * (1.0 - std::cos(angle)) * left -
                           radius * std::sin(angle) * back;
            if (drop.z(p.x(), p.y(), -1e6) > at.z()) {
                out.clear();
                break;
            }
            out.emplace_back(p.x(), p.y(), at.z());
        }
    }
    in.insert(in.end(), loop.begin(), loop.end());
    in.insert(in.end(), out.begin(), out.end());
    loop = std::move(in);
}

}  // namespace archwright::mill
