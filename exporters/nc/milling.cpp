#include "exporters/nc/milling.hpp"

#include "engine/base/parallel.hpp"
#include "engine/base/text.hpp"
#include "engine/mill/tip_check.hpp"
#include "exporters/nc/proving.hpp"

namespace archwright::exporters::nc {

namespace {

constexpr double unreached_told_mm = 0.05;
constexpr double tab_apart_mm = 4.0;      // beyond a tab's half breadth: the ball goes round it
constexpr double arcs_within_mm = 0.004;  // as near as paths run to where the cutter touches
constexpr double most_columns = 30e6;
constexpr double tab_needle_mm = 0.5;
constexpr std::size_t design_digits = 16;  // of a fingerprint: what a person compares
constexpr double concave_most_mm = 20.0;

std::string at(const Vec3& p) {
    return "at " + coordinates(p);
}

const char* way_out(mill::Trouble::Kind kind) {
    using Kind = mill::Trouble::Kind;
    switch (kind) {
        case Kind::outside_travel:
            return "Take a machine with more travel (its file says how much), or a smaller block.";
        case Kind::holder_in_stock:
        case Kind::shank_in_stock:
            return "Take a longer or slimmer cutter (stick_out_mm, flute_length_mm of its file), or a lower "
                   "block.";
        case Kind::rapid_in_stock:
        case Kind::into_the_bed:
        case Kind::drill_sideways:
            break;
    }
    return "The paths themselves are wrong here: try another cutter or block, and tell us.";
}

constexpr std::ptrdiff_t least_tabs = 3;  // a device on fewer can turn

const char* up_words(int side) {
    return side == 0 ? "foot side up" : "turned over, foot side down";
}

Head head_of(const std::vector<MilledDevice>& devices, const MillingSetting& s, const mill::Nest& nest,
             int side, const mill::SidePlan& plan) {
    Head head;
    const double plan_clearance = mill::PlanSetting{}.clearance_mm;
    std::string names;
    for (const MilledDevice& device : devices)
        names += (names.empty() ? "" : "; ") + device.name + " " + word(device.side);
    head.lines.push_back("ARCHWRIGHT " + names);
    for (const MilledDevice& device : devices)
        head.lines.push_back(std::string("SIDE ") + (device.side == Side::left ? "LEFT" : "RIGHT") + ": " +
                             device.name);
    for (const MilledDevice& device : devices)
        if (!device.design.empty())
            head.lines.push_back("DESIGN " + device.design.substr(0, design_digits) + ": " + device.name +
                                 " " + word(device.side));
    head.lines.push_back("SET-UP " + std::to_string(side + 1) + " of 2: " + up_words(side));
    head.lines.push_back("Machine: " + s.machine.name);
    head.lines.push_back("Block: " + s.block.name + ", " + exact(nest.block.x()) + " x " +
                         exact(nest.block.y()) + " x " + exact(nest.block.z()) +
                         " mm, measured before it is clamped");
    head.lines.push_back("Zero: middle of the block's upper face, X along it, Z up. Lowest Z " +
                         rounded(plan.floor_mm, 2) + " mm");
    const std::string axis = nest.flip == mill::Flip::about_x ? "X" : "Y";
    if (side == 1)
        head.lines.push_back("Between set-up 1 and this one the block is turned half round about " + axis +
                             ", no other way");
    if (s.machine.post.inch)
        head.lines.push_back("Words are in inches (G20); what stands in these lines is in mm");
    if (s.pins && !nest.pins.empty()) {
        std::string holes;
        for (const Vec2& pin : nest.pins)
            holes += (holes.empty() ? "X" : " and X") + rounded(pin.x(), 3) + " Y" + rounded(pin.y(), 3);
        head.lines.push_back("Datum: two pins of " + exact(s.drill->diameter) + " mm at " + holes +
                             (side == 0
                                  ? " mm; their holes, " + exact(s.pin_depth_mm) +
                                        " mm deep, are drilled at the end of this set-up"
                                  : " mm in the table under the block, no longer than " +
                                        rounded(s.pin_depth_mm - s.drill->rise(s.drill->radius()) - 0.5, 1) +
                                        " mm (the drill's point takes the rest of the holes)"));
        head.lines.push_back("The pin at " + axis +
                             "- stands nearer the zero: the block goes on one way only");
    } else if (s.pins)
        head.lines.push_back("Datum: two pins on the line through the zero along " + axis +
                             ", outside the channels; the block is turned half round about that line");
    else
        head.lines.push_back("Datum: the block's edges against stops; it is turned half round about " + axis +
                             ", so that the same pair of edges is measured again");
    head.lines.push_back("Tabs: " + std::to_string(nest.tabs.size()) + ", " + exact(s.tabs.width_mm) + " x " +
                         exact(s.tabs.thickness_mm) + " mm, to be cut off by hand after set-up 2");
    if (s.machine.post.arcs)
        head.lines.push_back("Arcs: G2 and G3 in X and Y, centre I J from the arc's beginning, within " +
                             exact(arcs_within_mm) + " mm of the planned way");
    head.lines.push_back("Clearance plane: Z" + exact(plan_clearance) +
                         " mm; clamps, pins and screws stay below it and outside the channels");
    head.lines.push_back("The block's height is the wall's: measure it to 0.1 mm where the device lies");
    head.lines.push_back("Path: exact (G61), or a tolerance of 0.01 mm, is to be set in the control");
    for (const mill::Cutter* cutter : {&s.rough, &s.finish})
        if (-plan.floor_mm > cutter->flute_length)
            head.lines.push_back("\"" + cutter->name + "\" has flutes " + exact(cutter->flute_length) +
                                 " mm long and goes " + rounded(-plan.floor_mm, 1) +
                                 " mm deep: nothing stands above them where it goes (simulated)");
    head.melts = s.cutting.melts;
    head.clearance_mm = plan_clearance;
    return head;
}

/// `square`: how squarely each needle leaves what must stay on it.
void judge(Milling& milling, const std::vector<mill::Needle>& needles, const std::vector<double>& must_stay,
           const std::vector<double>& square, std::size_t of_devices, double scallop_mm) {
    for (std::size_t i = 0; i < needles.size(); ++i) {
        const mill::Needle& needle = needles[i];
        if (needle.cut > milling.gouge_mm) {
            milling.gouge_mm = needle.cut;
            milling.gouge_where = needle.place;
        }
        const double left = square[i] * (needle.left - must_stay[i]);
        if (must_stay[i] < mill::Needle::length_mm && left > milling.left_mm) {
            milling.left_mm = left;
            milling.left_where = needle.place;
        }
        if (const double stays = std::min(must_stay[i], needle.left);
            i < of_devices && stays > milling.unreached_most_mm) {
            milling.unreached_most_mm = stays;
            milling.unreached_where = needle.place;
        }
    }
    if (milling.gouge_mm > gouge_limit_mm)
        milling.stops.push_back("The programs cut " + rounded(milling.gouge_mm, 3) +
                                " mm into the device or its tabs " + at(milling.gouge_where) +
                                " of the block; up to " + exact(gouge_limit_mm) + " mm may be.");
    const double allowed = scallop_mm + leftover_limit_mm;
    if (milling.left_mm > allowed)
        milling.stops.push_back("The programs leave " + rounded(milling.left_mm, 2) + " mm " +
                                at(milling.left_where) +
                                " of the block that the cutter could have reached; up to " +
                                rounded(allowed, 3) + " mm may be (cusps and 0.05 mm).");
}

}  // namespace

std::vector<mill::Needle> needles_of(const mill::Nest& nest, std::size_t& tabs_apart, std::size_t& on_tabs) {
    std::vector<mill::Needle> needles;
    tabs_apart = 0;
    for (std::size_t d = 0; d < nest.devices.size(); ++d) {
        const TriangleMesh& mesh = nest.devices[d];
        for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
            const Vec3 n = mesh.normal2(t);
            if (!(n.norm() > 1e-9)) continue;  // no area: no normal either
            const Triangle& c = mesh.triangles[t];
            const Vec3 place = (mesh.points[c[0]] + mesh.points[c[1]] + mesh.points[c[2]]) / 3.0;
            bool apart = false;
            for (const mill::Tab& tab : nest.tabs)
                apart = apart || (tab.device == static_cast<int>(d) &&
                                  (place - tab.root).head<2>().norm() < 0.5 * tab.width_mm + tab_apart_mm);
            if (apart) {
                ++tabs_apart;
                continue;
            }
            needles.push_back({nest.in_set_up(0, place), n.normalized()});
        }
    }
    const std::size_t on_devices = needles.size();
    for (const mill::Tab& tab : nest.tabs) {
        const Vec3 out(tab.outward.x(), tab.outward.y(), 0.0), across(-out.y(), out.x(), 0.0);
        const auto put = [&](double along, double aside, double up, const Vec3& normal) {
            const Vec3 place = tab.root + along * out + aside * across + up * Vec3::UnitZ();
            needles.push_back({nest.in_set_up(0, place), normal});
        };
        for (double along = 1.0; along < nest.channel_mm - 0.5; along += tab_needle_mm) {
            for (double aside = 0.25 - 0.5 * tab.width_mm; aside < 0.5 * tab.width_mm;
                 aside += tab_needle_mm) {
                put(along, aside, 0.0, Vec3::UnitZ());
                put(along, aside, -tab.thickness_mm, -Vec3::UnitZ());
            }
            for (const double hand : {-1.0, 1.0})
                put(along, hand * 0.5 * tab.width_mm, -0.5 * tab.thickness_mm, hand * across);
        }
    }
    on_tabs = needles.size() - on_devices;
    return needles;
}

