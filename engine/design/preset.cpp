#include "engine/design/preset.hpp"

#include <algorithm>
#include <set>

#include "engine/base/file.hpp"
#include "engine/base/hash.hpp"
#include "engine/base/text.hpp"
#include "engine/design/asset_files.hpp"
#include "engine/design/description_case.hpp"
#include "engine/design/job_file.hpp"
#include "engine/design/parameters.hpp"
#include "engine/design/reader.hpp"
#include "engine/design/writer.hpp"

namespace archwright::design {

// What a preset file holds: a namespace of its own, where the archives find its descriptions.
namespace preset_file {

/// The part of a foot a preset may set.
struct AskedFoot {
    FootDesign& foot;
};
template <class A>
void describe(A& a, AskedFoot& s) {
    describe_asked(a, s.foot);
}

/// The part of the order a preset may set: habits, not facts of one person.
struct AskedOrder {
    Order& order;
};
template <class A>
void describe(A& a, AskedOrder& s) {
    a.choice("footwear", s.order.footwear, {"what the device is worn in"});
    a.choice("activity", s.order.activity, {"what the device has to bear"});
}

/// The file, its format key apart.
struct PresetFile {
    Preset& preset;
    AskedFoot foot;
    AskedOrder order;
};
template <class A>
void describe(A& a, PresetFile& s) {
    a.text("code", s.preset.code, TextKind::code, Presence::required, {"code of the preset"});
    a.text("title", s.preset.title, TextKind::words, Presence::required, {"its name for people"});
    a.text("note", s.preset.note, TextKind::words, Presence::optional, {"what it is for; sources"});
    a.object("foot", s.foot, {"what it sets of a foot"});
    a.object("order", s.order, {"what it sets of the order"});
}

}  // namespace preset_file

namespace {

using preset_file::AskedFoot, preset_file::AskedOrder, preset_file::PresetFile;

constexpr const char* format_key = "archwright_preset";
constexpr std::string_view of_order = "order.";

/// Keys of the part `asked` describes.
template <class Part>
std::vector<std::string> keys_of(Part asked) {
    Writer writer(Writing::complete);
    describe(writer, asked);
    std::vector<std::string> keys;
    for (const auto& member : writer.take().members) keys.push_back(member.first);
    return keys;
}

/// First parts of the names below `prefix`: "trim.cup_medial_mm" is "trim".
std::set<std::string> groups(const std::vector<Parameter>& all, std::string_view prefix) {
    std::set<std::string> names;
    for (const Parameter& p : all)
        if (p.name.starts_with(prefix)) {
            const std::string rest = p.name.substr(prefix.size());
            names.insert(rest.substr(0, rest.find_first_of(".[")));
        }
    return names;
}

/// Takes out and names every key that a job has there but no preset may set; what no job has is left for the
/// reader to name.
void refuse_foreign(Json& file, const char* group, const std::vector<std::string>& allowed,
                    const std::set<std::string>& known, const char* whose, Problems& problems) {
    Json* part = file.find(group);
    if (!part) return;
    std::string list;
    for (const std::string& key : allowed) list += (list.empty() ? "" : ", ") + key;
    for (const std::string& key : known) {
        if (std::find(allowed.begin(), allowed.end(), key) != allowed.end() || !part->find(key)) continue;
        problems.add(std::string(group) + "." + key + " belongs to one " + whose +
                     ", so no preset may set it: take it out; a preset sets " + list);
        part->drop(key);
    }
}

/// A value as the record holds it.
std::string value_text(const Json* value) {
    if (!value || value->kind == Json::Kind::null) return "none";
    if (value->kind == Json::Kind::text) return value->text.empty() ? "none" : value->text;
    std::string text = print(*value, true);
    if (text.size() > longest_words) text = "SHA-256 " + sha256(text);
    return text;
}

/// Every value of a foot and its case's order, looked up by dotted name.
class Values {
  public:
    Values(const FootDesign& foot, const Order& order)
        : foot_(to_json(foot, Writing::complete)), order_(to_json(order, Writing::complete)) {}

    std::string at(std::string_view name) const {
        const Json* value = &foot_;
        if (name.starts_with(of_order)) {
            value = &order_;
            name.remove_prefix(of_order.size());
        }
        while (value && !name.empty()) {
            const std::size_t dot = std::min(name.find('.'), name.size());
            value = value->find(name.substr(0, dot));
            name.remove_prefix(std::min(dot + 1, name.size()));
        }
        return value_text(value);
    }

