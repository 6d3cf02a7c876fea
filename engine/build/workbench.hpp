// The stages in order, each kept until what it reads has changed.
#pragma once

#include <filesystem>
#include <map>
#include <memory>
#include <string>

#include "engine/build/device.hpp"

namespace archwright::build {

/// What a build needs besides the job.
struct Setting {
    std::filesystem::path job_path;  ///< the files the job names are found beside it
    bool allow_outside = false;      ///< they may lie outside the job's folder
    scan::ReadLimits limits;
    std::shared_ptr<const design::Materials> materials;
};

/// Builds devices and keeps the results of the stages: a stage is done again only when something it reads
/// has changed. Same job, cast and version give the same device, kept or not. One thread at a time.
class Workbench {
  public:
    explicit Workbench(Setting setting) : setting_(std::move(setting)) {}

    /// What the order, the marks and the material alone tell of one foot, without opening its cast: for
    /// before a build, and for when a stage stops it.
    std::vector<Check> first_checks(const design::Job& job, Side side) const;
    /// The cast of one foot, read and cleaned, checked against the job's SHA-256.
    Outcome<std::shared_ptr<const CastFile>> cast(const design::Job& job, Side side, Progress& progress);
    /// The foot as received and standing (stages receive and examine).
    Outcome<std::shared_ptr<const Received>> receive(const design::Job& job, Side side, Progress& progress);
    /// What is wrong with that cast.
    Outcome<std::shared_ptr<const Examined>> examine(const design::Job& job, Side side, Progress& progress);
    /// The same with what each finding that can be repaired, certain or not, does to this order's device: the
    /// design with it and without it. Builds a surface for each.
    Outcome<Examined> weigh(const design::Job& job, Side side, Progress& progress);
    /// The shell before it is proved: enough for a preview.
    Outcome<Device> shape(const design::Job& job, Side side, Progress& progress);
    /// The whole device, proved. Checks that stop are in the device; faults are for what cannot be built.
    Outcome<Device> build(const design::Job& job, Side side, Progress& progress);

  private:
    Outcome<std::shared_ptr<const Surfaced>> surface(const design::Job& job, Side side, Progress& progress);

    template <class Stage>
    struct Kept {
        std::string key;
        std::shared_ptr<const Stage> result;
    };
    struct Foot {
        Kept<CastFile> cast;
        Kept<Received> received;
        Kept<Examined> examined;
        Kept<Surfaced> surfaced;
        Kept<Shelled> shelled;
        Kept<Lettered> lettered;
        Kept<Proved> proved;
        Kept<ShoeFit> shoe;
    };

    Setting setting_;
    std::map<Side, Foot> feet_;
};

}  // namespace archwright::build
