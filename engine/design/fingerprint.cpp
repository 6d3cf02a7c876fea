#include "engine/design/fingerprint.hpp"

#include <algorithm>

#include "engine/base/hash.hpp"
#include "engine/design/description_case.hpp"
#include "engine/design/writer.hpp"

namespace archwright::design {

Json decisions(const Job& job, Side side, Deciding what) {
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
    deciding.add("order", to_json(job.order, writing));
    deciding.add("capture", to_json(job.capture, writing));
    deciding.add("foot", to_json(foot, writing));
    return deciding;
}

std::string fingerprint(const Job& job, Side side) {
    if (!job.foot(side)) return {};
    return sha256(print(decisions(job, side, Deciding::not_default), true));
}

const SignOff* valid_sign_off(const Job& job, Side side, const std::string& check) {
    if (!job.foot(side)) return nullptr;
    const std::string now = fingerprint(job, side);
    for (const SignOff& s : job.foot(side)->sign_offs)
        if (s.check == check && s.fingerprint == now) return &s;
    return nullptr;
}

const Approval* valid_approval(const Job& job, Side side) {
    if (!job.foot(side)) return nullptr;
    const std::string now = fingerprint(job, side);
    for (const Approval& a : job.foot(side)->approvals)
        if (a.revision == job.revision() && a.fingerprint == now) return &a;
    return nullptr;
}

}  // namespace archwright::design
