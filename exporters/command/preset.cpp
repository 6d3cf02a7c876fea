// Presets: apply one to a job, list those that come with the program.
#include "engine/design/preset.hpp"

#include <nlohmann/json.hpp>

#include "engine/base/text.hpp"
#include "engine/design/text_kind.hpp"
#include "exporters/command/job_in_hand.hpp"

namespace archwright::exporters::command {

namespace {

using Json = nlohmann::ordered_json;

std::string text_of(const Json& out) {
    return out.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::filesystem::path presets_folder() {
    return design::assets_folder() / "presets";
}

/// A name that ends in ".json" or names a folder is a file; anything else the code of a shipped preset.
Outcome<design::Preset> find_preset(const std::string& word) {
    const std::filesystem::path path(word);
    if (path.extension() == ".json" || path.has_parent_path()) return design::read_preset(path);
    auto all = design::load_presets(presets_folder());
    if (!all) return all.fault();
    if (const auto found = all->find(word); found != all->end()) return found->second;
    std::vector<std::string> codes;
    std::string list;
    for (const auto& [code, preset] : *all) {
        codes.push_back(code);
        list += (list.empty() ? "" : ", ") + code;
    }
    const std::string near = nearest_word(word.substr(0, design::longest_name), codes);
    return Fault{FaultKind::usage,
                 "preset",
                 "There is no preset " + design::in_quotes(word) +
                     (near.empty() ? "" : "; did you mean \"" + near + "\"?") + " There are: " + list +
                     ". A preset of your own is named by its file, ending in .json. Nothing was changed.",
                 {}};
}

}  // namespace

Exit run_apply(Console& console, const ApplyOptions& options) {
    auto job = open_job(options.job, options.reading);
    if (!job) return console.fail(job.fault());
    const auto side = choose_foot(*job, options.foot);
    if (!side) return console.fail(side.fault());
    const auto preset = find_preset(options.preset);
    if (!preset) return console.fail(preset.fault());
    const auto changes = design::apply(*job, *side, *preset, options.by);
    if (!changes) return console.fail(changes.fault());
    const auto materials = design::load_materials(design::assets_folder() / "materials");
    if (!materials) return console.fail(materials.fault());
    for (const design::PresetChange& change : *changes)
        if (change.name == "material")
            if (const auto known = materials->find(change.to); !known) return console.fail(known.fault());
    if (const auto saved = keep_job(*job, options.job, options.reading); !saved)
        return console.fail(saved.fault());

    if (console.json()) {
        Json set = Json::array();
        for (const design::PresetChange& change : *changes)
            set.push_back({{"name", change.name},
                           {"from", change.from},
                           {"to", change.to},
                           {"changed", change.changed()}});
        console.print(text_of({{"ok", true},
                               {"preset", preset->code},
                               {"side", word(*side)},
                               {"by", options.by},
                               {"set", set}}));
        return Exit::done;
    }
    console.say("Applied " + preset->code + " (" + preset->title + ") to the " + word(*side) + " foot, by " +
                options.by + ".");
    for (const design::PresetChange& change : *changes)
        console.say("  " + change.name + " = " + design::in_brief(change.to) +
                    (change.changed() ? " (was " + design::in_brief(change.from) + ")" : ", as it was"));
    if (!preset->note.empty()) console.say("  " + preset->note);
    return Exit::done;
}

Exit run_presets(Console& console) {
    const auto all = design::load_presets(presets_folder());
    if (!all) return console.fail(all.fault());
    Json list = Json::array();
    for (const auto& [code, preset] : *all) {
        console.say(code + ": " + preset.title);
        if (!preset.note.empty()) console.say("  " + preset.note);
        Json set = Json::array();
        for (const design::PresetValue& value : preset.set) {
            console.say("  " + value.name + " = " + design::in_brief(value.value));
            set.push_back({{"name", value.name}, {"value", value.value}});
        }
        list.push_back({{"code", code}, {"title", preset.title}, {"note", preset.note}, {"set", set}});
    }
    if (console.json()) console.print(text_of({{"ok", true}, {"presets", list}}));
    return Exit::done;
}

}  // namespace archwright::exporters::command