void turn_needles(std::vector<mill::Needle>& needles, const mill::Nest& nest) {
    const Vec3 middle(0.0, 0.0, 0.5 * nest.block.z());
    for (mill::Needle& needle : needles) {
        needle.place = nest.in_set_up(1, needle.place + middle);
        needle.normal = nest.turned(1, needle.normal);
    }
}

mill::MachineLimits limits_of(const workshop::Machine& machine, const std::vector<mill::Cutter>& cutters) {
    mill::MachineLimits limits;
    for (const mill::Cutter& cutter : cutters)
        limits.longest_mm = std::max(limits.longest_mm, cutter.stick_out);
    // the zero stands in the middle of the table
    limits.travel_low = {-0.5 * machine.travel_x_mm, -0.5 * machine.travel_y_mm,
                         machine.above_block_mm - machine.travel_z_mm};
    limits.travel_high = {0.5 * machine.travel_x_mm, 0.5 * machine.travel_y_mm, machine.above_block_mm};
    limits.rapid_mm_min = machine.rapid_mm_min;
    limits.feed_most_mm_min = machine.feed_most_mm_min;
    limits.acceleration_mm_s2 = machine.acceleration_mm_s2;
    return limits;
}

Outcome<Milling> mill_devices(const std::vector<MilledDevice>& devices, const MillingSetting& s,
                              Progress* progress) {
    mill::PlanSetting planning = planning_of(s);
    if (s.pins) planning.drill = s.drill;
    if (s.drill) planning.drill_speeds = workshop::speeds(s.cutting, *s.drill, s.machine);
    planning.pin_depth_mm = s.pin_depth_mm;
    if (s.machine.post.arcs) planning.arcs_within_mm = arcs_within_mm;

    Milling milling;
    std::vector<const mill::Cutter*> cutters{&s.rough, &s.finish};
    if (s.detail) cutters.push_back(&*s.detail);
    if (planning.drill) cutters.push_back(&*planning.drill);
    for (const mill::Cutter* cutter : cutters)
        if (std::string told = workshop::too_fast(s.cutting, *cutter, s.machine); !told.empty())
            milling.warnings.push_back(std::move(told));
    if (devices.empty())
        return Fault{FaultKind::usage, "mill", "There is no device to mill; name one or a pair.", {}};
    for (const mill::Cutter* cutter : {&s.rough, &s.finish})
        if (const auto good = mill::check(*cutter); !good) return good.fault();
    std::vector<TriangleMesh> meshes;
    for (const MilledDevice& device : devices) meshes.push_back(device.mesh);
    if (s.tilt_most_deg > 0.0) {
        TriangleMesh first = meshes.front();
        milling.tilt = mill::best_tilt(first, s.tilt_most_deg, 0.25 * s.tilt_most_deg);
        for (std::size_t i = 0; i < meshes.size(); ++i) {
            // the other side of a pair leans the other way
            const double roll =
                devices[i].side == devices[0].side ? milling.tilt.roll_deg : -milling.tilt.roll_deg;
            const Mat3 turn = mill::tilt(milling.tilt.pitch_deg, roll);
            for (Vec3& p : meshes[i].points) p = turn * p;
        }
    }
    mill::NestSetting laying;
    laying.block = {s.block.length_mm, s.block.breadth_mm, s.block.height_mm};
    laying.flip = s.flip;
    laying.channel_mm = mill::channel_for(planning);
    laying.tabs = s.tabs;
    auto nest = mill::lay(std::move(meshes), laying);
    if (!nest) return nest.fault();
    milling.nest = std::move(*nest);
    if (planning.drill)
        if (const auto room = mill::place_pins(milling.nest, planning.drill->diameter); !room)
            return room.fault();
    for (std::size_t d = 0; d < milling.nest.devices.size(); ++d) {
        const auto holds =
            std::count_if(milling.nest.tabs.begin(), milling.nest.tabs.end(),
                          [&](const mill::Tab& tab) { return tab.device == static_cast<int>(d); });
        if (holds < least_tabs)
            milling.warnings.push_back("Only " + std::to_string(holds) + " tabs hold " + devices[d].name +
                                       ": it may turn on them when it comes free. Ask for " +
                                       std::to_string(least_tabs) + " or more, round it.");
    }
    for (const TriangleMesh& device : milling.nest.devices) {
        const mill::Undercut hidden = mill::undercut(device, 0.5);
        milling.undercut_mm2 += hidden.area_mm2;
        if (hidden.area_mm2 > 20.0)
            milling.warnings.push_back(
                rounded(hidden.area_mm2, 0) + " mm2 are undercut (the largest piece " + at(hidden.where) +
                " of the block): no three-axis cutter sees them. Another " + "tilt may free them.");
    }

    std::size_t on_tabs = 0;
    std::vector<mill::Needle> needles = needles_of(milling.nest, milling.tabs_apart, on_tabs);
    milling.needles = needles.size();
    std::vector<double> must_stay(needles.size(), mill::Needle::length_mm), square(needles.size(), 1.0);
    std::array<mill::SidePlan, 2> plans;
    std::array<Head, 2> heads;
    for (int side = 0; side < 2; ++side) {
        ProvedSide& proved = milling.sides[static_cast<std::size_t>(side)];
        mill::SidePlan& plan = plans[static_cast<std::size_t>(side)];
        proved.side = side;
        auto planned = mill::plan_side(milling.nest, side, planning, progress);
        if (!planned) return planned.fault();
        plan = std::move(*planned);
        take_plan(proved, plan, s);
        heads[static_cast<std::size_t>(side)] = head_of(devices, s, milling.nest, side, plan);
        proved.text = write_program(plan.operations, heads[static_cast<std::size_t>(side)], s.machine.post);
    }
    milling.pair = pair_of(milling.sides[0].text, milling.sides[1].text);
    for (const std::size_t side : {0U, 1U}) {
        heads[side].pair = milling.pair;
        milling.sides[side].text = write_program(plans[side].operations, heads[side], s.machine.post);
        plans[side].operations.clear();
    }
    if (const auto tied = belong_together(milling.sides[0].text, milling.sides[1].text); !tied)
        return Fault{FaultKind::internal, "mill", tied.fault().message, {}};
    mill::HeightGrid below;  // what set-up 1 opened is open in set-up 2
    for (int side = 0; side < 2; ++side) {
        if (side == 1) turn_needles(needles, milling.nest);
        ProvedSide& proved = milling.sides[static_cast<std::size_t>(side)];
        const auto read = read_back(proved);
        if (!read) return read.fault();
        // wider columns for a very large block, whose grid would be too large for memory
        const double columns_apart = std::max(
            s.simulate_step_mm, std::sqrt(milling.nest.block.x() * milling.nest.block.y() / most_columns));
        auto simulated =
            mill::simulate(*read, milling.nest.block, columns_apart, limits_of(s.machine, proved.tools),
                           needles, progress, side == 1 ? &below : nullptr);
        if (!simulated) return simulated.fault();
        proved.simulated = std::move(*simulated);
        if (side == 0) below = mill::lower_face(proved.simulated.top, milling.nest);
        for (const mill::Trouble& trouble : proved.simulated.troubles)
            milling.stops.push_back("Set-up " + std::to_string(side + 1) + ": " + mill::words(trouble.kind) +
                                    ", " + std::to_string(trouble.count) + " times, by up to " +
                                    rounded(trouble.depth_mm, 2) + " mm, first " + at(trouble.where) +
                                    " of the set-up. " + way_out(trouble.kind));
        const TriangleMesh keep = milling.nest.keep(side);
        const auto tip = mill::deepest_tip(*read, keep, tip_apart_mm, progress);
        if (!tip) return tip.fault();
        if (tip->depth_mm > milling.gouge_mm) {
            milling.gouge_mm = tip->depth_mm;
            milling.gouge_where =
                milling.nest.turned(side, tip->where + Vec3(0.0, 0.0, 0.5 * milling.nest.block.z()));
        }
        std::vector<double> square_here;
        const auto here = must_stay_on(needles, keep, s.finish, proved.floor_mm, &square_here);
        if (!here) return here.fault();
        for (std::size_t i = 0; i < needles.size(); ++i)
            if ((*here)[i] < must_stay[i]) {
                must_stay[i] = (*here)[i];
                square[i] = square_here[i];
            }
    }
    std::fill(must_stay.end() - static_cast<std::ptrdiff_t>(on_tabs), must_stay.end(),
              mill::Needle::length_mm);
    // places are told in the frame of the second set-up: bring them back
    const Vec3 middle(0.0, 0.0, 0.5 * milling.nest.block.z());
    for (mill::Needle& needle : needles) {
        needle.place = milling.nest.turned(1, needle.place + middle);
        needle.normal = milling.nest.turned(1, needle.normal);
    }
    judge(milling, needles, must_stay, square, needles.size() - on_tabs, s.scallop_mm);
    std::size_t next = 0;
    for (const TriangleMesh& device : milling.nest.devices) {
        const Bvh bvh(device);
        std::vector<double> radius(device.triangles.size(), concave_most_mm);
        parallel_for(device.triangles.size(), 512, [&](std::size_t begin, std::size_t end) {
            for (std::size_t t = begin; t < end; ++t) {
                if (t % 8 != 0 || !(device.normal2(t).norm() > 1e-9)) continue;
                const Triangle& c = device.triangles[t];
                radius[t] = mill::concave_radius(
                    bvh, (device.points[c[0]] + device.points[c[1]] + device.points[c[2]]) / 3.0,
                    device.normal2(t).normalized(), concave_most_mm, 0.05);
            }
        });
        for (std::size_t t = 0; t < device.triangles.size(); ++t)
            if (milling.concave_mm == 0.0 || radius[t] < milling.concave_mm) {
                milling.concave_mm = radius[t];
                milling.concave_where = device.points[device.triangles[t][0]];
            }
    }
    for (std::size_t d = 0; d < milling.nest.devices.size(); ++d) {
        const TriangleMesh& mesh = milling.nest.devices[d];
        for (std::size_t t = 0; t < mesh.triangles.size() && next < needles.size(); ++t) {
            if (!(mesh.normal2(t).norm() > 1e-9)) continue;
            const Triangle& c = mesh.triangles[t];
            const Vec3 place = (mesh.points[c[0]] + mesh.points[c[1]] + mesh.points[c[2]]) / 3.0;
            if ((place - needles[next].place).norm() > 1e-6) continue;  // beside a tab
            if (std::min(must_stay[next], needles[next].left) > unreached_told_mm)
                milling.unreached_area_mm2 += mesh.area(t);
            ++next;
        }
    }
    if (milling.unreached_area_mm2 > 1.0)
        milling.warnings.push_back(
            std::string(s.detail ? "The finishing cutters" : "The finishing cutter") +
            " must leave more than 0.05 mm on " + rounded(milling.unreached_area_mm2, 0) +
            " mm2 (hollows tighter than it, walls that lean over), the most " +
            (milling.unreached_most_mm < mill::Needle::length_mm
                 ? rounded(milling.unreached_most_mm, 2) + " mm "
                 : std::string("1 mm or more ")) +
            at(milling.unreached_where) + " of the block; the least concave radius is " +
            rounded(milling.concave_mm, 1) +
            " mm. Finish by hand; where it is a hollow a smaller cutter reaches it, where a wall leans "
            "another tilt "
            "may.");
    return milling;
}

}  // namespace archwright::exporters::nc
