// state: a person says what must never be guessed. landmark: a person says where something is.
#include <nlohmann/json.hpp>

#include "engine/base/text.hpp"
#include "engine/build/state_cast.hpp"
#include "engine/design/command_apply.hpp"
#include "engine/design/text_kind.hpp"
#include "engine/study/markings.hpp"
#include "exporters/command/job_in_hand.hpp"

namespace archwright::exporters::command {

namespace {

std::string place_text(const Vec3& p) {
    return exact(p.x()) + "," + exact(p.y()) + "," + exact(p.z());
}

}  // namespace

Exit run_state(Console& console, const StateOptions& options) {
    design::Command command{"state", {}};
    if (options.side) command.with("side", word(*options.side));
    if (options.unit) command.with("unit", word(*options.unit));
    if (options.up) command.with("up", place_text(*options.up));
    if (options.toes) command.with("toes", place_text(*options.toes));
    if (options.inside_out) command.with("inside_out", *options.inside_out ? "yes" : "no");
    command.with("by", options.by);
    design::Surroundings around;
    around.cast = [&](design::Job& job, Side side,
                      const design::CastWords& words) -> Outcome<design::CastAnswer> {
        const auto cast = cast_in_hand(job, side, options.job, options.reading, console.progress());
        if (!cast) return cast.fault();
        return build::state_cast(job, side, words, **cast, console.progress());
    };
    return change_job(console, options.job, options.foot, options.reading, {command}, std::move(around));
}

namespace {

/// The laboratory's own scatter in place of the program's: of landmarks a person set.
Exit take_spread(Console& console, const LandmarkOptions& options) {
    if (options.place)
        return console.fail({FaultKind::usage, "landmark", "--spread and --at do not go together.", {}});
    const auto spreads = study::read_spreads(options.spread);
    if (!spreads) return console.fail(spreads.fault());
    FileKnown known;
    auto job = open_job(options.job, options.reading, &known);
    if (!job) return console.fail(job.fault());
    const auto feet = choose_feet(*job, options.foot);
    if (!feet) return console.fail(feet.fault());
    if (options.name != "all" && !foot::landmark_id(options.name))
        return console.fail({FaultKind::usage,
                             "landmark",
                             design::in_quotes(options.name) + " is no landmark; \"all\" takes every one.",
                             {}});
    std::vector<std::string> told;
    for (const Side side : *feet)
        for (auto& [id, landmark] : job->foot(side)->landmarks) {
            const auto spread = spreads->find(id);
            if (spread == spreads->end() || landmark.source != foot::Landmark::Source::set ||
                (options.name != "all" && options.name != foot::key(id)))
                continue;
            landmark.sd_mm = spread->second;
            told.push_back(std::string(word(side)) + " foot, " + foot::title(id) + ": " +
                           rounded(spread->second, 2) + " mm");
        }
    if (told.empty())
        return console.fail({FaultKind::usage,
                             "landmark",
                             "no landmark of this job that a person set is in " + options.spread.string() +
                                 ": set or confirm them first.",
                             {}});
    if (const auto saved = keep_job(*job, options.job, options.reading, known); !saved)
        return console.fail(saved.fault());
    for (const std::string& line : told) console.say(line);
    if (console.json()) console.print_json(nlohmann::ordered_json{{"ok", true}, {"told", told}});
    return Exit::done;
}

}  // namespace

Exit run_landmark(Console& console, const LandmarkOptions& options) {
    if (!options.spread.empty()) return take_spread(console, options);
    design::Command command{options.place ? "landmark set" : "landmark confirm", {}};
    command.with("name", options.name);
    if (options.place) command.with("place", place_text(*options.place));
    command.with("by", options.by);
    return change_job(console, options.job, options.foot, options.reading, {command}, {});
}

}  // namespace archwright::exporters::command
