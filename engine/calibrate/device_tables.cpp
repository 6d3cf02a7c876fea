#include "engine/calibrate/device_tables.hpp"

#include <algorithm>
#include <array>
#include <map>
#include <utility>

#include "engine/base/text.hpp"
#include "engine/build/flex_subject.hpp"
#include "engine/design/job_file.hpp"

namespace archwright::calibrate {

namespace {

/// The table reaches as far as the readings do on a material of half the modulus: beyond it goes on straight.
constexpr double softest_in_table = 0.5;

Fault device_fault(const MeasuredDevice& device, Fault fault) {
    fault.message = "device " + device.code + " (row " + std::to_string(device.row) + "): " + fault.message;
    return fault;
}

/// The table's own modulus: what a calibration found before is no part of it.
std::shared_ptr<const design::Materials> without_calibrations(const design::Materials& materials) {
    std::map<std::string, design::Material> all = materials.all();
    for (auto& [key, material] : all) material.calibration.reset();
    return std::make_shared<const design::Materials>(std::move(all));
}

struct OpenJob {
    design::Job job;
    std::unique_ptr<build::Workbench> bench;
};

Outcome<OpenJob> open_job_of(const MeasuredDevice& device, const TableSetting& setting,
                             const std::shared_ptr<const design::Materials>& materials) {
    design::JobReading reading;
    reading.allow_outside = setting.allow_outside;
    const std::filesystem::path path = setting.folder / device.job;
    auto job = design::read_job(path, reading);
    if (!job) return job.fault();
    build::Setting how;
    how.job_path = path;
    how.allow_outside = setting.allow_outside;
    how.limits = setting.limits;
    how.materials = materials;
    return OpenJob{std::move(*job), std::make_unique<build::Workbench>(std::move(how))};
}

Outcome<Side> foot_of(const MeasuredDevice& device, const design::Job& job) {
    const auto wrong = [](const std::string& what) { return Fault{FaultKind::input, "calibrate", what, {}}; };
    if (device.foot) {
        if (job.foot(*device.foot)) return *device.foot;
        return wrong(std::string("its job has no ") + word(*device.foot) + " foot.");
    }
    if (job.left && job.right) return wrong("its job has two feet: say which in the column foot.");
    if (job.left) return Side::left;
    if (job.right) return Side::right;
    return wrong("its job has no foot.");
}

/// Greatest load of the arch press and of the forefoot lift, N; 0 for none.
std::array<double, 2> most_loads(const MeasuredDevice& device) {
    std::array<double, 2> most{0.0, 0.0};
    for (const Loading& one : device.loadings) {
        double& load = most[one.load_case == flex::LoadCase::arch_press ? 0 : 1];
        load = std::max(load, one.readings.back().load_n);
    }
    return most;
}

/// The bench with the device it stands for, which it only refers to.
std::shared_ptr<flex::Bench> device_on_bench(build::Device device, const std::optional<double>& mass_kg) {
    struct OnBench {
        build::Device device;
        flex::Bench bench;
        OnBench(build::Device built, const std::optional<double>& mass_kg)
            : device(std::move(built)),
              bench(build::bench_subject(*device.surfaced, *device.shelled, mass_kg)) {}
    };
    const auto both = std::make_shared<OnBench>(std::move(device), mass_kg);
    return {both, &both->bench};
}

Outcome<DeviceTable> table_of(const MeasuredDevice& device, const Measurements& measurements, OpenJob& opened,
                              const TableSetting& setting, Progress& progress) {
    const auto side = foot_of(device, opened.job);
    if (!side) return side.fault();
    design::Job job = opened.job;
    design::FootDesign& foot = *job.foot(*side);
    if (foot.material != measurements.material)
        return Fault{
            FaultKind::input,
            "calibrate",
            "its job is of " + foot.material + ", the measurements are of " + measurements.material + ".",
            {}};
    foot.wall = times_wall(foot.wall, device.wall_mm / foot.wall.base_mm);
    auto built = opened.bench->shape(job, *side, progress);
    if (!built) return built.fault();

    const Restraint known{measurements.distal_spring_n_mm.value_or(0.0), measurements.friction.value_or(0.0)};
    DeviceTable table;
    table.bench = device_on_bench(std::move(*built), job.order.body_mass_kg);
    table.plan = response_plan(measurements.distal_spring_n_mm ? &known : nullptr,
                               measurements.friction ? &known : nullptr);
    table.plan.element_mm = setting.element_mm;
    for (const flex::LoadCase load : {flex::LoadCase::arch_press, flex::LoadCase::forefoot_lift}) {
        const double most = most_loads(device)[load == flex::LoadCase::arch_press ? 0 : 1];
        if (most == 0.0) continue;
        table.plan.most_load_n = std::min(most / softest_in_table, flex::most_load);
        auto response = Response::of(*table.bench, load, table.plan, most, &progress);
        if (!response) return response.fault();
        (load == flex::LoadCase::arch_press ? table.press : table.lift) = std::move(*response);
    }
    return table;
}

}  // namespace

design::Wall times_wall(design::Wall wall, double times) {
    wall.base_mm *= times;
    for (design::WallStation& station : wall.stations) station.wall_mm *= times;
    for (design::WallRegion& region : wall.regions) region.wall_mm *= times;
    wall.medial_column.wall_mm *= times;
    wall.lateral_column.wall_mm *= times;
    return wall;
}

Outcome<std::vector<DeviceTable>> device_tables(const Measurements& measurements, const TableSetting& setting,
                                                Progress& progress) {
    if (const auto known = setting.materials->find(measurements.material); !known) return known.fault();
    const auto materials = without_calibrations(*setting.materials);
    std::map<std::string, OpenJob> jobs;
    std::vector<DeviceTable> tables;
    const double all = static_cast<double>(measurements.devices.size());
    for (const MeasuredDevice& device : measurements.devices) {
        const double from = static_cast<double>(tables.size()) / all;
        const std::string name = "Bench of " + device.code;
        const Progress::Stretch stretch(progress, name, from, from + 1.0 / all);
        auto at = jobs.find(device.job.string());
        if (at == jobs.end()) {
            auto opened = open_job_of(device, setting, materials);
            if (!opened) return device_fault(device, opened.fault());
            at = jobs.emplace(device.job.string(), std::move(*opened)).first;
        }
        // devices of one job and wall answer alike: what differs is the making
        const auto alike = std::find_if(
            measurements.devices.begin(), measurements.devices.end(), [&](const MeasuredDevice& other) {
                return other.job == device.job && other.foot == device.foot &&
                       other.wall_mm == device.wall_mm && most_loads(other) == most_loads(device);
            });
        if (const auto same = static_cast<std::size_t>(alike - measurements.devices.begin());
            same < tables.size()) {
            tables.push_back(tables[same]);
            continue;
        }
        auto table = table_of(device, measurements, at->second, setting, progress);
        if (!table) return device_fault(device, table.fault());
        tables.push_back(std::move(*table));
    }
    return tables;
}

}  // namespace archwright::calibrate
