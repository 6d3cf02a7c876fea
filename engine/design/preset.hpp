// A preset: part of an order in a file of its own, of a laboratory or a prescriber, by its code.
//
// It holds what an order decides of a foot (describe_asked in description.hpp) and what the device is worn
// for; nothing that belongs to one cast or one person. docs/presets.md shows the format.
#pragma once

#include <filesystem>
#include <map>
#include <string>
#include <string_view>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/base/side.hpp"
#include "engine/design/job.hpp"
#include "engine/design/json.hpp"

namespace archwright::design {

/// The version of the preset format.
inline constexpr int preset_version = 1;

struct Preset {
    std::string code;
    std::string title;
    std::string note;              ///< what it is for, and where its values come from
    Json foot = Json::object();    ///< keys of a foot, each checked against its range
    Json order = Json::object();   ///< keys of the order, in the same way
    std::vector<PresetValue> set;  ///< every value it sets, in the order of its file
};

/// Reads a preset by the rules of a job: ranges, unknown keys with the nearest known one, places. Lists
/// replace whole lists. Faults: FaultKind::input when it is no preset or cannot be read, FaultKind::usage
/// when a key or value is wrong; up to ten problems, one a line.
Outcome<Preset> read_preset(const std::filesystem::path& path);

/// The same from text; `name` stands for the file in messages.
Outcome<Preset> parse_preset(std::string_view text, const std::string& name);

/// Every preset of a folder, by code. A file must be named by its code; a faulty one is a fault naming it.
Outcome<std::map<std::string, Preset>> load_presets(const std::filesystem::path& folder);

/// What a preset did to one value; both as in PresetValue.
struct PresetChange {
    std::string name, from, to;
    bool changed() const { return from != to; }
};

/// Lays a preset over one foot (and the case's order) and records it there with what it set; an older record
/// of the same preset gives way. Applied twice it is as applied once. Nothing changes on a fault (usage): no
/// such foot, `by` is no code, too many presets.
Outcome<std::vector<PresetChange>> apply(Job& job, Side side, const Preset& preset, const std::string& by);

/// One value a preset set, and how it stands now.
struct PresetStand {
    enum class State {
        stands,   ///< as the preset set it
        changed,  ///< edited since
        later,    ///< a preset applied later set it as well
    };
    std::string preset, by, name, set, now;
    State state = State::stands;
    std::string later_preset;  ///< code of that one
};
/// "stands", "changed", "later".
const char* word(PresetStand::State state);
/// A value for a line of text: long lists are cut short.
std::string in_brief(const std::string& value);

/// Of all presets recorded on a foot, in order.
std::vector<PresetStand> preset_stands(const Job& job, Side side);

}  // namespace archwright::design
