// The foot that the drawings show: the demonstration's, built in memory through the engine's own stages.
#pragma once

#include <memory>
#include <optional>

#include "engine/build/device.hpp"

namespace archwright::drawings {

/// A cast in memory and what the demonstration's order asks of it. Landmarks are the truth's, as a person
/// would have set them.
struct Specimen {
    std::shared_ptr<const build::CastFile> cast;
    design::FootDesign foot;
    Side side = Side::left;
};

/// What of the demonstration's foot is drawn otherwise, so that a definition can be seen.
struct Otherwise {
    std::optional<double> forefoot_to_rearfoot_deg;  ///< positive inverted; wide enough to be seen
    std::optional<double> arch_height_mm;            ///< under a lower arch the flange is as high as asked
};

/// The demonstration's foot, whole and without its cast's faults. Faults: those of the generator.
Outcome<Specimen> make_specimen(const Otherwise& otherwise = {});

/// The specimen received and balanced as its design asks. Faults: those of the stage.
Outcome<build::Received> stand(const Specimen& specimen);

/// And with its surface laid and dressed and its trim line found.
struct Made {
    build::Received received;
    build::Surfaced surfaced;
};
Outcome<Made> make(const Specimen& specimen);

/// The shell of it. Faults: those of the stage; materials that cannot be read.
Outcome<build::Shelled> make_shell(const Specimen& specimen, const Made& made);

}  // namespace archwright::drawings
