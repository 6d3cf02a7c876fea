// What shells are made of. Every value carries its source and how far it can be trusted.
#pragma once

#include <filesystem>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/vec.hpp"

namespace archwright::design {

/// How a published value is known; one letter in files, tables and help.
enum class Evidence {
    read,      ///< C: read in the source's own text, table or data
    computed,  ///< D: computed from stated inputs
    practice,  ///< P: common practice, no source
    memory,    ///< M: from memory, not confirmed: never an acceptance limit
    weak,      ///< W: seen in a weak secondary source
    ours,      ///< O: our own choice
};
char letter(Evidence evidence);
std::optional<Evidence> evidence(char letter);
/// "common practice, no source" and so on.
const char* title(Evidence evidence);

/// A value with where it comes from; `low`..`high` is the range the source gives, equal when it gives one.
struct Sourced {
    double value = 0;
    double low = 0, high = 0;
    std::string source;
    Evidence mark = Evidence::memory;
};

/// One device of a laboratory's calibration.
struct CalibratedDevice {
    std::string code;
    double wall_mm = 0;
    double scale = 1;                        ///< its own modulus over that of all together
    std::optional<double> held_out_percent;  ///< stiffer (+) than the others alone predicted
    std::vector<Vec2> residuals;             ///< of each reading: load, N, and what the fit leaves, mm
};

/// The laboratory's own bench measurements scale the modulus; absent until measured (docs/calibration.md).
/// What an older file does not have is 0 or empty.
struct Calibration {
    double modulus_scale = 1;
    double scale_low = 0, scale_high = 0;  ///< its 95 % interval
    double interval_percent = 0;           ///< half width of the 95 % prediction interval of a stiffness
    std::string by;                        ///< person's code
    std::string date;                      ///< YYYY-MM-DD
    std::string loads;                     ///< that were measured, by their keys: "arch-press"
    int devices = 0;
    double wall_low_mm = 0, wall_high_mm = 0;  ///< of the devices
    std::optional<double>
        device_spread_percent;  ///< standard deviation from device to device; none: not known
    double residual_mm = 0;     ///< standard deviation of a reading about the fit
    std::optional<double> friction, distal_spring_n_mm;  ///< what held the devices on that bench
    std::string measurements;                            ///< SHA-256 of their table
    std::vector<CalibratedDevice> measured;

    bool covers_wall(double mm) const { return mm >= wall_low_mm - 0.25 && mm <= wall_high_mm + 0.25; }
};

/// The most body mass the laboratory makes a wall for. None comes with the program: there is no source.
struct MassLimit {
    double wall_mm = 0;
    double body_mass_kg = 0;
    std::string source;
    Evidence mark = Evidence::practice;
};

/// One layer of a laminate.
struct Ply {
    double angle_deg = 0;     ///< of its fibres from the device's long axis; positive turns to medial
    double thickness_mm = 0;  ///< of the cured ply: only shares of the whole matter, the stack fills the wall
};

/// A stack of equal plies, from the foot side to the underside; each ply is orthotropic.
struct Laminate {
    Sourced e1_mpa, e2_mpa, g12_mpa, nu12;  ///< of one ply: along its fibres, across, in shear
    std::vector<Ply> plies;                 ///< symmetric about the middle: others warp as they cure
};

struct Material {
    std::string key;                         ///< file name without ".json", as written in jobs
    std::string name;                        ///< the trade's words
    std::string process;                     ///< how shells are made of it, in words
    std::optional<double> hardness_shore_a;  ///< of foams
    Sourced modulus_mpa;  ///< of a laminate a stand-in, for where one figure must do; it flexes by its plies
    Sourced poisson_ratio;             ///< the same
    std::optional<Laminate> laminate;  ///< absent: the same in every direction
    Sourced density_g_cm3;
    Sourced strength_mpa;
    Sourced wall_min_mm;
    Sourced wall_max_mm;
    std::vector<MassLimit> mass_limits;  ///< the laboratory's own, by rising wall and body mass
    std::string note;                    ///< cautions, shown where the material is chosen
    std::optional<Calibration> calibration;
};

/// Materials by key.
class Materials {
  public:
    explicit Materials(std::map<std::string, Material> all) : all_(std::move(all)) {}
    /// Fault (usage) names the nearest known key.
    Outcome<Material> find(const std::string& key) const;
    const std::map<std::string, Material>& all() const { return all_; }

  private:
    std::map<std::string, Material> all_;
};

/// Reads every *.json of a folder. A faulty file is a fault naming file and key.
Outcome<Materials> load_materials(const std::filesystem::path& folder);

/// The material's file at `from` with this calibration in place of any it had, written to `to` whole or not
/// at all and read back; everything else as it was. Fault: a faulty file, a calibration that breaks the
/// file's rules, a file that cannot be written.
Outcome<Done> write_calibrated(const std::filesystem::path& from, const std::filesystem::path& to,
                               const Calibration& calibration);

/// The folder "assets": $ARCHWRIGHT_ASSETS, else ../share/archwright/assets or ../assets beside the program,
/// else the source tree this was built from. The first that exists; the last when none does.
std::filesystem::path assets_folder();

}  // namespace archwright::design
