// The measured devices as the virtual bench answers for them.
#pragma once

#include <filesystem>
#include <memory>
#include <optional>
#include <vector>

#include "engine/base/progress.hpp"
#include "engine/build/workbench.hpp"
#include "engine/calibrate/measurements.hpp"
#include "engine/calibrate/response.hpp"

namespace archwright::calibrate {

/// One device's answers, of the material's table modulus; only the loads that were measured.
struct DeviceTable {
    std::optional<Response> press, lift;
    /// The device on the bench, to be asked again, and how it was asked. Null: the tables are all there is.
    std::shared_ptr<flex::Bench> bench{};
    ResponsePlan plan{};

    const Response* of(flex::LoadCase load) const {
        const std::optional<Response>& one = load == flex::LoadCase::arch_press ? press : lift;
        return one ? &*one : nullptr;
    }
    Response* of(flex::LoadCase load) {
        return const_cast<Response*>(static_cast<const DeviceTable&>(*this).of(load));
    }
};

struct TableSetting {
    std::filesystem::path folder;  ///< of the measurements: jobs are found from there
    bool allow_outside = false;    ///< casts named by jobs may lie outside their folders
    scan::ReadLimits limits;
    std::shared_ptr<const design::Materials> materials;
    double element_mm = 3.0;
};

/// Builds every device, its wall map times measured over asked wall, and runs the bench as often as supports
/// are unknown. An earlier calibration of the material is left out of it. Fault naming the device: its job
/// cannot be read or built, is of another material, has two feet and none is named, or the bench cannot load
/// it.
Outcome<std::vector<DeviceTable>> device_tables(const Measurements& measurements, const TableSetting& setting,
                                                Progress& progress);

/// The wall map with every wall so many times itself; rigidities and scales are relative and stay.
design::Wall times_wall(design::Wall wall, double times);

}  // namespace archwright::calibrate
