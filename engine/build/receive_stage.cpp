#include <algorithm>

#include "engine/base/text.hpp"
#include "engine/build/contradiction.hpp"
#include "engine/build/repair_stage.hpp"
#include "engine/build/stages.hpp"
#include "engine/scan/receive_as.hpp"

namespace archwright::build {

namespace {

using design::StatedBy;

Check* find(std::vector<Check>& checks, const std::string& id) {
    const auto found = std::find_if(checks.begin(), checks.end(), [&](const Check& c) { return c.id == id; });
    return found == checks.end() ? nullptr : &*found;
}

// A stop about side or unit can only be answered by typing it again after being shown this very contradiction
// of this very cast; then the check stands as "look".
void accept_restated(std::vector<Check>& checks, const std::string& id, const design::Statement& statement,
                     const std::string& contradiction) {
    Check* check = find(checks, id);
    if (check == nullptr || check->verdict != Verdict::stop) return;
    if (statement.by != StatedBy::person || statement.despite != contradiction) return;
    check->verdict = Verdict::look;
    check->message +=
        " Stated again all the same" + (statement.code.empty() ? "." : " by " + statement.code + ".");
}

Fault ask(const Check& check, const std::string& command) {
    return {FaultKind::ask, "receive", check.message + " Type: " + command, check.where};
}

Outcome<Received> standing_as(std::shared_ptr<const CastFile> cast, scan::Reception reception, Side side,
                              LengthUnit unit, const design::FootDesign& foot, Progress& progress) {
    auto repaired = repair_stage(cast->cleaning.mesh, reception, unit, foot, progress);
    if (!repaired) return repaired.fault();
    const TriangleMesh& scan = *repaired ? (*repaired)->mesh : cast->cleaning.mesh;
    const auto standing = foot::stand(scan, reception, side, unit, foot.landmarks);
    if (!standing) return standing.fault();
    auto balanced = foot::balance(*standing, foot.balance);
    if (!balanced) return balanced.fault();
    Received received;
    received.checks = reception.checks;
    received.checks.insert(received.checks.end(), standing->checks.begin(), standing->checks.end());
    received.checks.insert(received.checks.end(), balanced->checks.begin(), balanced->checks.end());
    received.measurements = foot::measure(*standing);
    if (*repaired)
        if (auto check = check_repairs(**repaired, foot, balanced->standing.frame))
            received.checks.push_back(std::move(*check));
    received.repaired = std::move(*repaired);
    received.cast = std::move(cast);
    received.reception = std::move(reception);
    received.standing = std::move(balanced->standing);
    received.balance = std::move(*balanced);
    return received;
}

}  // namespace

Outcome<Received> first_look(std::shared_ptr<const CastFile> cast, const scan::Stated& stated,
                             Progress& progress) {
    const Progress::Stretch stretch(progress, "Receiving the cast", 0.2, 1.0);
    const TriangleMesh& mesh = cast->cleaning.mesh;
    auto reception =
        scan::receive_as(stated.side.value_or(Side::right), mesh, cast->declared_unit, stated, &progress);
    if (!reception) return reception.fault();
    const Side side = stated.side.value_or(reception->side.value);
    if (!stated.side &&
        side == Side::left) {  // once more as the left foot it seems to be, as the job will have it
        reception = scan::receive_as(side, mesh, cast->declared_unit, stated, &progress);
        if (!reception) return reception.fault();
    }
    const LengthUnit unit = stated.unit.value_or(reception->unit.value);
    const Check unit_check = *find(reception->checks, "receive.unit");
    auto received = standing_as(std::move(cast), std::move(*reception), side, unit, {}, progress);
    if (!received && unit_check.verdict == Verdict::stop)  // a wrong unit hides heel and heads
        return ask(unit_check, "the same command with --unit mm|cm|in|m --by CODE");
    return received;
}

Outcome<Received> receive_stage(std::shared_ptr<const CastFile> cast, const design::FootDesign& foot,
                                Side side, const std::string& job_name, Progress& progress) {
    const Progress::Stretch stretch(progress, "Receiving the cast", 0.15, 0.28);
    scan::Stated stated;
    if (foot.cast.unit.by == StatedBy::person) stated.unit = foot.cast.unit.value;
    if (foot.side.by == StatedBy::person) stated.side = side;
    stated.up = foot.cast.up;
    stated.toes = foot.cast.toes;
    stated.inside_out = foot.cast.inside_out;
    auto reception = scan::receive_as(side, cast->cleaning.mesh, cast->declared_unit, stated, &progress);
    if (!reception) return reception.fault();

    const double length_mm = reception->foot_length * mm_per(reception->unit.value);
    if (possible_length(length_mm))
        accept_restated(reception->checks, "receive.unit", foot.cast.unit,
                        against(cast->sha256, word(reception->unit_of_shape)));
    accept_restated(reception->checks, "receive.side", foot.side,
                    against(cast->sha256, word(reception->side.value)));

    const std::string which = std::string(" --foot ") + word(side);
    if (const Check* unit = find(reception->checks, "receive.unit");
        unit != nullptr && unit->verdict == Verdict::stop)
        return ask(*unit, "archwright state " + job_name + which + " --unit " +
                              word(reception->unit_of_shape) + " --by CODE");
    if (const Check* s = find(reception->checks, "receive.side"); s != nullptr && s->verdict == Verdict::stop)
        return ask(*s, "archwright state " + job_name + which + " --side right|left --by CODE");
    // what the job holds as proposed must still be what the shape proposes
    if (!stated.unit && foot.cast.unit.by == StatedBy::proposed &&
        reception->unit.value != foot.cast.unit.value)
        return Fault{FaultKind::ask,
                     "receive",
                     std::string("The job holds the unit ") + word(foot.cast.unit.value) +
                         " as proposed, but the cast now proposes " + word(reception->unit.value) +
                         ". Type: archwright state " + job_name + which + " --unit UNIT --by CODE",
                     {}};
    if (!stated.side && reception->side.value != side)
        return Fault{FaultKind::ask,
                     "receive",
                     std::string("The job holds this foot as ") + word(side) +
                         ", not stated by a person, but the shape looks like a " +
                         word(reception->side.value) + " foot: " + reception->side.reason +
                         " Type: archwright state " + job_name + which + " --side right|left --by CODE",
                     {}};

    const LengthUnit unit = stated.unit ? *stated.unit : reception->unit.value;
    return standing_as(std::move(cast), std::move(*reception), side, unit, foot, progress);
}

}  // namespace archwright::build
