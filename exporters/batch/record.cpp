#include "exporters/batch/record.hpp"

#include <nlohmann/json.hpp>

#include "engine/base/file.hpp"

namespace archwright::exporters::batch {

Outcome<Done> write_record(const Record& record, const std::filesystem::path& path) {
    const nlohmann::ordered_json out{{"name", record.name},           {"made_from", record.made_from},
                                     {"version", record.version},     {"outcome", record.outcome},
                                     {"exit_code", record.exit_code}, {"verdict", record.verdict},
                                     {"seconds", record.seconds},     {"peak_mb", record.peak_mb},
                                     {"message", record.message},     {"files", record.files}};
    return write_file(path, out.dump(2, ' ', false, nlohmann::json::error_handler_t::replace) + "\n");
}

std::optional<Record> read_record(const std::filesystem::path& path) {
    constexpr std::size_t most = 1U << 20U;
    const auto file = FileBytes::read(path, most);
    if (!file) return std::nullopt;
    const auto in = nlohmann::json::parse(file->text(), nullptr, false);
    if (!in.is_object()) return std::nullopt;
    Record record;
    try {
        in.at("name").get_to(record.name);
        in.at("made_from").get_to(record.made_from);
        in.at("version").get_to(record.version);
        in.at("outcome").get_to(record.outcome);
        in.at("exit_code").get_to(record.exit_code);
        in.at("verdict").get_to(record.verdict);
        in.at("seconds").get_to(record.seconds);
        in.at("peak_mb").get_to(record.peak_mb);
        in.at("message").get_to(record.message);
        in.at("files").get_to(record.files);
    } catch (const nlohmann::json::exception&) {
        return std::nullopt;
    }
    return record;
}

}  // namespace archwright::exporters::batch
