#include "engine/scan/unit.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"

namespace archwright::scan {
namespace {

constexpr std::array<LengthUnit, 4> all_units{LengthUnit::millimetre, LengthUnit::centimetre,
                                              LengthUnit::inch, LengthUnit::metre};
// An estimate from the ball may be off by this share (ANSUR: ball over foot length 0.741, sd about 0.015;
// the ball itself is found within some 2 % of the length).
constexpr double estimate_slack = 0.05;

bool plausible(const UnitCandidate& c) {
    return c.plausible_adult || c.plausible_child;
}

std::string foot(const UnitCandidate& c) {
    static constexpr const char* names[] = {"millimetres", "centimetres", "inches", "metres"};
    return std::string("in ") + names[static_cast<int>(c.unit)] + " the foot is " +
           rounded(c.foot_length_mm, 0) + " mm long";
}

const UnitCandidate& of(const std::vector<UnitCandidate>& candidates, LengthUnit unit) {
    for (const UnitCandidate& c : candidates)
        if (c.unit == unit) return c;
    return candidates.front();
}

}  // namespace

std::vector<UnitCandidate> unit_candidates(double length, bool cut_toes) {
    const double slack = cut_toes ? estimate_slack : 0.0;
    std::vector<UnitCandidate> candidates;
    for (const LengthUnit unit : all_units) {
        UnitCandidate c;
        c.unit = unit;
        c.foot_length_mm = length * mm_per(unit);
        c.plausible_adult = c.foot_length_mm >= tolerance::adult_foot_low_mm * (1.0 - slack) &&
                            c.foot_length_mm <= tolerance::adult_foot_high_mm * (1.0 + slack);
        c.plausible_child = c.foot_length_mm >= tolerance::child_foot_low_mm * (1.0 - slack) &&
                            c.foot_length_mm < tolerance::adult_foot_low_mm;
        candidates.push_back(c);
    }
    return candidates;
}

Proposal<LengthUnit> propose_unit(const std::vector<UnitCandidate>& candidates,
                                  const std::optional<LengthUnit>& declared) {
    Proposal<LengthUnit> proposal;
    std::vector<const UnitCandidate*> fitting;
    for (const UnitCandidate& c : candidates)
        if (plausible(c)) fitting.push_back(&c);
    if (declared) {
        const UnitCandidate& c = of(candidates, *declared);
        proposal.value = *declared;
        proposal.clear = plausible(c);
        proposal.confidence = proposal.clear ? 1.0 : 0.0;
        proposal.reason = std::string("the file says ") + word(*declared) + "; " + foot(c);
        return proposal;
    }
    if (fitting.empty()) {
        // the unit of the likeliest length, so that what follows has a scale; never clear
        const auto off = [](const UnitCandidate& c) { return std::abs(std::log(c.foot_length_mm / 250.0)); };
        proposal.value =
            std::min_element(candidates.begin(), candidates.end(), [&](const auto& a, const auto& b) {
                return off(a) < off(b);
            })->unit;
        proposal.reason =
            "no unit makes a foot of a length seen in people (" + foot(of(candidates, proposal.value)) + ")";
        return proposal;
    }
    proposal.value = fitting.front()->unit;
    proposal.clear = fitting.size() == 1;
    proposal.confidence = 1.0 / static_cast<double>(fitting.size());
    if (proposal.clear) {
        proposal.reason =
            foot(*fitting.front()) +
            (fitting.front()->plausible_adult ? ", as adults' feet are" : ", as a child's may be") +
            "; no other unit makes a plausible foot";
        return proposal;
    }
    // Of several, the adult's is named first, but a person decides.
    for (const UnitCandidate* c : fitting)
        if (c->plausible_adult) {
            proposal.value = c->unit;
            break;
        }
    for (const UnitCandidate* c : fitting)
        proposal.reason += (proposal.reason.empty() ? "" : "; ") + foot(*c) +
                           (c->plausible_adult ? " (an adult's)" : " (a child's)");
    return proposal;
}

Check check_unit(const Proposal<LengthUnit>& proposal, const std::vector<UnitCandidate>& candidates,
                 const std::optional<LengthUnit>& declared, const std::optional<LengthUnit>& stated) {
    Check check;
    check.id = "receive.unit";
    check.title = "Unit of the cast file";
    check.signable = false;
    check.unit = "mm";
    if (!stated) {
        check.figure = of(candidates, proposal.value).foot_length_mm;
        const bool told = declared && *declared == proposal.value;  // by the file itself
        check.verdict = !proposal.clear ? Verdict::stop : told ? Verdict::pass : Verdict::look;
        check.message = std::string(proposal.clear ? "Taken as " : "State the unit, for example ") +
                        word(proposal.value) +
                        (proposal.clear && !told ? " until a person states it: " : ": ") + proposal.reason +
                        ".";
        return check;
    }
    const UnitCandidate& c = of(candidates, *stated);
    check.figure = c.foot_length_mm;
    check.message = std::string("Stated as ") + word(*stated) + "; " + foot(c) + ".";
    if (!plausible(c)) {
        check.verdict = Verdict::stop;
        check.message +=
            " No person's foot in the survey is of that length (adults 198 to 323 mm): look at "
            "the evidence and state the unit again.";
        for (const UnitCandidate& other : candidates)
            if (plausible(other)) check.message += " " + std::string(1, 'I') + foot(other).substr(1) + ".";
    } else if (declared && *declared != *stated) {
        check.verdict = Verdict::look;
        check.message += std::string(" The file itself says ") + word(*declared) + ".";
    } else {
        for (const UnitCandidate& other : candidates)
            if (other.unit != *stated && plausible(other)) {
                check.verdict = Verdict::look;
                check.message += " It could be another: " + foot(other) + ".";
            }
    }
    return check;
}

}  // namespace archwright::scan
