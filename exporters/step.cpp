#include "exporters/step.hpp"

#include <cmath>

#include "engine/base/file.hpp"
#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"

namespace archwright::exporters {

namespace {

Outcome<Done> verify(const solid::SolidReport& wanted, const std::string& product,
                     const std::filesystem::path& path) {
    const auto fault = [](const std::string& what) {
        return Fault{FaultKind::output,
                     "write",
                     "The STEP file does not read back as it was written: " + what + ".",
                     {}};
    };
    const auto read = solid::read_step(path);
    if (!read) return fault(read.fault().message);
    const solid::SolidReport& found = read->report;
    if (!found.valid || !found.one_closed_solid) return fault(found.fault);
    if (read->unit != "millimetre") return fault("its unit is " + read->unit);
    if (read->product != product) return fault("its product is named \"" + read->product + "\"");
    if (found.faces != wanted.faces) return fault("the number of faces differs");
    if (std::abs(found.volume_mm3 - wanted.volume_mm3) > tolerance::step_volume_relative * wanted.volume_mm3)
        return fault("its volume is " + rounded(found.volume_mm3, 1) + " mm3, not " +
                     rounded(wanted.volume_mm3, 1));
    if ((found.box.low - wanted.box.low).norm() + (found.box.high - wanted.box.high).norm() >
        tolerance::edge_mm)
        return fault("its box is " + coordinates(found.box.low) + " to " + coordinates(found.box.high) +
                     ", not " + coordinates(wanted.box.low) + " to " + coordinates(wanted.box.high));
    return Done{};
}

}  // namespace

Outcome<Done> write_step(const solid::Solid& export_frame_solid, const solid::SolidReport& report,
                         const solid::StepWords& words, const std::filesystem::path& target,
                         solid::StepSchema schema) {
    if (!report.valid || !report.one_closed_solid)
        return Fault{FaultKind::output, "write",
                     "No STEP file is written of a solid that is not sound: " + report.fault, report.where};
    const auto text = solid::step_text(export_frame_solid, words, schema);
    if (!text) return text.fault();
    const std::string product = solid::step_word(words.product);
    return write_file(target, *text,
                      [&](const std::filesystem::path& path) { return verify(report, product, path); });
}

}  // namespace archwright::exporters
