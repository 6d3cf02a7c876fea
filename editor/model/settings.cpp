#include "editor/model/settings.hpp"

#include <algorithm>

#include "engine/base/file.hpp"
#include "engine/design/json.hpp"
#include "engine/design/text_kind.hpp"

namespace archwright::editor::model {

namespace fs = std::filesystem;
using design::Json;

namespace {

constexpr const char* file_name = "settings.json";
constexpr std::size_t most_bytes = std::size_t{1} << 20;

}  // namespace

void Settings::opened(const fs::path& job) {
    std::error_code error;
    const std::string name = fs::absolute(job, error).lexically_normal().string();
    std::erase(recent, name);
    recent.insert(recent.begin(), name);
    if (recent.size() > most_recent) recent.resize(most_recent);
}

Outcome<Settings> read_settings(const fs::path& folder) {
    const fs::path path = folder / file_name;
    std::error_code error;
    Settings settings;
    if (!fs::exists(path, error)) return settings;
    const auto wrong = [&](const std::string& what) {
        return Fault{FaultKind::input,
                     "settings",
                     path.string() + ": " + what + ". The defaults are used; mend the file or remove it.",
                     {}};
    };
    const auto file = FileBytes::read(path, most_bytes);
    if (!file) return file.fault();
    const auto json = design::parse_json(file->text(), path.string());
    if (!json) return wrong(json.fault().message);
    if (json->kind != Json::Kind::object) return wrong("it is no group of keys in { }");
    if (const Json* theme = json->find("theme")) {
        if (theme->text != "light" && theme->text != "dark") return wrong("theme is neither light nor dark");
        settings.theme = theme->text == "dark" ? Settings::Theme::dark : Settings::Theme::light;
    }
    if (const Json* scale = json->find("scale")) {
        const bool good =
            scale->kind == Json::Kind::number &&
            (scale->number == 0 || (scale->number >= least_scale && scale->number <= most_scale));
        if (!good) return wrong("scale is neither 0 nor a number from 0.5 to 4");
        settings.scale = scale->number;
    }
    if (const Json* person = json->find("person"); person && !person->text.empty()) {
        if (const std::string why = design::text_trouble(person->text, design::TextKind::code); !why.empty())
            return wrong("person " + why);
        settings.person = person->text;
    }
    if (const Json* tool = json->find("tool_mm")) {
        if (tool->kind != Json::Kind::number || !(tool->number >= least_tool_mm) ||
            !(tool->number <= most_tool_mm))
            return wrong("tool_mm is no number from 0.5 to 20");
        settings.tool_mm = tool->number;
    }
    if (const Json* jobs = json->find("jobs"); jobs && jobs->kind == Json::Kind::text)
        settings.jobs = jobs->text;
    if (const Json* recent = json->find("recent"))
        for (const Json& job : recent->items)
            if (job.kind == Json::Kind::text && settings.recent.size() < Settings::most_recent)
                settings.recent.push_back(job.text);
    return settings;
}

Outcome<Done> write_settings(const Settings& settings, const fs::path& folder) {
    std::error_code error;
    fs::create_directories(folder, error);
    Json json = Json::object();
    json.add("theme", Json::of(settings.theme == Settings::Theme::dark ? "dark" : "light"));
    json.add("scale", Json::of(settings.scale));
    json.add("person", Json::of(settings.person));
    json.add("tool_mm", Json::of(settings.tool_mm));
    json.add("jobs", Json::of(settings.jobs));
    Json recent = Json::list();
    for (const std::string& job : settings.recent) recent.items.push_back(Json::of(job));
    json.add("recent", std::move(recent));
    return write_file(folder / file_name, design::print(json));
}

}  // namespace archwright::editor::model
