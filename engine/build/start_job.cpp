#include "engine/build/start_job.hpp"

#include "engine/build/stages.hpp"
#include "engine/build/state_cast.hpp"
#include "engine/design/second_foot.hpp"
#include "engine/design/text_kind.hpp"

namespace archwright::build {

namespace fs = std::filesystem;

namespace {

template <class T>
void propose(design::Statement& statement, const scan::Proposal<T>& proposal) {
    statement.by = design::StatedBy::proposed;
    statement.evidence = proposal.reason;
    statement.confidence = proposal.confidence;
    statement.clear = proposal.clear;
}

void state(design::Statement& statement, const std::string& by) {
    statement.by = design::StatedBy::person;
    statement.code = by;
    statement.confidence = 1.0;
    statement.clear = true;
}

}  // namespace

Outcome<StartedFoot> start_foot(design::Job& job, const std::shared_ptr<const CastFile>& cast,
                                const std::string& path, const FirstWords& words, Progress& progress) {
    const auto wrong = [](const std::string& message) {
        return Fault{FaultKind::usage, "new", message + " Nothing was changed.", {}};
    };
    if (words.side || words.unit)
        if (const std::string trouble = design::text_trouble(words.by, design::TextKind::code);
            !trouble.empty())
            return wrong("A side or unit goes on record as a person's word, under that person's code " +
                         design::in_quotes(words.by) + ": " + trouble + ".");
    scan::Stated stated;
    stated.side = words.side;
    stated.unit = words.unit;
    auto received = first_look(cast, stated, progress);
    if (!received) return received.fault();
    StartedFoot started;
    started.received = std::move(*received);
    const scan::Reception& reception = started.received.reception;
    started.side = started.received.standing.frame.side;
    started.unit = words.unit.value_or(reception.unit.value);
    if (job.foot(started.side))
        return wrong(std::string("The job holds a ") + word(started.side) +
                     " foot already, and this cast is stated or looks to be one: state its side if it is the "
                     "other.");
    if (words.same_order && !job.foot(other(started.side)))
        return wrong("The job has no other foot whose order could be taken over.");
    design::FootDesign design;
    design.cast.path = path;
    design.cast.sha256 = cast->sha256;
    design.cast.unit.value = started.unit;
    words.unit ? state(design.cast.unit, words.by) : propose(design.cast.unit, reception.unit);
    words.side ? state(design.side, words.by) : propose(design.side, reception.side);
    design.landmarks = scan_landmarks(started.received.standing);
    if (words.same_order) started.drawn = design::copy_order(*job.foot(other(started.side)), design);
    job.foot(started.side) = std::move(design);
    return started;
}

Outcome<std::string> name_beside(const fs::path& cast, const fs::path& job, bool allow_outside) {
    std::error_code error;
    const fs::path folder = fs::weakly_canonical(fs::absolute(job).parent_path(), error);
    const fs::path full = fs::weakly_canonical(fs::absolute(cast), error);
    const fs::path relative = full.lexically_relative(folder);
    if (relative.empty() || (*relative.begin() == ".." && !allow_outside))
        return Fault{
            FaultKind::usage,
            "new",
            "The cast " + cast.string() + " lies outside the folder of the job " + job.string() +
                ". Put the job beside the cast, or pass --allow-outside (and pass it again to make).",
            {}};
    return relative.generic_string();
}

std::string case_code_from(const fs::path& job) {
    std::string code;
    for (const char c : job.stem().string()) {
        const bool plain =
            (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '-';
        if (plain)
            code += c;
        else if (!code.empty() && code.back() != '-')
            code += '-';
    }
    while (!code.empty() && code.back() == '-') code.pop_back();
    for (const char* side : {"-left", "-right"})  // the side stands in every file name anyway
        if (code.ends_with(side) && code.size() > std::string(side).size())
            code.resize(code.size() - std::string(side).size());
    return code;
}

}  // namespace archwright::build
