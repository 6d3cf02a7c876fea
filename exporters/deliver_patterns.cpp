#include "exporters/deliver_patterns.hpp"

#include <array>

#include "engine/base/file.hpp"
#include "engine/base/hash.hpp"
#include "exporters/moving_in.hpp"
#include "exporters/pattern_files.hpp"

namespace archwright::exporters {

namespace fs = std::filesystem;

namespace {

struct Kind {
    PatternFormat format;
    const char* word;
    const char* ending;
    Outcome<Done> (*verify)(std::string_view, const PatternSheet&);
};
constexpr std::array kinds{Kind{PatternFormat::pdf, "PDF", ".pdf", verify_pattern_pdf},
                           Kind{PatternFormat::svg, "SVG", ".svg", verify_pattern_svg},
                           Kind{PatternFormat::dxf, "DXF", ".dxf", verify_pattern_dxf}};

Outcome<std::string> bytes_of(const PatternSheet& sheet, PatternFormat format) {
    if (format == PatternFormat::pdf) return pattern_pdf(sheet);
    return format == PatternFormat::svg ? pattern_svg(sheet) : pattern_dxf(sheet);
}

std::optional<Fault> in_the_way(const fs::path& target, const std::string& bytes,
                                const PatternSetting& setting) {
    for (const fs::path& input : setting.inputs)
        if (same_file(target, input))
            return Fault{FaultKind::usage,
                         "write",
                         target.string() +
                             " is a file of the job; it is never written over. Nothing was changed; choose "
                             "another folder.",
                         {}};
    std::error_code error;
    if (setting.replace || !fs::exists(target, error)) return std::nullopt;
    const auto there = FileBytes::read(target);
    if (there && there->text() == bytes) return std::nullopt;
    return Fault{FaultKind::output,
                 "write",
                 target.string() +
                     " is there already and holds another pattern. Nothing was changed. Start a new revision "
                     "(archwright revise JOB --note TEXT), or pass --replace to replace it.",
                 {}};
}

}  // namespace

std::string file_stem(const pattern::Pattern& pattern) {
    return pattern.case_code + "-" + word(pattern.side) + "-" + pattern.revision + "-" + pattern.cover.name;
}

Outcome<std::vector<DeliveredPattern>> deliver_patterns(const std::vector<pattern::Pattern>& patterns,
                                                        const PatternSetting& setting, Progress& progress) {
    struct Ready {
        std::string name, bytes;
        const PatternSheet* sheet;
        const Kind* kind;
        std::size_t pattern;
    };
    std::vector<PatternSheet> sheets;
    for (const pattern::Pattern& pattern : patterns) {
        auto sheet = lay_out(pattern);
        if (!sheet) return sheet.fault();
        sheets.push_back(std::move(*sheet));
    }
    // every format is made, so that a file of another design is seen whatever was asked
    std::vector<Ready> ready;
    std::vector<fs::path> outdated;
    for (std::size_t k = 0; k < patterns.size(); ++k)
        for (const Kind& kind : kinds) {
            auto bytes = bytes_of(sheets[k], kind.format);
            if (!bytes) return bytes.fault();
            const std::string name = file_stem(patterns[k]) + kind.ending;
            if (auto fault = in_the_way(setting.folder / name, *bytes, setting)) return *fault;
            if (setting.formats.count(kind.format) != 0) {
                ready.push_back({name, std::move(*bytes), &sheets[k], &kind, k});
                continue;
            }
            const auto there = FileBytes::read(setting.folder / name);
            if (there && there->text() != *bytes) outdated.push_back(setting.folder / name);
        }
    const auto staging = Staging::in(setting.folder);
    if (!staging) return staging.fault();
    std::vector<DeliveredPattern> all(patterns.size());
    for (std::size_t k = 0; k < patterns.size(); ++k) all[k].paper = sheets[k].paper;
    std::vector<std::string> names;
    for (const Ready& file : ready) {
        const auto read_back = [&](const fs::path& path) -> Outcome<Done> {
            const auto bytes = FileBytes::read(path);
            if (!bytes) return bytes.fault();
            return file.kind->verify(bytes->text(), *file.sheet);
        };
        if (const auto done = write_file(staging->path() / file.name, file.bytes, read_back); !done)
            return done.fault();
        all[file.pattern].files.push_back(
            {file.name, file.kind->word, sha256(file.bytes), file.bytes.size()});
        names.push_back(file.name);
    }
    if (progress.cancelled())
        return Fault{FaultKind::cancelled, "write", "Cancelled; nothing was written.", {}};
    std::error_code ignored;
    for (const fs::path& path : outdated) fs::remove(path, ignored);
    if (const auto done = staging->move_in(names); !done) return done.fault();
    return all;
}

}  // namespace archwright::exporters
