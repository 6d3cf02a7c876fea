#include "engine/design/migration.hpp"

#include <cmath>

#include "engine/base/text.hpp"

namespace archwright::design {

std::span<const Migration> migrations() {
    return {};
}

Outcome<Done> migrate(Json& job, int target, std::span<const Migration> steps, const std::string& name) {
    Json* stated = job.find("version");
    if (!stated || stated->kind != Json::Kind::number || stated->number != std::floor(stated->number) ||
        stated->number < 1)
        return Fault{
            FaultKind::usage,
            "job",
            name + ": version is missing or no whole number: write \"version\": " + std::to_string(target),
            {}};
    if (stated->number > target)
        return Fault{FaultKind::usage,
                     "job",
                     name + " is of version " + exact(stated->number) +
                         ", and this program reads versions 1 to " + std::to_string(target) +
                         ": use a newer program; nothing was changed",
                     {}};
    for (int version = static_cast<int>(stated->number); version < target; ++version) {
        const Migration* step = nullptr;
        for (const Migration& candidate : steps)
            if (candidate.from == version) step = &candidate;
        if (!step)
            return Fault{FaultKind::internal,
                         "job",
                         name + ": no step leads from version " + std::to_string(version) + " to the next",
                         {}};
        if (const auto done = step->apply(job); !done)
            return Fault{done.fault().kind,
                         "job",
                         name + ", from version " + std::to_string(version) + ": " + done.fault().message,
                         {}};
        if (Json* now = job.find("version")) *now = Json::of(static_cast<double>(version + 1));
    }
    return Done{};
}

}  // namespace archwright::design
