#include "engine/build/stages.hpp"
#include "engine/build/start_job.hpp"
#include "engine/design/second_foot.hpp"
#include "exporters/command/job_in_hand.hpp"
#include "exporters/comparing/pair_told.hpp"
#include "exporters/comparing/study_report.hpp"

namespace archwright::exporters::command {

namespace {

/// A cast in hand, from a file of its own or from a job.
struct ComparedCast {
    std::shared_ptr<const build::CastFile> file;
    build::Received received;
    Side side = Side::right;
    LengthUnit unit = LengthUnit::millimetre;
    std::optional<design::FootDesign> order;  ///< of its job, or as a job begun from it has it
    bool of_job = false;
    std::string name;
};

Outcome<ComparedCast> compared_job(const std::filesystem::path& path, const std::optional<Side>& side,
                                   const CompareOptions& options, Progress& progress) {
    const auto job = open_job(path, options.reading);
    if (!job) return job.fault();
    const auto feet = choose_feet(*job, side);
    if (!feet) return feet.fault();
    if (feet->size() > 1)
        return Fault{FaultKind::usage,
                     "compare",
                     path.string() + " has two feet: say which with --side (of the first) or --second-side.",
                     {}};
    const auto bench = open_bench(path, options.reading);
    if (!bench) return bench.fault();
    ComparedCast cast;
    cast.side = feet->front();
    const auto received = (*bench)->receive(*job, cast.side, progress);
    if (!received) return received.fault();
    cast.received = **received;
    cast.file = cast.received.cast;
    cast.order = *job->foot(cast.side);
    cast.of_job = true;
    cast.unit = cast.order->cast.unit.value;
    cast.name = path.filename().string();
    return cast;
}

Outcome<ComparedCast> compared_cast(const std::filesystem::path& path, const std::optional<Side>& side,
                                    const std::optional<LengthUnit>& unit, const CompareOptions& options,
                                    Progress& progress) {
    if (path.extension() == ".json") return compared_job(path, side, options, progress);
    auto file = build::open_cast(path, options.reading.limits, progress);
    if (!file) return file.fault();
    // as a job begun from it would have it, with the landmarks the shape suggests: so that two casts of one
    // foot stand the same way whether or not one of them has a job
    design::Job job;
    const auto started =
        build::start_foot(job, *file, path.filename().string(), {side, unit, "compare", false}, progress);
    if (!started) return started.fault();
    // what a person has to state is not guessed here either
    for (const Check& check : started->received.checks)
        if ((check.id == "receive.side" || check.id == "receive.unit") && check.verdict == Verdict::stop)
            return Fault{
                FaultKind::ask,
                "compare",
                path.filename().string() + ": " + check.message +
                    " State it with --side, --unit (of the second cast: --second-side, --second-unit).",
                {}};
    ComparedCast cast;
    cast.file = *file;
    cast.side = started->side;
    cast.unit = started->unit;
    cast.order = *job.foot(cast.side);
    cast.name = path.filename().string();
    auto received = build::receive_stage(cast.file, *cast.order, cast.side, cast.name, progress);
    if (!received) return received.fault();
    cast.received = std::move(*received);
    return cast;
}

/// The device of a cast to an order: enough of it to be compared.
Outcome<build::Device> built_to(const ComparedCast& cast, const design::FootDesign& order,
                                const design::Materials& materials, std::vector<std::string>& remarks,
                                Progress& progress) {
    design::FootDesign foot;
    // both casts take the order the same way: what lies on a mark of one cast alone is left out of both
    for (std::string& drawn : design::copy_order(order, foot)) remarks.push_back(std::move(drawn));
    foot.side.by = foot.cast.unit.by = design::StatedBy::person;
    foot.side.clear = foot.cast.unit.clear = true;
    foot.cast.unit.value = cast.unit;
    if (cast.order) {
        foot.landmarks = cast.order->landmarks;
        foot.repairs = cast.order->repairs;
        foot.cast.up = cast.order->cast.up;
        foot.cast.toes = cast.order->cast.toes;
        foot.cast.inside_out = cast.order->cast.inside_out;
    }
    build::Device device;
    device.side = cast.side;
    auto received = build::receive_stage(cast.file, foot, cast.side, cast.name, progress);
    if (!received) return received.fault();
    device.received = std::make_shared<build::Received>(std::move(*received));
    auto surfaced = build::surface_stage(*device.received, foot, progress);
    if (!surfaced) return surfaced.fault();
    device.surfaced = std::make_shared<build::Surfaced>(std::move(*surfaced));
    auto shelled = build::shell_stage(*device.received, *device.surfaced, foot, materials, progress);
    if (!shelled) return shelled.fault();
    device.shelled = std::make_shared<build::Shelled>(std::move(*shelled));
    return device;
}

Outcome<exporters::comparing::ShellsCompared> shells_of(const ComparedCast& first, const ComparedCast& second,
                                                        Progress& progress) {
    auto materials = design::load_materials(design::assets_folder() / "materials");
    if (!materials) return materials.fault();
    const design::FootDesign order = first.order.value_or(design::FootDesign{});
    exporters::comparing::ShellsCompared out;
    std::vector<std::string> same;
    const auto one = built_to(first, order, *materials, out.remarks, progress);
    if (!one) return one.fault();
    const auto two = built_to(second, order, *materials, same, progress);
    if (!two) return two.fault();
    auto apart = compare::shells(*two, *one, progress);
    if (!apart) return apart.fault();
    out.apart = std::move(*apart);
    out.figures = compare::figures_that_differ(*one, *two);
    return out;
}

}  // namespace

Exit run_compare(Console& console, const CompareOptions& options) {
    for (const auto& target : {options.picture, options.map})
        for (const auto& input : {options.first, options.second})
            if (!target.empty() && target.lexically_normal() == input.lexically_normal())
                return console.fail({FaultKind::usage,
                                     "compare",
                                     target.string() + " is one of the casts; it is never written over.",
                                     {}});
    if (const auto may = picture_may_go(options.picture, "compare", {options.first, options.second}); !may)
        return console.fail(may.fault());
    const auto first = compared_cast(options.first, options.side, options.unit, options, console.progress());
    if (!first) return console.fail(first.fault());
    const auto second =
        compared_cast(options.second, options.second_side, options.second_unit, options, console.progress());
    if (!second) return console.fail(second.fault());
    exporters::comparing::PairReport report;
    report.first = first->name;
    report.second = second->name;
    report.side = first->side;
    auto pair = compare::compare_casts(first->received, second->received,
                                       {options.left_right, options.same_mm}, console.progress());
    if (!pair) return console.fail(pair.fault());
    report.pair = std::move(*pair);
    const bool registered = report.pair.registration.ok();
    if (registered && (options.shells || first->of_job)) {
        auto shells = shells_of(*first, *second, console.progress());
        if (shells)
            report.shells = std::move(*shells);
        else if (shells.fault().kind == FaultKind::cancelled)
            return console.fail(shells.fault());
        else
            report.why_no_shells = shells.fault().message;
    }
    for (const std::string& line : exporters::comparing::pair_lines(report)) console.say(line);
    nlohmann::ordered_json told{{"ok", registered}};
    told.update(exporters::comparing::pair_json(report));
    if (registered && !options.picture.empty()) {
        const auto drawn = exporters::comparing::pair_picture(report);
        if (!drawn) return console.fail(drawn.fault());
        if (const auto done = picture::write_png(drawn->image, options.picture); !done)
            return console.fail(done.fault());
        told["picture"] = options.picture.string();
    }
    if (registered && !options.map.empty()) {
        const double limit = exporters::comparing::map_limit({&report.pair.mm});
        if (const auto done = exporters::comparing::write_coloured_ply(report.pair.second, report.pair.mm,
                                                                       -limit, limit, true, options.map);
            !done)
            return console.fail(done.fault());
        told["map"] = options.map.string();
    }
    if (console.json()) console.print_json(told);
    return registered ? Exit::done : Exit::check;
}

}  // namespace archwright::exporters::command
