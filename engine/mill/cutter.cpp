#include "engine/mill/cutter.hpp"

#include "engine/base/text.hpp"

namespace archwright::mill {

std::string title(const Cutter& cutter) {
    if (cutter.drill())
        return "drill " + exact(cutter.diameter) + " mm, point " + exact(cutter.point_deg) + " degrees";
    if (cutter.ball()) return "ball " + exact(cutter.diameter) + " mm";
    if (cutter.flat()) return "flat " + exact(cutter.diameter) + " mm";
    return "bull " + exact(cutter.diameter) + " mm r " + exact(cutter.corner_radius);
}

Cutter grown(const Cutter& cutter, double stock_mm) {
    Cutter more = cutter;
    more.diameter += 2.0 * stock_mm;
    // a ball stays one to the last bit: its closed forms are chosen by that
    more.corner_radius = cutter.ball() ? more.radius() : std::max(0.0, cutter.corner_radius + stock_mm);
    return more;
}

Outcome<Done> check(const Cutter& cutter) {
    const auto wrong = [&](const std::string& what) {
        return Fault{FaultKind::input, "mill", "the cutter \"" + cutter.name + "\": " + what, {}};
    };
    const auto within = [](double value, double low, double high) { return value >= low && value <= high; };
    if (!within(cutter.diameter, 0.5, 50.0))
        return wrong("a diameter of " + exact(cutter.diameter) + " mm; write 0.5 to 50.");
    if (!within(cutter.corner_radius, 0.0, cutter.radius()))
        return wrong("a corner radius of " + exact(cutter.corner_radius) +
                     " mm; write 0 (flat nose) to half the diameter (ball nose).");
    if (!within(cutter.flute_length, cutter.corner_radius, 200.0) || cutter.flute_length == 0.0)
        return wrong("flutes " + exact(cutter.flute_length) +
                     " mm long; write no less than the corner radius and up to 200.");
    if (!within(cutter.shank_diameter, 1.0, 50.0))
        return wrong("a shank of " + exact(cutter.shank_diameter) + " mm; write 1 to 50.");
    if (!within(cutter.stick_out, cutter.flute_length, 300.0))
        return wrong("it stands " + exact(cutter.stick_out) +
                     " mm out of its holder; write no less than the flutes and up to 300.");
    if (!within(cutter.holder_diameter, cutter.shank_diameter, 200.0))
        return wrong("a holder of " + exact(cutter.holder_diameter) +
                     " mm; write no less than the shank and up to 200.");
    if (cutter.drill() && (!within(cutter.point_deg, 60.0, 179.0) || !cutter.flat()))
        return wrong("a drill with a point of " + exact(cutter.point_deg) +
                     " degrees and a corner radius of " + exact(cutter.corner_radius) +
                     " mm; write 60 to 179 degrees and 0 mm.");
    if (cutter.flutes < 1 || cutter.flutes > 8)
        return wrong(std::to_string(cutter.flutes) + " flutes; write 1 to 8.");
    return Done{};
}

}  // namespace archwright::mill
