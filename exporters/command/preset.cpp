// Presets: apply one to a job, list those that come with the program.
#include "engine/design/preset.hpp"

#include <nlohmann/json.hpp>

#include "engine/design/command_apply.hpp"
#include "exporters/command/job_in_hand.hpp"

namespace archwright::exporters::command {

namespace {

using Json = nlohmann::ordered_json;

std::string presets_text(const Json& out) {
    return out.dump(2, ' ', false, Json::error_handler_t::replace) + "\n";
}

std::filesystem::path presets_folder() {
    return design::assets_folder() / "presets";
}

}  // namespace

Exit run_apply(Console& console, const ApplyOptions& options) {
    const auto preset = design::find_preset(options.preset);
    if (!preset) return console.fail(preset.fault());
    design::Surroundings around;
    around.preset = [&](const std::string&) { return preset; };
    design::Command command{"apply", {}};
    command.with("preset", options.preset).with("by", options.by);
    std::vector<design::Applied> applied;
    if (const Exit exit = change_job(console, options.job, options.foot, options.reading, {command},
                                     std::move(around), &applied);
        exit != Exit::done)
        return exit;
    const design::Applied& done = applied.front();
    if (console.json()) {
        Json set = Json::array();
        for (const design::PresetChange& change : done.changes)
            set.push_back({{"name", change.name},
                           {"from", change.from},
                           {"to", change.to},
                           {"changed", change.changed()}});
        console.print(presets_text({{"ok", true},
                                    {"preset", preset->code},
                                    {"side", word(*done.foot)},
                                    {"by", options.by},
                                    {"set", set}}));
        return Exit::done;
    }
    for (const std::string& line : done.told) console.say(line);
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
    if (console.json()) console.print(presets_text({{"ok", true}, {"presets", list}}));
    return Exit::done;
}

}  // namespace archwright::exporters::command
