#include "engine/design/job_file.hpp"
#include "engine/design/statement.hpp"
#include "engine/foot/stand.hpp"
#include "engine/scan/receive_as.hpp"
#include "exporters/command/job_in_hand.hpp"

namespace archwright::exporters::command {

Exit run_state(Console& console, const StateOptions& options) {
    auto job = open_job(options.job, options.reading);
    if (!job) return console.fail(job.fault());
    const auto side = choose_foot(*job, options.foot);
    if (!side) return console.fail(side.fault());
    design::FootDesign& foot = *job->foot(*side);

    // the evidence, as it stands now, goes on record with the statement
    design::JobReading how;
    how.allow_outside = options.reading.allow_outside;
    const auto path = design::resolve(options.job, foot.cast.path, options.reading.allow_outside);
    if (!path) return console.fail(path.fault());
    const auto cast = build::open_cast(*path, options.reading.limits, console.progress());
    if (!cast) return console.fail(cast.fault());
    scan::Stated stated;
    stated.up = foot.cast.up;
    stated.toes = foot.cast.toes;
    stated.inside_out = foot.cast.inside_out;
    const auto reception = scan::receive_as(options.side.value_or(*side), (*cast)->cleaning.mesh,
                                            (*cast)->declared_unit, stated, &console.progress());
    if (!reception) return console.fail(reception.fault());

    Side now = *side;
    if (options.unit) {
        foot.cast.unit.evidence = reception->unit.reason;
        if (const auto done = design::state_unit(*job, now, *options.unit, options.by); !done)
            return console.fail(done.fault());
    }
    if (options.side) {
        foot.side.evidence = reception->side.reason;
        if (const auto done = design::state_side(*job, now, *options.side, options.by); !done)
            return console.fail(done.fault());
        now = *options.side;
    }
    design::FootDesign& stated_foot = *job->foot(now);
    if (options.side && now != *side) {
        // what was suggested for the other side has medial and lateral exchanged: suggest again
        foot::Landmarks set;
        for (const auto& [id, landmark] : stated_foot.landmarks)
            if (landmark.source == foot::Landmark::Source::set) set[id] = landmark;
        auto standing =
            foot::stand((*cast)->cleaning.mesh, *reception, now, stated_foot.cast.unit.value, set);
        if (!standing) return console.fail(standing.fault());
        stated_foot.landmarks = scan_landmarks(*standing);
    }
    if (const auto saved = design::save_job(*job, options.job, how); !saved)
        return console.fail(saved.fault());
    if (options.side)
        console.say(std::string("Side stated: ") + word(now) +
                    ". The evidence on record: " + reception->side.reason);
    if (options.unit)
        console.say(std::string("Unit stated: ") + word(*options.unit) +
                    ". The evidence on record: " + reception->unit.reason);
    if (console.json()) console.print("{\"ok\": true}\n");
    return Exit::done;
}

}  // namespace archwright::exporters::command
