// The device in hand milled and printed, as far as can be said before: planned and judged behind the screen.
#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <optional>
#include <string>

#include "editor/model/playback.hpp"
#include "editor/model/worker.hpp"
#include "engine/build/device.hpp"
#include "engine/print/check.hpp"
#include "exporters/nc/milling.hpp"

namespace archwright::editor::model {

/// What a device is milled with, by keys of the assets.
struct MillWith {
    std::string machine, block, rough, finish;
    bool about_y = false;  ///< the block is turned about its short axis
    bool edges = false;    ///< datum: the block's edges, not pins
    double tilt_deg = 0.0, cusp_mm = 0.02;

    bool operator==(const MillWith&) const = default;
};

/// One set-up, for being looked at.
struct MilledSide {
    std::optional<Playback> play;
    mill::HeightGrid surface;  ///< what is to stay, seen from the cutter; mill::no_height beside it
    mill::HeightGrid stays;    ///< what the finishing cutter cannot take off, along its axis, mm
    mill::HeightGrid left;     ///< what the program leaves over what is to stay, along its axis, mm
    double stays_most_mm = 0.0, left_most_mm = 0.0;
    mill::Area outline, channel;  ///< of the device, and of what is cut free round it
};

/// What came of it: shared, never changed. It is of one edition of the job alone.
struct Milled {
    std::uint64_t number = 0;  ///< another for each
    std::uint64_t edition = 0;
    Side side = Side::right;
    MillWith with;
    exporters::nc::MillingSetting setting;
    exporters::nc::Milling milling;
    std::array<MilledSide, 2> sides;
    double clearance_mm = 0.0;  ///< rapids go this far above the block: clamps stay below
};

/// Whether and how a printer makes it. It is of one edition of the job alone.
struct Printed {
    std::uint64_t number = 0;
    std::uint64_t edition = 0;
    Side side = Side::right;
    std::string printer;
    bool as_it_stands = false;
    print::Printing printing;
};

/// Columns that are looked at, mm apart.
inline constexpr double looked_at_mm = 0.5;

/// Plans, simulates and keeps the block's moments. Faults: a key that is not known, a block of another
/// material (usage); nc::mill_devices'; cancelled. What stops the programs stands in the milling.
Outcome<Milled> mill_in_hand(const build::Device& device, const MillWith& with, Progress& progress);

/// A milling or a print that is wished for.
struct MakeWish {
    bool prints = false;
    MillWith mill;
    std::string printer;
    bool as_it_stands = false;
    std::shared_ptr<const build::Device> device;  ///< proved
    std::optional<double> body_mass_kg;
    std::uint64_t edition = 0;
};

/// What came of a wish: one of the three.
struct MakeMade {
    bool prints = false;
    std::uint64_t edition = 0;
    std::shared_ptr<const Milled> milled;
    std::shared_ptr<const Printed> printed;
    std::optional<Fault> fault;
};

/// Plans and judges behind the screen; the newest wish wins.
class Maker {
  public:
    explicit Maker(std::function<void()> wake);

    void ask(MakeWish wish) { worker_.ask(std::move(wish)); }
    void cancel() { worker_.cancel(); }
    std::shared_ptr<const MakeMade> take() { return worker_.take(); }
    bool idle() const { return worker_.idle(); }
    Activity activity() const { return worker_.activity(); }

  private:
    Worker<MakeWish, MakeMade> worker_;
};

/// The workshop's first things for a material: a machine, a block of it (the smallest; empty: none), a flat
/// cutter and a ball.
MillWith usual_milling(const workshop::Workshop& shop, const std::string& material);
/// Whether the keys are known and the block is of this material. Fault (usage) says what is not.
Outcome<Done> check_milling(const workshop::Workshop& shop, const MillWith& with,
                            const std::string& material);

}  // namespace archwright::editor::model
