// What the laboratory measured of the material in hand: its modulus with an interval, the devices, what is
// left.
#include <algorithm>
#include <cmath>

#include "editor/ui/panel.hpp"
#include "engine/base/text.hpp"
#include "engine/design/material.hpp"

namespace archwright::editor::ui {

namespace {

/// Key under which the device that is looked at is kept.
constexpr const char* looked_at = "calibrated device";

std::string signed_percent(double percent) {
    return (percent < 0 ? "\u2212" : "+") + rounded(std::abs(percent), 1) + " %";
}

}  // namespace

void Panel::calibration() {
    const auto& materials = screen.session_.materials();
    if (!materials) return;
    const auto found = materials->all().find(foot().material);
    if (found == materials->all().end()) return;
    y += 8;
    const std::optional<design::Calibration>& calibrated = found->second.calibration;
    if (!calibrated) {
        head("Calibration", "none");
        words(
            "The modulus is the table's: figures of the bench compare designs, and no more. Measured devices "
            "change that (archwright calibrate).",
            0, 4, true);
        return;
    }
    const design::Calibration& entry = *calibrated;
    head("Calibration", entry.date + ", " + entry.by);
    const auto line = [&](const std::string& name, const std::string& value) {
        look.text(name, {area.x, y + 10}, 0.5 * area.w, Face::small, t.soft);
        look.text(value, {area.right(), y + 10}, 0.5 * area.w - 4, Face::small_strong, t.text, Align::right);
        y += 21;
    };
    line("Modulus, \u00d7 the table's",
         rounded(entry.modulus_scale, 3) +
             (entry.scale_high > 0
                  ? " (" + rounded(entry.scale_low, 2) + " to " + rounded(entry.scale_high, 2) + ")"
                  : ""));
    line("A stiffness, 95 %", "within " + rounded(entry.interval_percent, 1) + " %");
    line("From device to device",
         entry.device_spread_percent ? rounded(*entry.device_spread_percent, 1) + " %" : "not known");
    if (entry.friction && entry.distal_spring_n_mm)
        line("Held by", "friction " + rounded(*entry.friction, 2) + ", " +
                            rounded(*entry.distal_spring_n_mm, 0) + " N/mm");
    calibrated_devices(entry);
    residual_plot(entry);
    words(
        "A calibration is of this material, process and machine, of these walls and of the bench's supports. "
        "A "
        "shoe is another support.",
        0, 4, true);
}

void Panel::calibrated_devices(const design::Calibration& entry) {
    if (entry.measured.empty()) return;
    const double wall = area.x + 0.52 * area.w, own = area.x + 0.76 * area.w;
    look.text("Device", {area.x, y + 10}, 0.3 * area.w, Face::small, t.faint);
    look.text("wall", {wall, y + 10}, 0.2 * area.w, Face::small, t.faint, Align::right);
    look.text("own", {own, y + 10}, 0.22 * area.w, Face::small, t.faint, Align::right);
    look.text("held out", {area.right(), y + 10}, 0.23 * area.w, Face::small, t.faint, Align::right);
    y += 20;
    std::string& chosen = typed(looked_at);
    for (const design::CalibratedDevice& device : entry.measured) {
        const Screen::Hit hit = row("calibrated " + device.code, 20, chosen == device.code);
        look.name(device.code, {area.x, y + 10}, 0.32 * area.w, Face::small, t.text);
        look.text(rounded(device.wall_mm, 1), {wall, y + 10}, 0.18 * area.w, Face::small, t.text,
                  Align::right);
        look.text(signed_percent(100.0 * (device.scale - 1.0)), {own, y + 10}, 0.23 * area.w, Face::small,
                  t.text, Align::right);
        look.text(device.held_out_percent ? signed_percent(*device.held_out_percent) : "\u2013",
                  {area.right(), y + 10}, 0.23 * area.w, Face::small_strong, t.text, Align::right);
        if (hit.clicked) chosen = chosen == device.code ? "" : device.code;
        y += 20;
    }
    words("Own: its modulus against all. Held out: stiffer than the others alone predict.", 0, 2, true);
}

void Panel::residual_plot(const design::Calibration& entry) {
    double most_load = 0.0, most = entry.residual_mm;
    for (const design::CalibratedDevice& device : entry.measured)
        for (const Vec2& at : device.residuals) {
            most_load = std::max(most_load, at.x());
            most = std::max(most, std::abs(at.y()));
        }
    if (!(most_load > 0.0 && most > 0.0)) return;
    look.text("Measured less fitted, mm", {area.x, y + 10}, 0.7 * area.w, Face::small, t.soft);
    y += 20;
    const Box box{area.x + 40, y + 4, area.w - 48, 84};
    look.fill(box, look.field());
    const double half = 0.5 * box.h / (1.1 * most);
    const auto height = [&](double mm) { return box.centre().y() - half * mm; };
    look.rule_across(box.x, box.right(), height(0.0), t.grid_50);
    for (const double noise : {-entry.residual_mm, entry.residual_mm})
        look.dashed({{box.x, height(noise)}, {box.right(), height(noise)}}, false, t.soft, 1.0, {4, 3});
    look.frame(box, t.frame);
    const std::string& chosen = typed(looked_at);
    for (const bool on_top : {false, true})
        for (const design::CalibratedDevice& device : entry.measured) {
            if ((device.code == chosen) != on_top) continue;
            for (const Vec2& at : device.residuals)
                look.disc({box.x + box.w * at.x() / (1.04 * most_load), height(at.y())}, on_top ? 3.0 : 2.0,
                          on_top ? t.accent : t.soft);
        }
    const std::string end = rounded(1.1 * most, most < 0.1 ? 3 : 2);
    look.text("+" + end, {box.x - 5, box.y + 5}, 40, Face::small, t.faint, Align::right);
    look.text("0", {box.x - 5, height(0.0)}, 20, Face::small, t.faint, Align::right);
    look.text("\u2212" + end, {box.x - 5, box.bottom() - 5}, 40, Face::small, t.faint, Align::right);
    y = box.bottom() + 4;
    look.text("0", {box.x, y + 8}, 20, Face::small, t.faint);
    look.text(rounded(1.04 * most_load, 0) + " N", {box.right(), y + 8}, 80, Face::small, t.faint,
              Align::right);
    look.text("dashed: the noise", {box.centre().x(), y + 8}, 120, Face::small, t.faint, Align::centre);
    y += 24;
}

}  // namespace archwright::editor::ui
