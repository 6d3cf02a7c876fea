#include "engine/build/state_cast.hpp"

#include "engine/build/contradiction.hpp"
#include "engine/design/statement.hpp"
#include "engine/scan/receive_as.hpp"

namespace archwright::build {

namespace {

// Whether this very value was already on record as a person's word, so that typing it is typing it again.
bool again(const design::Statement& statement, bool same_value) {
    return statement.by == design::StatedBy::person && same_value;
}

const Check* check_with(const std::vector<Check>& checks, const std::string& id) {
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

Outcome<design::CastAnswer> state_cast(design::Job& job, Side side, const design::CastWords& words,
                                       const CastFile& cast, Progress& progress) {
    const design::FootDesign before = *job.foot(side);
    const Side now = words.side.value_or(side);
    if (words.side)
        if (const auto done = design::state_side(job, side, now, words.by); !done) return done.fault();
    design::FootDesign& foot = *job.foot(now);
    if (words.unit)
        if (const auto done = design::state_unit(job, now, *words.unit, words.by); !done) return done.fault();
    if (words.up) foot.cast.up = words.up;
    if (words.toes) foot.cast.toes = words.toes;
    if (words.inside_out) foot.cast.inside_out = words.inside_out;

    scan::Stated stated{.unit = {},
                        .side = {},
                        .up = foot.cast.up,
                        .toes = foot.cast.toes,
                        .inside_out = foot.cast.inside_out};
    if (foot.side.by == design::StatedBy::person) stated.side = now;
    if (foot.cast.unit.by == design::StatedBy::person) stated.unit = foot.cast.unit.value;
    const auto reception = scan::receive_as(now, cast.cleaning.mesh, cast.declared_unit, stated, &progress);
    if (!reception) return reception.fault();

    design::CastAnswer answer;
    answer.foot = now;
    const auto contradicted = [&](const char* id, design::Statement& statement, bool typed_again,
                                  const std::string& shape_says) {
        const Check* check = check_with(reception->checks, id);
        statement.despite.clear();
        if (check == nullptr || check->verdict != Verdict::stop) return;
        if (typed_again)
            statement.despite = against(cast.sha256, shape_says);
        else
            answer.contradictions.push_back(*check);
    };
    if (words.side) {
        foot.side.evidence = reception->side.reason;
        contradicted("receive.side", foot.side, again(before.side, now == side), word(reception->side.value));
    }
    if (words.unit) {
        const Check* check = check_with(reception->checks, "receive.unit");
        foot.cast.unit.evidence = check->message;
        contradicted("receive.unit", foot.cast.unit,
                     again(before.cast.unit, before.cast.unit.value == *words.unit) &&
                         possible_length(reception->foot_length * mm_per(*words.unit)),
                     word(reception->unit_of_shape));
    }
    for (const char* id : {"receive.up", "receive.toes", "receive.inside_out"})
        if (const Check* check = check_with(reception->checks, id);
            check != nullptr && check->verdict == Verdict::stop)
            answer.contradictions.push_back(*check);
    auto landmarks = suggest_again(cast.cleaning.mesh, *reception, now, foot);
    if (!landmarks && answer.contradictions.empty()) return landmarks.fault();
    if (landmarks) foot.landmarks = std::move(*landmarks);

    const auto on_record = [&](const char* what, const char* value, const std::string& evidence) {
        answer.told.push_back(std::string(what) + " stated: " + value +
                              ". The evidence on record: " + evidence);
    };
    if (words.side) on_record("Side", word(now), foot.side.evidence);
    if (words.unit) on_record("Unit", word(*words.unit), foot.cast.unit.evidence);
    if (words.up) answer.told.push_back("Up stated. " + reception->up.reason);
    if (words.toes) answer.told.push_back("Toes stated. " + reception->toes.reason);
    if (words.inside_out) answer.told.push_back("Inside and outside stated.");
    return answer;
}

foot::Landmarks scan_landmarks(const foot::Standing& standing) {
    foot::Landmarks landmarks = standing.landmarks;
    for (auto& [id, landmark] : landmarks) landmark.position = standing.frame.to_scan(landmark.position);
    return landmarks;
}

}  // namespace archwright::build
