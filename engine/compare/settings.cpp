#include "engine/compare/settings.hpp"

#include <algorithm>

#include "engine/design/description.hpp"
#include "engine/design/description_case.hpp"
#include "engine/design/writer.hpp"

namespace archwright::compare {

using design::Json;

namespace {

std::string text_of(const Json* value) {
    if (value == nullptr) return {};
    if (value->kind == Json::Kind::text) return value->text;
    return design::print(*value, true);
}

const std::string* name_of(const Json& entry) {
    const Json* name = entry.find("name");
    return name != nullptr && name->kind == Json::Kind::text ? &name->text : nullptr;
}

bool all_named(const Json& list) {
    return std::all_of(list.items.begin(), list.items.end(),
                       [](const Json& entry) { return name_of(entry) != nullptr; });
}

const Json* named(const Json& list, const std::string& name) {
    for (const Json& entry : list.items)
        if (*name_of(entry) == name) return &entry;
    return nullptr;
}

void walk(const std::string& name, const Json* before, const Json* after, std::vector<Setting>& out);

void walk_named(const std::string& name, const Json& before, const Json& after, std::vector<Setting>& out) {
    std::vector<std::string> kept_before, kept_after;
    for (const Json& entry : before.items) {
        const std::string& own = *name_of(entry);
        const Json* now = named(after, own);
        walk(name + "[" + own + "]", &entry, now, out);
        if (now != nullptr) kept_before.push_back(own);
    }
    for (const Json& entry : after.items) {
        const std::string& own = *name_of(entry);
        if (named(before, own) == nullptr)
            walk(name + "[" + own + "]", nullptr, &entry, out);
        else
            kept_after.push_back(own);
    }
    if (kept_before == kept_after) return;
    const auto joined = [](const std::vector<std::string>& all) {
        std::string text;
        for (const std::string& one : all) text += (text.empty() ? "" : ", ") + one;
        return text;
    };
    out.push_back({name, joined(kept_before), joined(kept_after)});
}

void walk(const std::string& name, const Json* before, const Json* after, std::vector<Setting>& out) {
    if (before != nullptr && after != nullptr) {
        if (*before == *after) return;
        if (before->kind == Json::Kind::object && after->kind == Json::Kind::object) {
            for (const auto& [key, value] : before->members)
                walk(name.empty() ? key : name + "." + key, &value, after->find(key), out);
            for (const auto& [key, value] : after->members)
                if (before->find(key) == nullptr)
                    walk(name.empty() ? key : name + "." + key, nullptr, &value, out);
            return;
        }
        if (before->kind == Json::Kind::list && after->kind == Json::Kind::list) {
            const bool objects =
                std::all_of(before->items.begin(), before->items.end(),
                            [](const Json& entry) { return entry.kind == Json::Kind::object; }) &&
                std::all_of(after->items.begin(), after->items.end(),
                            [](const Json& entry) { return entry.kind == Json::Kind::object; });
            if (objects && all_named(*before) && all_named(*after))
                return walk_named(name, *before, *after, out);
            if (objects && before->items.size() == after->items.size()) {
                for (std::size_t i = 0; i < before->items.size(); ++i)
                    walk(name + "[" + std::to_string(i) + "]", &before->items[i], &after->items[i], out);
                return;
            }
        }
    }
    out.push_back({name, text_of(before), text_of(after)});
}

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
    walk("", &one, &two, out);
    return out;
}

std::vector<Setting> settings_that_differ(const design::Job& before, const design::Job& after, Side side) {
    std::vector<Setting> out;
    if (before.foot(side) && after.foot(side))
        out = settings_that_differ(*before.foot(side), *after.foot(side));
    const auto of_case = [&](const char* name, const auto& one, const auto& two) {
        const Json a = design::to_json(one, design::Writing::complete),
                   b = design::to_json(two, design::Writing::complete);
        walk(name, &a, &b, out);
    };
    of_case("order", before.order, after.order);
    of_case("capture", before.capture, after.capture);
    return out;
}

}  // namespace archwright::compare
