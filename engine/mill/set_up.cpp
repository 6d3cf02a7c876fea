#include "engine/mill/set_up.hpp"

#include "engine/base/text.hpp"

namespace archwright::mill {

namespace {

constexpr double outline_step_mm = 0.5;
constexpr double tab_into_mm = 0.8;     // how far a tab's root reaches into the wall
constexpr double tab_beyond_mm = 3.0;   // and its end into the block
constexpr double pin_wall_mm = 2.0;     // of block beside a hole
constexpr double pins_unlike_mm = 2.0;  // by so much at least pins may stand unequally far from the zero
constexpr double heel_share = 0.2, distal_share = 0.85;

Fault nest_fault(const std::string& message) {
    return {FaultKind::usage, "mill", message, {}};
}

void append(TriangleMesh& all, const TriangleMesh& one) {
    const auto base = static_cast<std::int32_t>(all.points.size());
    all.points.insert(all.points.end(), one.points.begin(), one.points.end());
    for (const Triangle& t : one.triangles) all.triangles.push_back({t[0] + base, t[1] + base, t[2] + base});
}

/// A closed box along `outward` from the tab's root.
TriangleMesh tab_body(const Tab& tab, double channel) {
    const Vec3 out(tab.outward.x(), tab.outward.y(), 0.0), across(-out.y(), out.x(), 0.0);
    TriangleMesh box;
    for (int i = 0; i < 8; ++i) {
        const double along = (i & 1) != 0 ? channel + tab_beyond_mm : -tab_into_mm;
        const double aside = ((i & 2) != 0 ? 0.5 : -0.5) * tab.width_mm;
        const double up = (i & 4) != 0 ? 0.0 : -tab.thickness_mm;
        box.points.push_back(tab.root + along * out + aside * across + up * Vec3::UnitZ());
    }
    box.triangles = {{0, 2, 3}, {0, 3, 1}, {4, 5, 7}, {4, 7, 6}, {0, 1, 5}, {0, 5, 4},
                     {2, 6, 7}, {2, 7, 3}, {0, 4, 6}, {0, 6, 2}, {1, 3, 7}, {1, 7, 5}};
    return box;
}

Area plan_of(const TriangleMesh& mesh) {
    auto tops = grid_over(mesh.box(), 2.0, outline_step_mm);
    if (!tops) return {};
    top_heights(*tops, mesh);
    return shadow(*tops);
}

const Loop* largest(const Area& area) {
    const Loop* best = nullptr;
    double most = 0.0;
    for (const Loop& loop : area)
        if (const double a = size({loop}); a > most) {
            most = a;
            best = &loop;
        }
    return best;
}

/// The border of a device's plan at x, on the +y side or the other: the place and the way out.
std::optional<std::pair<Vec2, Vec2>> border_at(const Loop& loop, double x, bool plus) {
    std::optional<std::pair<Vec2, Vec2>> best;
    for (std::size_t i = 0; i < loop.size(); ++i) {
        const Vec2 &a = loop[i], &b = loop[(i + 1) % loop.size()];
        if ((a.x() > x) == (b.x() > x)) continue;
        const Vec2 p = a + (b - a) * ((x - a.x()) / (b.x() - a.x()));
        if (best && (plus ? p.y() <= best->first.y() : p.y() >= best->first.y())) continue;
        // the outline is a grid's: its direction over some mm
        const std::size_t n = loop.size(), wide = std::min<std::size_t>(8, n / 4);
        const Vec2 along = (loop[(i + 1 + wide) % n] - loop[(i + n - wide) % n]).normalized();
        best = {p, Vec2(along.y(), -along.x())};
    }
    return best;
}

Outcome<std::vector<Tab>> place_tabs(const TriangleMesh& device, const TabSetting& setting, int index) {
    std::vector<Tab> tabs;
    const Area plan = plan_of(device);
    const Loop* outline = largest(plan);
    if (outline == nullptr) return nest_fault("A device without extent cannot be laid in a block.");
    const Box3 box = device.box();
    for (const double share : setting.at)
        for (const bool plus : {false, true}) {
            const double x = box.low.x() + share * box.size().x();
            const auto border = border_at(*outline, x, plus);
            if (!border)
                return nest_fault("At " + rounded(100.0 * share, 0) +
                                  " % of the device's length there is no border for a tab.");
            // the rim there: what of the mesh lies within a step and a half of the border
            double low = 1e300, high = -1e300;
            for (const Vec3& p : device.points)
                if ((Vec2(p.x(), p.y()) - border->first).norm() < 1.5 * outline_step_mm) {
                    low = std::min(low, p.z());
                    high = std::max(high, p.z());
                }
            if (low > high) {
                double nearest = 1e300;
                for (const Vec3& p : device.points)
                    if (const double d = (Vec2(p.x(), p.y()) - border->first).norm(); d < nearest) {
                        nearest = d;
                        low = high = p.z();
                    }
            }
            Tab tab;
            // the rim's lower half: the edge beside the foot stays free
            tab.root = {border->first.x(), border->first.y(), 0.5 * (low + high)};
            tab.outward = border->second;
            tab.width_mm = setting.width_mm;
            tab.thickness_mm = setting.thickness_mm;
            tab.device = index;
            tabs.push_back(tab);
        }
    return tabs;
}

}  // namespace

Vec3 Nest::turned(int side, const Vec3& d) const {
    if (side == 0) return d;
    return flip == Flip::about_x ? Vec3(d.x(), -d.y(), -d.z()) : Vec3(-d.x(), d.y(), -d.z());
}
Vec3 Nest::in_set_up(int side, const Vec3& p) const {
    return turned(side, p) - Vec3(0.0, 0.0, 0.5 * block.z());
}
TriangleMesh Nest::keep(int side) const {
    TriangleMesh all;
    for (const TriangleMesh& device : devices) append(all, device);
    for (const Tab& tab : tabs) append(all, tab_body(tab, channel_mm));
    all.colours.clear();
    for (Vec3& p : all.points) p = in_set_up(side, p);
    return all;
}
Area Nest::outline_in(int side) const {
    Area turned_outline = outline;
    if (side == 0) return turned_outline;
    for (Loop& loop : turned_outline) {
        for (Vec2& p : loop) p = flip == Flip::about_x ? Vec2(p.x(), -p.y()) : Vec2(-p.x(), p.y());
        std::reverse(loop.begin(), loop.end());  // a mirrored plan runs the other way round
    }
    return turned_outline;
}
double Nest::low(int side) const {
    double z = 1e300;
    for (const TriangleMesh& device : devices)
        for (const Vec3& p : device.points) z = std::min(z, in_set_up(side, p).z());
    return z;
}
double Nest::high(int side) const {
    double z = -1e300;
    for (const TriangleMesh& device : devices)
        for (const Vec3& p : device.points) z = std::max(z, in_set_up(side, p).z());
    return z;
}

Outcome<Done> place_pins(Nest& nest, double diameter_mm) {
    const int axis = nest.flip == Flip::about_x ? 0 : 1;
    double reach = 0.0;
    for (const Loop& loop : nest.outline)
        for (const Vec2& p : loop) reach = std::max(reach, std::abs(p[axis]));
    const double inner = reach + nest.channel_mm, outer = 0.5 * nest.block[axis];
    const double room = outer - inner, wants = diameter_mm + 2.0 * pin_wall_mm + pins_unlike_mm;
    if (room < wants)
        return nest_fault("Between channel and end of the block " + rounded(std::max(0.0, room), 1) +
                          " mm stay along " + (axis == 0 ? "x" : "y") + "; holes of " + exact(diameter_mm) +
                          " mm want " + exact(wants) +
                          " mm. Take a longer block, a thinner drill, another flip, or the edges as datum.");
    const double beside = 0.5 * diameter_mm + pin_wall_mm, middle = 0.5 * (inner + outer);
    const double near = std::max(std::ceil(inner + beside), std::round(middle) - pins_unlike_mm),
                 far = std::min(std::floor(outer - beside), std::round(middle) + pins_unlike_mm);
    nest.pins.assign(2, Vec2::Zero());
    nest.pins[0][axis] = -near;
    nest.pins[1][axis] = far;
    return Done{};
}

Outcome<Nest> lay(std::vector<TriangleMesh> devices, const NestSetting& setting) {
    if (devices.empty() || devices.size() > 2)
        return nest_fault("One device or a pair is laid in a block, not " + std::to_string(devices.size()) +
                          ".");
    for (const double share : setting.tabs.at) {
        if (!(share >= 0.02 && share <= 0.98))
            return nest_fault("A tab at " + exact(share) + " of the length; write 0.02 to 0.98.");
        if (!setting.tabs.anywhere && (share < heel_share || share > distal_share))
            return nest_fault(
                "A tab at " + exact(share) +
                " of the length lies on the heel or the distal edge, where the foot touches the "
                "rim; take 0.2 to 0.85, or say that tabs may stand anywhere.");
    }
    const auto within = [](double value, double low, double high) { return value >= low && value <= high; };
    for (int axis = 0; axis < 3; ++axis)
        if (!within(setting.block[axis], 1.0, 2000.0))
            return nest_fault("A block " + exact(setting.block[axis]) + " mm along " + "xyz"[axis] +
                              "; write 1 to 2000.");
    for (const auto& [value, what, low, high] :
         {std::tuple(setting.channel_mm, "A channel", 1.0, 200.0),
          std::tuple(setting.margin_mm, "A margin", 0.0, 500.0),
          std::tuple(setting.skin_mm, "A skin", 0.0, 100.0), std::tuple(setting.gap_mm, "A gap", 0.0, 500.0),
          std::tuple(setting.tabs.width_mm, "A tab's width", 1.0, 20.0),
          std::tuple(setting.tabs.thickness_mm, "A tab's thickness", 0.5, 5.0)})
        if (!within(value, low, high))
            return nest_fault(std::string(what) + " of " + exact(value) + " mm; write " + exact(low) +
                              " to " + exact(high) + ".");
    const auto no_number = [](const Vec3& p) { return !p.allFinite() || p.cwiseAbs().maxCoeff() > 1e5; };
    for (const TriangleMesh& device : devices)
        if (device.triangles.empty() || std::any_of(device.points.begin(), device.points.end(), no_number))
            return nest_fault(
                "A device without triangles, or with places that are no numbers, cannot be laid "
                "in a block; build it anew.");
    Nest nest;
    nest.block = setting.block;
    nest.flip = setting.flip;
    nest.channel_mm = setting.channel_mm;
    // side by side, each box in the middle of its strip
    double breadth = 0.0, length = 0.0, height = 0.0;
    for (const TriangleMesh& device : devices) {
        const Vec3 size = device.box().size();
        breadth += size.y() + 2.0 * setting.channel_mm;
        length = std::max(length, size.x() + 2.0 * setting.channel_mm);
        height = std::max(height, size.z());
    }
    breadth += setting.gap_mm * static_cast<double>(devices.size() - 1);
    const Vec3 asked(length + 2.0 * setting.margin_mm, breadth + 2.0 * setting.margin_mm,
                     height + 2.0 * setting.skin_mm);
    for (int axis = 0; axis < 3; ++axis)
        if (asked[axis] > setting.block[axis] + 1e-9)
            return nest_fault("The block is " + exact(setting.block.x()) + " x " + exact(setting.block.y()) +
                              " x " + exact(setting.block.z()) + " mm; with channels and margins " +
                              rounded(asked.x(), 1) + " x " + rounded(asked.y(), 1) + " x " +
                              rounded(asked.z(), 1) +
                              " mm are needed. Take a larger block, or tilt the device.");
    double y = -0.5 * breadth;
    for (std::size_t i = 0; i < devices.size(); ++i) {
        const Box3 box = devices[i].box();
        const Vec3 middle = box.centre();
        const Vec3 to(0.0, y + setting.channel_mm + 0.5 * box.size().y(), 0.0);
        for (Vec3& p : devices[i].points) p += to - middle;
        y += box.size().y() + 2.0 * setting.channel_mm + setting.gap_mm;
        auto tabs = place_tabs(devices[i], setting.tabs, static_cast<int>(i));
        if (!tabs) return tabs.fault();
        nest.tabs.insert(nest.tabs.end(), tabs->begin(), tabs->end());
        nest.outline = joined(nest.outline, plan_of(devices[i]));
        nest.devices.push_back(std::move(devices[i]));
    }
    return nest;
}

}  // namespace archwright::mill
