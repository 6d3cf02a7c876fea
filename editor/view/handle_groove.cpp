#include "editor/view/handle_groove.hpp"

#include <algorithm>
#include <cmath>

#include "editor/view/handle_values.hpp"
#include "engine/base/text.hpp"
#include "engine/design/command_text.hpp"

namespace archwright::editor::view {

namespace {

std::string groove_path(const feature::Feature& groove, const char* key) {
    return "features[" + groove.name + "]." + key;
}

}  // namespace

std::function<Outcome<Moved>()> station_remover(const feature::Feature& groove, std::size_t number) {
    return [path = groove_path(groove, "stations"), number]() -> Outcome<Moved> {
        return Moved{{"entry remove " + design::as_word(path) + " " + std::to_string(number)},
                     "station taken out"};
    };
}

void add_groove_ends(Handles& out, const feature::Feature& groove, const GrooveLine& line,
                     const std::shared_ptr<const Sole>& sole) {
    const double length = line.line->length();
    const feature::Along widths(groove.stations, groove.width_mm, &feature::GrooveStation::width_mm);
    for (const bool end : {false, true}) {
        const double value = end ? groove.fade_end_mm : groove.fade_start_mm;
        const double along = std::clamp(end ? length - value : value, 0.0, length);
        Handle h;
        h.part = end ? "fade end" : "fade start";
        h.glyph = Handle::Glyph::size;
        h.at = line.at(along, -0.5 * widths.at(along / length));
        const char* key = end ? "fade_end_mm" : "fade_start_mm";
        h.move = [path = groove_path(groove, key), parameter = std::string("features[].") + key, value, end,
                  on = sole, along_line = line.line](const Drag& d) -> Outcome<Moved> {
            const auto gone = [&](const Vec3& p) {
                const double s = along_line->nearest(on->over(p.head<2>())).along;
                return end ? -s : s;
            };
            const double now = size_of(value + gone(d.to) - gone(d.from), d, parameter.c_str());
            return Moved{{set_line(path, now)},
                         size_words(now, value) +
                             (end ? "\nto full depth from its end" : "\nto full depth from its start")};
        };
        out.list.push_back(std::move(h));
    }
    out.add_size = [groove, on = sole, along_line = line.line](const Vec2& plan) -> Outcome<Moved> {
        constexpr std::size_t most = 50;
        if (groove.stations.size() >= most)
            return Fault{FaultKind::usage, "drag", "The groove has as many stations as it may have.", {}};
        const double share = along_line->nearest(on->over(plan)).along / along_line->length();
        const double along = std::clamp(neat(std::round(share * 100.0) / 100.0), 0.0, 1.0);
        for (const feature::GrooveStation& s : groove.stations)
            if (std::abs(s.along - along) < 0.01 - 1e-9)
                return Fault{FaultKind::usage, "drag", "There is a station already.", {}};
        const feature::Along width(groove.stations, groove.width_mm, &feature::GrooveStation::width_mm),
            depth(groove.stations, groove.depth_mm, &feature::GrooveStation::depth_mm);
        const auto tenths = [](double v) { return exact(neat(std::round(v * 10.0) / 10.0)); };
        std::size_t place = 0;
        for (const feature::GrooveStation& s : groove.stations) place += s.along < along ? 1 : 0;
        return Moved{{"entry add " + design::as_word(groove_path(groove, "stations")) +
                      " {\"along\": " + exact(along) + ", \"width_mm\": " + tenths(width.at(along)) +
                      ", \"depth_mm\": " + tenths(depth.at(along)) + "} at=" + std::to_string(place)},
                     "station at " + rounded(along, 2),
                     "width " + std::to_string(place + 1)};
    };
}

}  // namespace archwright::editor::view
