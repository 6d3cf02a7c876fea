#include "engine/design/fingerprint.hpp"

#include <algorithm>

#include "engine/base/hash.hpp"
#include "engine/design/description_case.hpp"
#include "engine/design/writer.hpp"

namespace archwright::design {

namespace {

/// `order`: the part of the case's order that decides.
Json decisions_of(const Job& job, Side side, const Order& order, Deciding what) {
    if (!job.foot(side)) return Json::object();
    const Writing writing = what == Deciding::all ? Writing::complete : Writing::deciding;
    FootDesign foot = *job.foot(side);
    foot.side = {};
    static_cast<Statement&>(foot.cast.unit) = {};
    foot.cast.path.clear();
    foot.answers.clear();  // what a person thinks of the cast changes no device
    foot.presets.clear();
    foot.sign_offs.clear();
    foot.approvals.clear();
    // what a person refused, or has not yet looked at and nothing lies on, decides nothing
    std::erase_if(foot.marks, [&](const Mark& mark) {
        const auto lies_on = [&](const feature::Feature& one) { return one.anchor == mark.name; };
        return mark.refused ||
               (mark.open() && std::none_of(foot.features.begin(), foot.features.end(), lies_on));
    });

    Json deciding = Json::object();
    deciding.add("fingerprint", Json::of(1.0));  // the rule below, should it ever have to change
    deciding.add("case", Json::of(job.case_code));
    deciding.add("side", Json::of(word(side)));
    deciding.add("unit", Json::of(word(foot.cast.unit.value)));
    deciding.add("order", to_json(order, writing));
    deciding.add("capture", to_json(job.capture, writing));
    deciding.add("foot", to_json(foot, writing));
    return deciding;
}

std::string printed(const Json& decisions) {
    return sha256(print(decisions, true));
}

}  // namespace

Json decisions(const Job& job, Side side, Deciding what) {
    Order order = job.order;
    order.due.clear();  // a day that moves changes no device
    return decisions_of(job, side, order, what);
}

std::string fingerprint(const Job& job, Side side) {
    if (!job.foot(side)) return {};
    return printed(decisions(job, side, Deciding::not_default));
}

bool is_of(const Job& job, Side side, const std::string& known) {
    if (!job.foot(side) || known.empty()) return false;
    if (known == fingerprint(job, side)) return true;
    return !job.order.due.empty() &&
           known == printed(decisions_of(job, side, job.order, Deciding::not_default));
}

const SignOff* valid_sign_off(const Job& job, Side side, const std::string& check) {
    if (!job.foot(side)) return nullptr;
    for (const SignOff& s : job.foot(side)->sign_offs)
        if (s.check == check && is_of(job, side, s.fingerprint)) return &s;
    return nullptr;
}

const Approval* valid_approval(const Job& job, Side side) {
    if (!job.foot(side)) return nullptr;
    for (const Approval& a : job.foot(side)->approvals)
        if (a.revision == job.revision() && is_of(job, side, a.fingerprint)) return &a;
    return nullptr;
}

}  // namespace archwright::design
