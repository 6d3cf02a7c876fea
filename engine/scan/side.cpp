#include "engine/scan/side.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"

namespace archwright::scan {

Proposal<Side> propose_side(const std::vector<Cue>& cues) {
    double total = 0.0;
    double weight = 0.0;
    double arch = 0.0;
    std::string evidence;
    for (const Cue& cue : cues) {
        if (!cue.applies) continue;
        total += cue.weight * cue.vote;
        weight += cue.weight;
        if (&cue == &cues.front()) arch = cue.vote;
        evidence += (evidence.empty() ? "" : ", ") + cue.name + " " + rounded(std::abs(cue.value), 1) + " " +
                    cue.unit + " for " + word(cue.value >= 0.0 ? Side::right : Side::left);
    }
    Proposal<Side> proposal;
    if (!(weight > 0.0)) {
        proposal.reason = "the scan shows nothing that tells left from right";
        return proposal;
    }
    const double vote = total / weight;
    proposal.value = vote >= 0.0 ? Side::right : Side::left;
    proposal.confidence = std::abs(vote);
    proposal.clear = std::abs(vote) >= tolerance::side_vote_clear && arch * vote >= 0.0;
    proposal.reason =
        "vote " + rounded(100.0 * std::abs(vote), 0) + " % for " + word(proposal.value) + ": " + evidence;
    return proposal;
}

Check check_side(const Proposal<Side>& proposal, const std::optional<Side>& stated) {
    Check check;
    check.id = "receive.side";
    check.title = "Side of the cast";
    check.signable = false;
    check.figure = 100.0 * proposal.confidence;
    check.limit = 100.0 * tolerance::side_vote_clear;
    check.unit = "%";
    if (!stated) {
        check.verdict = proposal.clear ? Verdict::look : Verdict::stop;
        check.message = proposal.clear ? std::string("Taken as a ") + word(proposal.value) +
                                             " foot until a person states it; " + proposal.reason + "."
                                       : "State the side: the shape does not tell it by a clear margin (" +
                                             proposal.reason + ").";
        return check;
    }
    check.message = std::string("Stated as a ") + word(*stated) + " foot; " + proposal.reason + ".";
    if (proposal.value == *stated) return check;
    check.verdict = proposal.clear ? Verdict::stop : Verdict::look;
    if (proposal.clear)
        check.message += std::string(" The shape is that of a ") + word(proposal.value) +
                         " foot: look at the evidence and state the side again. Nothing is mirrored.";
    else if (proposal.confidence > 0.0)
        check.message += " The shape leans to the other side, without a clear margin.";
    return check;
}

}  // namespace archwright::scan
