// state: a person says what must never be guessed. landmark: a person says where something is.
#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/build/contradiction.hpp"
#include "engine/design/statement.hpp"
#include "engine/design/text_kind.hpp"
#include "engine/foot/stand.hpp"
#include "engine/scan/receive_as.hpp"
#include "exporters/command/job_in_hand.hpp"

namespace archwright::exporters::command {

namespace {

// Whether this very value was already on record as a person's word, so that typing it is typing it again.
bool again(const design::Statement& statement, bool same_value) {
    return statement.by == design::StatedBy::person && same_value;
}

const Check* find(const std::vector<Check>& checks, const std::string& id) {
    for (const Check& check : checks)
        if (check.id == id) return &check;
    return nullptr;
}

// What was suggested under another side, unit or way up lies elsewhere now: suggest again.
Outcome<foot::Landmarks> suggest_again(const TriangleMesh& cast, const scan::Reception& reception, Side side,
                                       const design::FootDesign& foot) {
    foot::Landmarks set;
    for (const auto& [id, landmark] : foot.landmarks)
        if (landmark.source == foot::Landmark::Source::set) set[id] = landmark;
    auto standing = foot::stand(cast, reception, side, foot.cast.unit.value, set);
    if (!standing) return standing.fault();
    return scan_landmarks(*standing);
}

}  // namespace

Exit run_state(Console& console, const StateOptions& options) {
    auto job = open_job(options.job, options.reading);
    if (!job) return console.fail(job.fault());
    const auto side = choose_foot(*job, options.foot);
    if (!side) return console.fail(side.fault());
    const design::FootDesign before = *job->foot(*side);
    const auto cast = cast_in_hand(*job, *side, options.job, options.reading, console.progress());
    if (!cast) return console.fail(cast.fault());

    const Side now = options.side.value_or(*side);
    if (options.side)
        if (const auto done = design::state_side(*job, *side, now, options.by); !done)
            return console.fail(done.fault());
    design::FootDesign& foot = *job->foot(now);
    if (options.unit)
        if (const auto done = design::state_unit(*job, now, *options.unit, options.by); !done)
            return console.fail(done.fault());
    if (options.up) foot.cast.up = options.up;
    if (options.toes) foot.cast.toes = options.toes;
    if (options.inside_out) foot.cast.inside_out = options.inside_out;

    scan::Stated stated{.unit = {},
                        .side = {},
                        .up = foot.cast.up,
                        .toes = foot.cast.toes,
                        .inside_out = foot.cast.inside_out};
    if (foot.side.by == design::StatedBy::person) stated.side = now;
    if (foot.cast.unit.by == design::StatedBy::person) stated.unit = foot.cast.unit.value;
    const auto reception =
        scan::receive_as(now, (*cast)->cleaning.mesh, (*cast)->declared_unit, stated, &console.progress());
    if (!reception) return console.fail(reception.fault());

    // The evidence goes on record. Against the shape a value has to be typed twice: the first time tells, the
    // second is believed.
    std::vector<Check> told;
    const auto contradicted = [&](const char* id, design::Statement& statement, bool typed_again,
                                  const std::string& shape_says) {
        const Check* check = find(reception->checks, id);
        statement.despite.clear();
        if (check == nullptr || check->verdict != Verdict::stop) return;
        if (typed_again)
            statement.despite = build::against((*cast)->sha256, shape_says);
        else
            told.push_back(*check);
    };
    if (options.side) {
        foot.side.evidence = reception->side.reason;
        contradicted("receive.side", foot.side, again(before.side, now == *side),
                     word(reception->side.value));
    }
    if (options.unit) {
        const Check* check = find(reception->checks, "receive.unit");
        foot.cast.unit.evidence = check->message;
        contradicted("receive.unit", foot.cast.unit,
                     again(before.cast.unit, before.cast.unit.value == *options.unit) &&
                         build::possible_length(reception->foot_length * mm_per(*options.unit)),
                     word(reception->unit_of_shape));
    }
    for (const char* id : {"receive.up", "receive.toes", "receive.inside_out"})
        if (const Check* check = find(reception->checks, id);
            check != nullptr && check->verdict == Verdict::stop)
            told.push_back(*check);
    auto landmarks = suggest_again((*cast)->cleaning.mesh, *reception, now, foot);
    if (!landmarks && told.empty()) return console.fail(landmarks.fault());
    if (landmarks) foot.landmarks = std::move(*landmarks);

    if (const auto saved = keep_job(*job, options.job, options.reading); !saved)
        return console.fail(saved.fault());
    if (!told.empty()) {
        std::string message = "Put on record, and it contradicts the shape, so nothing can be made yet:";
        for (const Check& check : told)
            message += "\n  [stop] " + check.title + " (" + check.id + "): " + check.message;
        return console.fail({FaultKind::ask,
                             "state",
                             message +
                                 "\nState what is right; a side or a unit that is right all the same, type "
                                 "once more.",
                             {}});
    }
    if (options.side)
        console.say(std::string("Side stated: ") + word(now) +
                    ". The evidence on record: " + foot.side.evidence);
    if (options.unit)
        console.say(std::string("Unit stated: ") + word(*options.unit) +
                    ". The evidence on record: " + foot.cast.unit.evidence);
    if (options.up) console.say("Up stated. " + reception->up.reason);
    if (options.toes) console.say("Toes stated. " + reception->toes.reason);
    if (options.inside_out) console.say("Inside and outside stated.");
    if (console.json()) console.print("{\"ok\": true}\n");
    return Exit::done;
}

Exit run_landmark(Console& console, const LandmarkOptions& options) {
    auto job = open_job(options.job, options.reading);
    if (!job) return console.fail(job.fault());
    const auto side = choose_foot(*job, options.foot);
    if (!side) return console.fail(side.fault());
    design::FootDesign& foot = *job->foot(*side);
    std::vector<foot::LandmarkId> ids;
    if (options.name == "all") {
        if (options.place)
            return console.fail({FaultKind::usage, "landmark", "\"all\" confirms; it takes no place.", {}});
        for (const auto& [id, landmark] : foot.landmarks) ids.push_back(id);
    } else if (const auto id = foot::landmark_id(options.name)) {
        ids.push_back(*id);
    } else {
        std::vector<std::string> names;
        for (const foot::LandmarkId each : design::every_landmark()) names.emplace_back(foot::key(each));
        const std::string near = nearest_word(options.name, names);
        std::string message = "There is no landmark \"" + options.name + "\"";
        if (!near.empty()) message += "; did you mean \"" + near + "\"?";
        message += ". There are:";
        for (const std::string& name : names) message += " " + name;
        return console.fail({FaultKind::usage, "landmark", message, {}});
    }
    for (const foot::LandmarkId id : ids) {
        const auto found = foot.landmarks.find(id);
        if (found == foot.landmarks.end() && !options.place)
            return console.fail(
                {FaultKind::usage,
                 "landmark",
                 std::string("The job holds no ") + foot::title(id) +
                     " to confirm: give its place with --at X,Y,Z in the cast file's coordinates.",
                 {}});
        foot::Landmark& landmark = foot.landmarks[id];
        // a place confirmed as it was suggested is no better known than before; one measured is
        if (options.place) {
            landmark.position = *options.place;
            landmark.confidence = 1.0;
            landmark.sd_mm = tolerance::set_landmark_sd_mm;
        }
        landmark.source = foot::Landmark::Source::set;
        landmark.by = options.by;
    }
    if (const auto saved = keep_job(*job, options.job, options.reading); !saved)
        return console.fail(saved.fault());
    for (const foot::LandmarkId id : ids)
        console.say(std::string(foot::title(id)) + (options.place ? ": set by " : ": confirmed by ") +
                    options.by + ".");
    if (console.json()) console.print("{\"ok\": true}\n");
    return Exit::done;
}

}  // namespace archwright::exporters::command