  private:
    Json foot_, order_;
};

/// Dotted names of all that `json` sets: groups are walked, everything else is one value.
void collect_names(const Json& json, const std::string& prefix, std::vector<std::string>& names) {
    for (const auto& [key, member] : json.members) {
        const std::string name = prefix + key;
        if (member.kind == Json::Kind::object)
            collect_names(member, name + ".", names);
        else
            names.push_back(name);
    }
}

void lay_over(const Preset& preset, FootDesign& foot, Order& order, Problems& problems) {
    const Reader::Rules partial{true, false};
    AskedFoot asked{foot};
    AskedOrder worn{order};
    read_json(preset.foot, "foot", asked, partial, problems);
    read_json(preset.order, "order", worn, partial, problems);
}

Outcome<Preset> preset_from_tree(Json file, const std::string& name) {
    const Json* format = file.find(format_key);
    if (!format || format->kind != Json::Kind::number)
        return Fault{
            FaultKind::input,
            "preset",
            name + " is no preset: it does not say \"" + format_key + "\": " + std::to_string(preset_version),
            {}};
    if (format->number != preset_version)
        return Fault{FaultKind::input,
                     "preset",
                     name + " is a preset of version " + exact(format->number) +
                         "; this program reads version " + std::to_string(preset_version),
                     {}};
    file.drop(format_key);

    Problems problems;
    FootDesign foot;
    Order order;
    refuse_foreign(file, "foot", keys_of(AskedFoot{foot}), groups(foot_parameters(), ""), "foot and its cast",
                   problems);
    refuse_foreign(file, "order", keys_of(AskedOrder{order}), groups(case_parameters(), of_order), "case",
                   problems);
    Preset preset;
    PresetFile whole{preset, {foot}, {order}};
    read_json(file, "", whole, Reader::Rules{}, problems);
    foot.lettering.on = false;  // whether its sizes go together is known only on a foot: see `apply`
    check_foot(foot, "foot", problems);
    if (const Json* part = file.find("foot"); part && part->kind == Json::Kind::object) preset.foot = *part;
    if (const Json* part = file.find("order"); part && part->kind == Json::Kind::object) preset.order = *part;
    std::vector<std::string> names;
    collect_names(preset.foot, "", names);
    collect_names(preset.order, std::string(of_order), names);
    if (problems.empty() && names.empty())
        problems.add("it sets nothing: write \"foot\" with what it is to set");
    if (!problems.empty()) return Fault{FaultKind::usage, "preset", name + ": " + problems.text(), {}};
    const Values values(foot, order);
    for (std::string& each : names) {
        std::string value = values.at(each);
        preset.set.push_back({std::move(each), std::move(value)});
    }
    return preset;
}

}  // namespace

Outcome<Preset> parse_preset(std::string_view text, const std::string& name) {
    Outcome<Json> json = parse_json(text, name);
    if (!json) return json.fault();
    return preset_from_tree(std::move(json).value(), name);
}

Outcome<Preset> read_preset(const std::filesystem::path& path) {
    const auto file = FileBytes::read(path, JsonLimits{}.bytes);
    if (!file) return file.fault();
    return parse_preset(file->text(), path.filename().string());
}

Outcome<std::map<std::string, Preset>> load_presets(const std::filesystem::path& folder) {
    const auto files = asset_files(folder, "preset");
    if (!files) return files.fault();
    std::map<std::string, Preset> all;
    for (const auto& file : *files) {
        auto preset = read_preset(file);
        if (!preset) return preset.fault();
        if (preset->code != file.stem().string())
            return Fault{FaultKind::usage,
                         "preset",
                         file.filename().string() + ": its code is \"" + preset->code + "\": name the file " +
                             preset->code + ".json",
                         {}};
        all.emplace(preset->code, std::move(preset).value());
    }
    return all;
}

Outcome<std::vector<PresetChange>> apply(Job& job, Side side, const Preset& preset, const std::string& by) {
    const auto wrong = [](const std::string& message) {
        return Fault{FaultKind::usage, "preset", message + " Nothing was changed.", {}};
    };
    if (!job.foot(side)) return wrong(std::string("The job has no ") + word(side) + " foot.");
    if (const std::string trouble = by.empty() ? "it is empty" : text_trouble(by, TextKind::code);
        !trouble.empty())
        return wrong("The code of the person who applies the preset, " + in_quotes(by) + ": " + trouble +
                     ".");
    FootDesign foot = *job.foot(side);
    Order order = job.order;
    std::erase_if(foot.presets, [&](const AppliedPreset& old) { return old.code == preset.code; });
    if (foot.presets.size() >= most_presets)
        return wrong("The foot has " + std::to_string(foot.presets.size()) +
                     " presets on record already, and more are not kept.");
    Problems problems;
    lay_over(preset, foot, order, problems);
    if (problems.empty()) check_foot(foot, word(side), problems);
    if (!problems.empty()) return wrong("The preset " + preset.code + ": " + problems.text() + ".");

    const Values before(*job.foot(side), job.order), after(foot, order);
    std::vector<PresetChange> changes;
    AppliedPreset record{preset.code, by, {}};
    for (const PresetValue& value : preset.set) {
        changes.push_back({value.name, before.at(value.name), after.at(value.name)});
        record.set.push_back({value.name, changes.back().to});
    }
    foot.presets.push_back(std::move(record));
    *job.foot(side) = std::move(foot);
    job.order = std::move(order);
    return changes;
}

const char* word(PresetStand::State state) {
    return state == PresetStand::State::stands    ? "stands"
           : state == PresetStand::State::changed ? "changed"
                                                  : "later";
}

std::string in_brief(const std::string& value) {
    constexpr std::size_t enough = 60;
    return value.size() <= enough ? value : value.substr(0, enough - 3) + "...";
}

std::vector<PresetStand> preset_stands(const Job& job, Side side) {
    std::vector<PresetStand> stands;
    if (!job.foot(side)) return stands;
    const Values values(*job.foot(side), job.order);
    const std::vector<AppliedPreset>& presets = job.foot(side)->presets;
    for (auto preset = presets.begin(); preset != presets.end(); ++preset)
        for (const PresetValue& value : preset->set) {
            PresetStand stand{preset->code,          preset->by, value.name, value.value,
                              values.at(value.name), {},         {}};
            if (stand.now != stand.set) stand.state = PresetStand::State::changed;
            for (auto later = preset + 1; later != presets.end(); ++later)
                for (const PresetValue& other : later->set)
                    if (other.name == value.name) {
                        stand.state = PresetStand::State::later;
                        stand.later_preset = later->code;
                    }
            stands.push_back(std::move(stand));
        }
    return stands;
}

}  // namespace archwright::design
