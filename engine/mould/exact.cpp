#include "engine/mould/exact.hpp"

#include "engine/solid/block.hpp"

namespace archwright::mould {

Outcome<solid::Solid> exact_mould(const surface::SplineSurface& foot_side, const surface::PeriodicCurve& trim,
                                  const Mould& mould, const MouldSetting& setting) {
    // turned over, so that the sole is up, and run the other way in v, so that its normal is up too
    surface::SplineSurface top = foot_side;
    const std::size_t nv = static_cast<std::size_t>(foot_side.v.count);
    for (std::size_t k = 0; k < foot_side.control.size(); ++k)
        top.control[k - k % nv + (nv - 1 - k % nv)] = mould.placed(foot_side.control[k]);
    surface::Post body;
    body.name = "the mould";
    body.curve = trim;
    for (Vec2& p : body.curve.control) p.y() = foot_side.v.length - p.y();
    body.draft_deg = -setting.draft_deg;  // wider towards the base
    const auto made = solid::build_block(top, body);
    if (!made) return made.fault();
    const solid::SolidReport report = solid::examine(*made);
    if (!report.valid || !report.one_closed_solid || !(report.volume_mm3 > 0.0))
        return Fault{FaultKind::check, "mould",
                     "The exact solid of the mould is not sound: " +
                         (report.fault.empty() ? std::string("it is not one closed body.") : report.fault),
                     report.where};
    return *made;
}

}  // namespace archwright::mould
