#include "engine/base/file.hpp"
#include "engine/design/fingerprint.hpp"
#include "engine/scan/clean.hpp"
#include "exporters/command/job_in_hand.hpp"
#include "exporters/comparing/pair_told.hpp"
#include "exporters/comparing/study_report.hpp"

namespace archwright::exporters::command {

Exit run_verify(Console& console, const VerifyOptions& options) {
    const auto verify_usage = [&](const std::string& what) {
        return console.fail({FaultKind::usage, "verify", what, {}});
    };
    for (const auto& target : {options.picture, options.map, options.record})
        for (const auto& input : {options.job, options.scan})
            if (!target.empty() && target.lexically_normal() == input.lexically_normal())
                return verify_usage(target.string() + " is the job or the scan; it is never written over.");
    std::error_code error;
    if (!options.record.empty() && !options.replace && std::filesystem::exists(options.record, error))
        return console.fail({FaultKind::output,
                             "verify",
                             options.record.string() + " exists already: --replace writes it anew.",
                             {}});
    const auto job = open_job(options.job, options.reading);
    if (!job) return console.fail(job.fault());
    const auto feet = choose_feet(*job, options.foot);
    if (!feet) return console.fail(feet.fault());
    if (feet->size() > 1)
        return verify_usage("The job has two feet: say with --foot whose device was scanned.");
    const auto bench = open_bench(options.job, options.reading);
    if (!bench) return console.fail(bench.fault());
    if (const auto may = picture_may_go(options.picture, "verify", {options.job, options.scan}); !may)
        return console.fail(may.fault());
    const auto read = scan::read_cast(options.scan, options.reading.limits, &console.progress());
    if (!read) return console.fail(read.fault());
    const Side side = feet->front();
    const auto device = (*bench)->build(*job, side, console.progress());
    if (!device) return console.fail(with_order(device.fault(), *job, *feet, **bench));

    TriangleMesh scan = scan::clean(read->mesh).mesh;
    const LengthUnit unit =
        options.unit ? *options.unit : read->declared_unit.value_or(LengthUnit::millimetre);
    for (Vec3& p : scan.points) p *= mm_per(unit);
    exporters::comparing::MadeReport report;
    report.job = options.job.filename().string();
    report.scan = options.scan.filename().string();
    report.scan_sha256 = read->sha256;
    report.fingerprint = design::fingerprint(*job, side);
    report.case_code = job->case_code;
    report.revision = job->revision();
    report.side = side;
    report.limits = options.limits;
    auto made = compare::verify_made(*device, std::move(scan), options.limits, console.progress());
    if (!made) return console.fail(made.fault());
    report.made = std::move(*made);
    for (const std::string& line : exporters::comparing::made_lines(report)) console.say(line);
    nlohmann::ordered_json told{{"ok", report.made.verdict() != Verdict::stop}};
    const nlohmann::ordered_json record = exporters::comparing::made_json(report);
    told.update(record);
    if (!options.picture.empty()) {
        const auto drawn = exporters::comparing::made_picture(report);
        if (!drawn) return console.fail(drawn.fault());
        if (const auto done = picture::write_png(drawn->image, options.picture); !done)
            return console.fail(done.fault());
    }
    if (!options.map.empty()) {
        const double limit = exporters::comparing::map_limit({&report.made.mm});
        if (const auto done = exporters::comparing::write_coloured_ply(report.made.scan, report.made.mm,
                                                                       -limit, limit, true, options.map);
            !done)
            return console.fail(done.fault());
    }
    if (!options.record.empty())
        if (const auto done = write_file(options.record, record.dump(2) + "\n"); !done)
            return console.fail(done.fault());
    if (console.json()) console.print_json(told);
    return report.made.verdict() == Verdict::stop ? Exit::check : Exit::done;
}

}  // namespace archwright::exporters::command
