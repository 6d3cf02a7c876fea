#include "engine/build/cast.hpp"

namespace archwright::build {

Outcome<std::shared_ptr<const CastFile>> open_cast(const std::filesystem::path& path,
                                                   const scan::ReadLimits& limits, Progress& progress) {
    const Progress::Stretch stretch(progress, "Reading the cast", 0.0, 0.15);
    auto reading = scan::read_cast(path, limits, &progress);
    if (!reading) return reading.fault();
    auto cast = std::make_shared<CastFile>();
    cast->name = path.filename().string();
    cast->format = reading->format;
    cast->sha256 = reading->sha256;
    cast->declared_unit = reading->declared_unit;
    cast->triangles_read = reading->mesh.triangles.size();
    cast->notes = std::move(reading->notes);
    cast->cleaning = scan::clean(reading->mesh, &progress);
    if (cast->cleaning.cancelled || progress.cancelled())
        return Fault{FaultKind::cancelled, "read", "Cancelled while reading " + cast->name + ".", {}};
    if (cast->cleaning.mesh.triangles.empty())
        return Fault{FaultKind::input,
                     "read",
                     cast->name + " holds no surface: all its triangles have no area. Scan the cast again.",
                     {}};
    cast->notes.insert(cast->notes.end(), cast->cleaning.notes.begin(), cast->cleaning.notes.end());
    return std::shared_ptr<const CastFile>(std::move(cast));
}

Outcome<std::shared_ptr<const CastFile>> open_cast_of(const design::CastRef& named,
                                                      const std::filesystem::path& path,
                                                      const scan::ReadLimits& limits, Progress& progress) {
    auto cast = open_cast(path, limits, progress);
    if (!cast) return cast;
    if ((*cast)->sha256 != named.sha256)
        return Fault{FaultKind::check,
                     "receive",
                     "The cast " + named.path + " is not the file this job was made for: its SHA-256 is " +
                         (*cast)->sha256.substr(0, 12) + "..., the job holds " + named.sha256.substr(0, 12) +
                         "... Bring back the right file, or make a new job for this one.",
                     {}};
    return cast;
}

}  // namespace archwright::build
