#include "exporters/command/job_in_hand.hpp"

#include <algorithm>

#include "engine/base/text.hpp"
#include "engine/design/job_file.hpp"
#include "exporters/moving_in.hpp"

namespace archwright::exporters::command {

Outcome<design::Job> open_job(const std::filesystem::path& path, const CastOptions& reading,
                              FileKnown* known) {
    design::JobReading how;
    how.allow_outside = reading.allow_outside;
    auto job = design::read_job(path, how, known);
    if (job) return job;
    const std::string ending = lower(path.extension().string());
    std::error_code error;
    if (std::filesystem::is_regular_file(path, error) &&
        (ending == ".stl" || ending == ".ply" || ending == ".obj" || ending == ".3mf"))
        return Fault{FaultKind::input,
                     "read",
                     path.string() +
                         " is a cast by its name, not a job. Start a job from it: archwright new " +
                         path.string() + " -o JOB.json",
                     {}};
    return job;
}

Outcome<Done> keep_job(const design::Job& job, const std::filesystem::path& path, const CastOptions& reading,
                       const FileKnown& known) {
    design::JobReading how;
    how.allow_outside = reading.allow_outside;
    return design::save_job(job, path, how, known);
}

Outcome<std::vector<Side>> choose_feet(const design::Job& job, const std::optional<Side>& named) {
    std::vector<Side> feet;
    for (const Side side : {Side::left, Side::right})
        if (job.foot(side) && (!named || *named == side)) feet.push_back(side);
    if (feet.empty())
        return Fault{
            FaultKind::usage,
            "job",
            named ? std::string("The job has no ") + word(*named) + " foot." : "The job has no foot.",
            {}};
    return feet;
}

Outcome<std::shared_ptr<build::Workbench>> open_bench(const std::filesystem::path& path,
                                                      const CastOptions& reading) {
    auto materials = design::load_materials(design::assets_folder() / "materials");
    if (!materials) return materials.fault();
    build::Setting setting;
    setting.job_path = path;
    setting.allow_outside = reading.allow_outside;
    setting.limits = reading.limits;
    setting.materials = std::make_shared<const design::Materials>(std::move(*materials));
    return std::make_shared<build::Workbench>(std::move(setting));
}

Fault with_order(Fault fault, const design::Job& job, const std::vector<Side>& feet,
                 const build::Workbench& bench) {
    const bool of_job =
        fault.kind == FaultKind::ask || fault.kind == FaultKind::check || fault.kind == FaultKind::usage;
    if (!of_job || fault.stage == "write") return fault;
    struct Told {
        Check check;
        std::string foot;
    };
    std::vector<Told> all;
    for (const Side side : feet)
        for (Check& check : bench.first_checks(job, side)) {
            if (check.verdict == Verdict::pass || fault.message.find(check.message) != std::string::npos)
                continue;
            const auto same = std::find_if(all.begin(), all.end(), [&](const Told& told) {
                return told.check.id == check.id && told.check.message == check.message;
            });
            if (same != all.end())
                same->foot = "both feet";
            else
                all.push_back({std::move(check), std::string(word(side)) + " foot"});
        }
    if (all.empty()) return fault;
    fault.message += "\nThe order itself says besides:";
    for (const Told& told : all)
        fault.message += std::string("\n  [") + word(told.check.verdict) + "] " + told.check.title + ", " +
                         told.foot + " (" + told.check.id + "): " + told.check.message;
    return fault;
}

Outcome<std::shared_ptr<const build::CastFile>> cast_in_hand(const design::Job& job, Side side,
                                                             const std::filesystem::path& path,
                                                             const CastOptions& reading, Progress& progress) {
    const design::CastRef& named = job.foot(side)->cast;
    const auto file = design::resolve(path, named.path, reading.allow_outside);
    if (!file) return file.fault();
    return build::open_cast_of(named, *file, reading.limits, progress);
}

Outcome<Done> picture_may_go(const std::filesystem::path& target, const char* stage,
                             const std::vector<std::filesystem::path>& from) {
    if (target.empty()) return Done{};
    if (target.extension() != ".png")
        return Fault{FaultKind::usage,
                     stage,
                     target.string() + ": pictures are PNG; give a name that ends in .png.",
                     {}};
    for (const auto& file : from)
        if (same_file(target, file))
            return Fault{FaultKind::usage,
                         stage,
                         target.string() + " is the job or its cast; it is never written over.",
                         {}};
    return Done{};
}

}  // namespace archwright::exporters::command
