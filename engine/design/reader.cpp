#include "engine/design/reader.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/design/text_kind.hpp"

namespace archwright::design {

namespace {

constexpr std::size_t most_problems = 10;
/// Texts from a file are shown shortened in messages.
constexpr std::size_t longest_shown = 40;

std::string shown(const Json& json) {
    if (json.kind == Json::Kind::number) return exact(json.number);
    if (json.kind == Json::Kind::boolean) return json.boolean ? "true" : "false";
    if (json.kind == Json::Kind::text) return in_quotes(json.text, longest_shown);
    return kind_word(json);
}

std::string with_unit(double value, std::string_view unit) {
    return exact(value) + (unit.empty() ? "" : " " + std::string(unit));
}

/// The known key that says the same with the unit a job uses: "cup_cm" for "cup_mm". Empty when there is
/// none.
std::string same_with_other_unit(const std::string& key, const std::vector<std::string>& known) {
    static constexpr std::array<std::string_view, 19> units{
        "mm",      "cm",  "m",       "um", "in", "inch", "inches", "ft",      "deg", "degree",
        "degrees", "rad", "radians", "kg", "g",  "lb",   "lbs",    "percent", "pct"};
    const std::size_t dash = key.rfind('_');
    if (dash == std::string::npos) return {};
    if (std::find(units.begin(), units.end(), std::string_view(key).substr(dash + 1)) == units.end())
        return {};
    for (const std::string& candidate : known) {
        const std::size_t end = candidate.rfind('_');
        if (end == dash && candidate.compare(0, end, key, 0, dash) == 0 &&
            std::find(units.begin(), units.end(), std::string_view(candidate).substr(end + 1)) != units.end())
            return candidate;
    }
    return {};
}

}  // namespace

void Problems::add(std::string problem) {
    if (++count_ <= most_problems) kept_.push_back(std::move(problem));
}

bool Problems::enough() const {
    return count_ >= most_problems;
}

std::string Problems::text() const {
    std::string all;
    for (const std::string& problem : kept_) all += (all.empty() ? "" : "\n") + problem;
    if (count_ > kept_.size()) all += "\nand " + std::to_string(count_ - kept_.size()) + " more";
    return all;
}

std::string Reader::full(std::string_view key) const {
    return path_.empty() ? std::string(key) : path_ + "." + std::string(key);
}
std::string Reader::entry(std::string_view key, std::size_t index) const {
    return full(key) + "[" + std::to_string(index) + "]";
}

const Json* Reader::take(std::string_view key) {
    known_.emplace_back(key);
    return json_.find(key);
}
const Json* Reader::take_object(std::string_view key) {
    const Json* json = take(key);
    if (!json || json->kind == Json::Kind::object) return json;
    wrong_kind(full(key), *json, "a group of keys in { }");
    return nullptr;
}
const Json* Reader::take_list(std::string_view key, const Count& count) {
    const Json* json = take(key);
    if (!json) {
        if (count.least > 0 && !rules_.partial) problems_.add(full(key) + " is missing: write a list in [ ]");
        return nullptr;
    }
    if (json->kind != Json::Kind::list) {
        wrong_kind(full(key), *json, "a list in [ ]");
        return nullptr;
    }
    if (json->items.size() < count.least || json->items.size() > count.most) {
        problems_.add(full(key) + " has " + std::to_string(json->items.size()) + " entries: it must have " +
                      std::to_string(count.least) + " to " + std::to_string(count.most));
        return nullptr;
    }
    return json;
}

void Reader::wrong_kind(const std::string& path, const Json& found, const std::string& wanted) {
    std::string problem = path + " is " + kind_word(found);
    if (found.kind == Json::Kind::text) problem += " (" + shown(found) + ")";
    problems_.add(problem + ": write " + wanted);
}

bool Reader::number_in(const Json& json, const std::string& path, const Range& range, double& v) {
    const std::string span = "between " + exact(range.low) + " and " + with_unit(range.high, range.unit);
    if (json.kind != Json::Kind::number) {
        wrong_kind(path, json, "a number without quotes and with a decimal point, " + span);
        return false;
    }
    if (!(json.number >= range.low && json.number <= range.high)) {
        problems_.add(path + " is " + with_unit(json.number, range.unit) + ": it must lie " + span);
        return false;
    }
    v = json.number == 0 ? 0.0 : json.number;  // -0 reads as 0, so that it is written as it was read
    return true;
}

void Reader::number(std::string_view key, double& v, const Range& range, const About&) {
    if (const Json* json = take(key)) number_in(*json, full(key), range, v);
}
void Reader::number(std::string_view key, std::optional<double>& v, const Range& range, const About&) {
    const Json* json = take(key);
    if (!json) return;
    double value = 0;
    if (json->kind == Json::Kind::null)
        v.reset();
    else if (number_in(*json, full(key), range, value))
        v = value;
}
void Reader::whole(std::string_view key, int& v, const Range& range, const About&) {
    const Json* json = take(key);
    double value = 0;
    if (!json || !number_in(*json, full(key), range, value)) return;
    if (value != std::floor(value))
        problems_.add(full(key) + " is " + exact(value) + ": write a whole number");
    else
        v = static_cast<int>(value);
}

void Reader::flag(std::string_view key, bool& v, const About&) {
    const Json* json = take(key);
    if (!json) return;
    if (json->kind == Json::Kind::boolean)
        v = json->boolean;
    else
        wrong_kind(full(key), *json, "true or false, without quotes");
}
void Reader::flag(std::string_view key, std::optional<bool>& v, const About& about) {
    const Json* json = json_.find(key);
    bool value = v.value_or(false);
    flag(key, value, about);
    if (!json) return;
    if (json->kind == Json::Kind::boolean) v = value;
}

std::optional<std::size_t> Reader::choose(std::string_view key, const std::vector<std::string>& keys) {
    const Json* json = take(key);
    if (!json) return std::nullopt;
    std::string list;
    for (const std::string& k : keys) list += (list.empty() ? "" : ", ") + k;
    if (json->kind != Json::Kind::text) {
        wrong_kind(full(key), *json, "one of " + list);
        return std::nullopt;
    }
    const auto found = std::find(keys.begin(), keys.end(), json->text);
    if (found != keys.end()) return static_cast<std::size_t>(found - keys.begin());
    const std::string near = nearest_word(json->text.substr(0, longest_name), keys);
    problems_.add(full(key) + " is " + shown(*json) + ": write one of " + list +
                  (near.empty() ? "" : " (did you mean \"" + near + "\"?)"));
    return std::nullopt;
}

void Reader::text(std::string_view key, std::string& v, TextKind kind, Presence presence, const About&) {
    const Json* json = take(key);
    if (!json) {
        if (presence == Presence::required && !rules_.partial && v.empty())
            problems_.add(full(key) + " is missing: it must be " + text_rule(kind));
        return;
    }
    if (json->kind != Json::Kind::text) {
        wrong_kind(full(key), *json, "a text in quotes");
        return;
    }
    if (json->text.empty() && presence == Presence::optional) {
        v.clear();
        return;
    }
    const std::string trouble = text_trouble(json->text, kind, rules_.allow_outside);
    if (trouble.empty())
        v = json->text;
    else
        problems_.add(full(key) + " is " + shown(*json) + ": " + trouble);
}

bool Reader::coordinates(const Json& json, const std::string& path, double* v, int n, double bound) {
    bool good = json.kind == Json::Kind::list && json.items.size() == static_cast<std::size_t>(n);
    for (const Json& item : json.items) good = good && item.kind == Json::Kind::number;
    if (!good) {
        wrong_kind(path, json, n == 2 ? "two numbers, [x, y]" : "three numbers, [x, y, z]");
        return false;
    }
    for (int i = 0; i < n; ++i) {
        const double value = json.items[static_cast<std::size_t>(i)].number;
        if (!(std::abs(value) <= bound)) {
            problems_.add(path + " holds " + exact(value) + ": coordinates must lie between " +
                          exact(-bound) + " and " + exact(bound));
            return false;
        }
        v[i] = value == 0 ? 0.0 : value;
    }
    return true;
}

void Reader::point(std::string_view key, Vec3& v, double bound, const About&) {
    const Json* json = take(key);
    if (json)
        coordinates(*json, full(key), v.data(), 3, bound);
    else if (!rules_.partial)
        problems_.add(full(key) + " is missing: write three numbers, [x, y, z]");
}
void Reader::point(std::string_view key, std::optional<Vec3>& v, double bound, const About&) {
    const Json* json = take(key);
    if (!json) return;
    Vec3 value;
    if (json->kind == Json::Kind::null)
        v.reset();
    else if (coordinates(*json, full(key), value.data(), 3, bound))
        v = value;
}

void Reader::landmarks(std::string_view key, foot::Landmarks& v, const About&) {
    const Json* json = take_object(key);
    if (!json) return;
    std::vector<std::string> keys;
    for (const foot::LandmarkId id : every_landmark()) keys.emplace_back(foot::key(id));
    for (const auto& [name, member] : json->members) {
        const std::string path = full(key) + "." + name.substr(0, longest_name);
        const std::optional<foot::LandmarkId> id = foot::landmark_id(name);
        if (!id && problems_.enough()) {
            problems_.add({});
        } else if (!id) {
            const std::string near = nearest_word(name.substr(0, longest_name), keys);
            problems_.add(path + " is no landmark" +
                          (near.empty() ? "" : ": did you mean \"" + near + "\"?"));
        } else if (member.kind != Json::Kind::object) {
            wrong_kind(path, member, "a group of keys in { }");
        } else {
            read_whole(member, path, v[*id]);
        }
    }
}

void Reader::refuse_unknown() {
    for (const auto& member : json_.members) {
        const std::string& key = member.first;
        if (std::find(known_.begin(), known_.end(), key) != known_.end()) continue;
        if (problems_.enough()) {  // looking for what was meant takes its time
            problems_.add({});
            continue;
        }
        const std::string brief = key.substr(0, longest_name);
        const std::string other = same_with_other_unit(brief, known_);
        std::string problem = full(brief) + " is no key of a job: ";
        if (!other.empty()) {
            const std::string unit = other.substr(other.rfind('_') + 1);
            problem += "it is kept in " + unit + "; convert the value and write \"" + other + "\"";
        } else if (const std::string near = nearest_word(brief, known_); !near.empty()) {
            problem += "did you mean \"" + near + "\"?";
        } else {
            std::string list;
            for (const std::string& k : known_) list += (list.empty() ? "" : ", ") + k;
            problem += "the keys here are " + list;
        }
        problems_.add(problem);
    }
}

}  // namespace archwright::design
