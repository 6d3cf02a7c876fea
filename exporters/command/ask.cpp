// The walls that give a device a stiffness asked for.
#include "engine/ask/ask.hpp"

#include "engine/ask/target_text.hpp"
#include "engine/build/start_job.hpp"
#include "engine/design/job_file.hpp"
#include "engine/flex/bed_file.hpp"
#include "exporters/ask_told.hpp"
#include "exporters/command/job_in_hand.hpp"
#include "exporters/flex_told.hpp"
#include "exporters/moving_in.hpp"

namespace archwright::exporters::command {

namespace {

/// A changed job may go there: nothing is, or may be written over.
Outcome<Done> job_may_go(const std::filesystem::path& target, bool replace) {
    std::error_code error;
    if (replace || !std::filesystem::exists(target, error)) return Done{};
    return Fault{FaultKind::usage,
                 "ask",
                 target.string() + " exists already: choose another name, or pass --replace.",
                 {}};
}

/// Names of the job's files as they are found from its new place.
Outcome<Done> follow_files(design::Job& job, const std::filesystem::path& from,
                           const std::filesystem::path& to, bool allow_outside) {
    const auto follow = [&](std::string& name) -> Outcome<Done> {
        if (name.empty()) return Done{};
        const auto file = design::resolve(from, name, allow_outside);
        if (!file) return file.fault();
        auto now = build::name_beside(*file, to, allow_outside);
        if (!now) return now.fault();
        name = std::move(*now);
        return Done{};
    };
    for (const Side side : {Side::left, Side::right})
        if (job.foot(side))
            if (const auto done = follow(job.foot(side)->cast.path); !done) return done.fault();
    return follow(job.order.insole_outline);
}

/// What is measured against another job's foot of that side, under every relative target: by the weight of
/// this job's person, so that both bear the same load.
Outcome<Done> measure_against(const AskOptions& options, Side side, const std::optional<double>& body_mass_kg,
                              ask::Question& question, Progress& progress) {
    const auto job = open_job(options.against, options.reading);
    if (!job) return job.fault();
    if (!job->foot(side))
        return Fault{FaultKind::usage,
                     "ask",
                     options.against.string() + " has no " + word(side) + " foot to measure against.",
                     {}};
    const auto workbench = open_bench(options.against, options.reading);
    if (!workbench) return workbench.fault();
    const auto device = (*workbench)->shape(*job, side, progress);
    if (!device) return device.fault();
    for (ask::Target& target : question.targets) {
        if (target.kind != ask::Target::Kind::relative) continue;
        const auto stiffness = ask::reference_stiffness(*device, body_mass_kg, target, question, progress);
        if (!stiffness) return stiffness.fault();
        target.reference = *stiffness;
        target.reference_name = "revision " + job->revision() + " of " + job->case_code;
    }
    return Done{};
}

}  // namespace

Exit run_ask(Console& console, const AskOptions& options) {
    ask::Question question;
    for (const std::string& text : options.targets) {
        auto targets = ask::parse_targets(text);
        if (!targets) return console.fail(targets.fault());
        question.targets.insert(question.targets.end(), targets->begin(), targets->end());
    }
    auto walls = ask::parse_walls(options.walls);
    if (!walls) return console.fail(walls.fault());
    question.walls = std::move(*walls);
    question.least_mm = options.least_mm;
    question.most_mm = options.most_mm;
    question.element_mm = options.element_mm;
    question.support = {options.friction, options.distal_spring_n_mm, options.bed_n_mm3, {}};
    if (!options.bed_shape.empty()) {
        auto shape = flex::read_bed_shape(options.bed_shape);
        if (!shape) return console.fail(shape.fault());
        question.support.bed_shape = std::move(*shape);
    }
    if (const auto good = ask::check_question(question); !good) return console.fail(good.fault());

    FileKnown known;
    auto job = open_job(options.job, options.reading, &known);
    if (!job) return console.fail(job.fault());
    if (!same_file(options.job, options.output))
        known = options.replace ? FileKnown::anything() : FileKnown::absent();
    const auto foot = design::choose_foot(*job, options.foot);
    if (!foot) return console.fail(foot.fault());
    const Side side = *foot;
    if (!options.output.empty())
        if (const auto free = job_may_go(options.output, options.replace); !free)
            return console.fail(free.fault());
    const auto workbench = open_bench(options.job, options.reading);
    if (!workbench) return console.fail(workbench.fault());
    if (!options.against.empty())
        if (const auto done =
                measure_against(options, side, job->order.body_mass_kg, question, console.progress());
            !done)
            return console.fail(done.fault());
    const auto device = (*workbench)->shape(*job, side, console.progress());
    if (!device) return console.fail(with_order(device.fault(), *job, {side}, **workbench));
    const auto answer = ask::ask(**workbench, *job, side, question, console.progress());
    if (!answer) return console.fail(answer.fault());

    const std::optional<Side> said = job->left && job->right ? foot.value() : std::optional<Side>();
    const std::vector<design::Command> commands = wall_commands(*answer, said);
    console.say(std::string(word(side)) + " foot, " + flex_about(*job, *device));
    for (const std::string& line : ask_lines(*answer)) console.say("  " + line);
    bool written = false;
    if (!options.output.empty() && (answer->met || options.nearest)) {
        design::Surroundings around;
        around.foot = side;
        around.every_rule = false;
        for (const design::Command& command : commands)
            if (const auto applied = design::apply(command, *job, around); !applied)
                return console.fail(applied.fault());
        if (const auto done = follow_files(*job, options.job, options.output, options.reading.allow_outside);
            !done)
            return console.fail(done.fault());
        if (const auto saved = keep_job(*job, options.output, options.reading, known); !saved)
            return console.fail(saved.fault());
        written = true;
        console.say("Wrote " + options.output.string());
    }
    if (console.json()) {
        nlohmann::ordered_json told{{"ok", answer->met}, {"side", word(side)}};
        told["material"] = flex_about_json(*job, *device);
        told.update(ask_json(*answer));
        told["written"] =
            written ? nlohmann::ordered_json(options.output.string()) : nlohmann::ordered_json();
        console.print_json(told);
    }
    if (answer->met) return Exit::done;
    if (!console.json() && !options.output.empty() && !written)
        console.say("Nothing was written: --nearest writes the walls that come nearest.");
    return Exit::check;
}

}  // namespace archwright::exporters::command
