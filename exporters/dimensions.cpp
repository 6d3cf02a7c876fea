#include "exporters/dimensions.hpp"

#include <algorithm>

#include "engine/design/parameters.hpp"

namespace archwright::exporters {

namespace {

template <class Holder>
std::vector<Dimension> rows(const Holder& holder, const std::vector<design::Parameter>& parameters,
                            const std::vector<std::string>& folders, bool only_changed) {
    std::vector<Dimension> all;
    for (const design::Parameter& parameter : parameters) {
        const std::string folder = parameter.name.substr(0, parameter.name.find('.'));
        if (parameter.listed || std::find(folders.begin(), folders.end(), folder) == folders.end()) continue;
        const auto value = design::get(holder, parameter.name);
        if (!value || value->empty()) continue;
        Dimension row{
            parameter.name, *value,          parameter.unit, parameter.standard, *value != parameter.standard,
            parameter.help, parameter.source};
        if (!row.source.empty()) row.source = std::string("[") + letter(parameter.mark) + "] " + row.source;
        if (!only_changed || row.changed) all.push_back(std::move(row));
    }
    return all;
}

}  // namespace

std::vector<Dimension> dimensions(const design::FootDesign& foot) {
    auto all = rows(foot, design::foot_parameters(),
                    {"calipers", "balance", "dress", "trim", "wall", "posts", "rim", "material"}, false);
    // of a column that is not made only that it is not
    std::erase_if(all, [&](const Dimension& row) {
        const auto of = [&](const design::WallColumn& column, const std::string& name) {
            return !column.on && row.name.starts_with(name) && row.name != name + "on";
        };
        return of(foot.wall.medial_column, "wall.medial_column.") ||
               of(foot.wall.lateral_column, "wall.lateral_column.");
    });
    return all;
}

std::vector<Dimension> order_and_capture(const design::Job& job) {
    return rows(job, design::case_parameters(), {"order", "capture"}, true);
}

}  // namespace archwright::exporters
