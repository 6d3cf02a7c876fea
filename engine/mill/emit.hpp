// Pieces of cutting put one after the other: links, entries, rapids.
#pragma once

#include "engine/mill/arc.hpp"
#include "engine/mill/follow.hpp"
#include "engine/mill/plan.hpp"
#include "engine/mill/stock.hpp"

namespace archwright::mill {

/// Writes the moves of one operation and cuts them from the stock, so that a rapid only goes where nothing
/// is.
class Emitter {
  public:
    Emitter(Operation& operation, const Speeds& speeds, const PlanSetting& setting, const DropGrid& drop,
            double drop_offset, StockTop& stock);

    enum class Run { lines, curve };
    /// Cuts a piece: comes to its first point, along the line that stays over the mesh when it is no farther
    /// than `link`, else by the clearance plane. A curve goes on arcs where the setting wants them.
    void cut(const std::vector<Vec3>& points, double link, Run run = Run::lines);
    /// A closed loop at one height, entered by going down along it at the ramp's angle from the stock's face,
    /// or from `open`, down to which all is cleared where the loop runs.
    void ramp_in(std::vector<Vec3> loop, double link, double open);
    /// Up to the clearance plane.
    void retract();

    bool started() const { return started_; }
    const Vec3& at() const { return at_; }

  private:
    bool link_to(const Vec3& to, double link);
    void over_to(const Vec3& to, double open);
    void feed(const Vec3& to, double speed);
    void feed_arc(const Move& arc);
    void rapid(const Vec3& to);

    Operation& operation_;
    Speeds speeds_;
    const PlanSetting& setting_;
    const DropGrid& drop_;
    double drop_offset_;
    StockTop& stock_;
    Vec3 at_ = Vec3::Zero();
    bool started_ = false;
};

/// A quarter circle of `radius` that comes to the loop's first point along its first line, from the left, at
/// its height; in front of the loop and, mirrored, behind it. Left out where the cutter would touch.
void lead(std::vector<Vec3>& loop, const DropGrid& drop, double radius);

}  // namespace archwright::mill
