// Commands that change the job alone: sign, set, revise; and the schema.
#include <algorithm>

#include "engine/design/command_apply.hpp"
#include "engine/design/schema.hpp"
#include "exporters/command/job_in_hand.hpp"

namespace archwright::exporters::command {

Exit change_job(Console& console, const std::filesystem::path& path, const std::optional<Side>& foot,
                const CastOptions& reading, const std::vector<design::Command>& commands,
                design::Surroundings around, std::vector<design::Applied>* what) {
    FileKnown known;
    auto job = open_job(path, reading, &known);
    if (!job) return console.fail(job.fault());
    const auto materials = design::load_materials(design::assets_folder() / "materials");
    if (!materials) return console.fail(materials.fault());
    around.foot = foot;
    around.materials = &*materials;
    around.every_rule =
        false;  // several values may be right together only: the job is checked when it is kept
    std::string told;
    std::optional<Fault> objection;
    for (const design::Command& command : commands) {
        auto applied = design::apply(command, *job, around);
        if (!applied) return console.fail(applied.fault());
        for (const std::string& line : applied->told) told += (told.empty() ? "" : "\n") + line;
        if (applied->objection) objection = applied->objection;
        if (what) what->push_back(std::move(*applied));
    }
    if (const auto saved = keep_job(*job, path, reading, known); !saved) return console.fail(saved.fault());
    if (objection) return console.fail(*objection);
    if (what) return Exit::done;  // the caller tells
    if (console.json()) console.print("{\"ok\": true}\n");
    console.say(told);
    return Exit::done;
}

Exit run_sign(Console& console, const SignOptions& options) {
    design::Surroundings around;
    around.open_stops = [&](const design::Job& job, Side side) -> Outcome<std::vector<Check>> {
        const auto bench = open_bench(options.job, options.reading);
        if (!bench) return bench.fault();
        const auto device = (*bench)->build(job, side, console.progress());
        if (!device) return device.fault();
        return device->open_stops();
    };
    design::Command command{"sign", {}};
    command.with("check", options.check).with("by", options.by).with("reason", options.reason);
    if (!options.second.empty()) command.with("second", options.second);
    return change_job(console, options.job, options.foot, options.reading, {command}, std::move(around));
}

Exit run_set(Console& console, const SetOptions& options) {
    std::vector<design::Command> commands;
    for (const std::string& setting : options.settings) {
        const std::size_t equals = setting.find('=');
        if (equals == std::string::npos)
            return console.fail({FaultKind::usage,
                                 "set",
                                 "\"" + setting +
                                     "\" is no setting; write NAME=VALUE, for example "
                                     "trim.cup_posterior_mm=14. Nothing was changed.",
                                 {}});
        design::Command command{"set", {}};
        command.with("name", setting.substr(0, equals)).with("value", setting.substr(equals + 1));
        commands.push_back(std::move(command));
    }
    return change_job(console, options.job, options.foot, options.reading, commands, {});
}

Exit run_revise(Console& console, const ReviseOptions& options) {
    design::Command command{"revise", {}};
    command.with("note", options.note);
    if (!options.date.empty()) command.with("date", options.date);
    return change_job(console, options.job, {}, options.reading, {command}, {});
}

Exit run_schema(Console& console) {
    console.print(design::json_schema());
    return Exit::done;
}

}  // namespace archwright::exporters::command
