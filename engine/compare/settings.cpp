#include "engine/compare/settings.hpp"

#include "engine/design/description.hpp"
#include "engine/design/description_case.hpp"
#include "engine/design/writer.hpp"

namespace archwright::compare {

using design::Json;

namespace {

Json settings_of(const design::FootDesign& foot) {
    Json all = design::to_json(foot, design::Writing::complete);
    for (const char* record :
         {"side", "cast", "landmarks", "marks", "answers", "presets", "sign_offs", "approvals"})
        all.drop(record);
    return all;
}

}  // namespace

std::vector<Setting> settings_that_differ(const design::FootDesign& before, const design::FootDesign& after) {
    std::vector<Setting> out;
    const Json one = settings_of(before), two = settings_of(after);
    design::trees_that_differ("", &one, &two, out);
    return out;
}

std::vector<Setting> settings_that_differ(const design::Job& before, const design::Job& after, Side side) {
    std::vector<Setting> out;
    if (before.foot(side) && after.foot(side))
        out = settings_that_differ(*before.foot(side), *after.foot(side));
    const auto of_case = [&](const char* name, const auto& one, const auto& two) {
        const Json a = design::to_json(one, design::Writing::complete),
                   b = design::to_json(two, design::Writing::complete);
        design::trees_that_differ(name, &a, &b, out);
    };
    of_case("order", before.order, after.order);
    of_case("capture", before.capture, after.capture);
    return out;
}

}  // namespace archwright::compare
