#include "engine/scan/obj.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "engine/scan/weld.hpp"

namespace archwright::scan {

namespace {

// Words of the format that say nothing about the surface's triangles.
constexpr std::array<std::string_view, 12> passed_over = {"vt", "vn", "vp", "g",      "o",      "s",
                                                          "l",  "p",  "mg", "usemtl", "mtllib", "usemap"};

struct ObjReader {
    const Source& source;
    Reading reading;
    std::vector<std::array<float, 3>> colours;  ///< as written, one a point while `coloured`
    std::size_t highest = 0;                    ///< greatest point named, from 1, and where
    std::size_t highest_at = 0;
    std::size_t objects = 0;
    std::size_t unknown = 0;
    std::string first_unknown;

    std::optional<Fault> point(Lines& lines) {
        std::array<double, 7> value{};
        std::size_t count = 0;
        for (std::string_view word = lines.word(); !word.empty(); word = lines.word()) {
            if (count == value.size())
                return source.at_line(lines.word_offset(),
                                      "a point has more than seven numbers." + std::string(export_again));
            const auto number = number_of(word);
            if (!number) return source.at_line(lines.word_offset(), why_no_number(word));
            if (!sensible(*number)) return source.at_line(lines.word_offset(), why_not_sensible(*number));
            value[count++] = *number;
        }
        if (count < 3 || count == 5)
            return source.at_line(lines.line_offset(),
                                  "a point has " + std::to_string(count) +
                                      " numbers; three, or six with a colour, are needed." + export_again);
        std::vector<Vec3>& points = reading.mesh.points;
        if (points.size() >= source.most_points()) return source.too_many_points();
        if (count >= 6 && colours.size() == points.size())
            colours.push_back(
                {static_cast<float>(value[3]), static_cast<float>(value[4]), static_cast<float>(value[5])});
        points.emplace_back(value[0], value[1], value[2]);
        return std::nullopt;
    }

    std::optional<Fault> polygon(Lines& lines) {
        const auto known = static_cast<long long>(reading.mesh.points.size());
        Triangle triangle{};
        std::size_t corner = 0;
        for (std::string_view word = lines.word(); !word.empty(); word = lines.word(), ++corner) {
            long long index = 0;
            const char* const end = word.data() + word.size();
            const auto parsed = std::from_chars(word.data(), end, index);
            const bool good = parsed.ec == std::errc() && (parsed.ptr == end || *parsed.ptr == '/') &&
                              std::all_of(parsed.ptr, end, [](char c) {
                                  return c == '/' || c == '-' || (c >= '0' && c <= '9');
                              });
            if (!good)
                return source.at_line(lines.word_offset(),
                                      "\"" + shown(word) + "\" is not a corner of a polygon." + export_again);
            if (index < 0) index += known + 1;  // -1 is the point just before
            if (index < 1 || index > static_cast<long long>(source.most_points()))
                return source.at_line(lines.word_offset(), "a polygon names point " + shown(word) + ", of " +
                                                               std::to_string(known) + "." + export_again);
            if (static_cast<std::size_t>(index) > highest) {
                highest = static_cast<std::size_t>(index);
                highest_at = lines.word_offset();
            }
            const auto p = static_cast<std::int32_t>(index - 1);
            if (corner < 3) {
                triangle[corner] = p;
            } else {
                triangle[1] = triangle[2];
                triangle[2] = p;
            }
            if (corner >= 2) {
                if (reading.mesh.triangles.size() >= source.limits.triangles)
                    return source.too_many_triangles();
                reading.mesh.triangles.push_back(triangle);
            }
        }
        if (corner < 3)
            return source.at_line(lines.line_offset(), "a polygon has " + std::to_string(corner) +
                                                           " corners; three are needed." + export_again);
        return std::nullopt;
    }

    void take_colours() {
        TriangleMesh& mesh = reading.mesh;
        if (colours.empty()) return;
        if (colours.size() != mesh.points.size()) {
            reading.notes.emplace_back("Only some points have a colour; colours were left out.");
            return;
        }
        // 0..1 is usual, 0..255 is met: no colour of a whole cast stays below one part in 255.
        float most = 0.0f;
        for (const auto& c : colours) most = std::max({most, c[0], c[1], c[2]});
        const float scale = most > 1.0f ? 1.0f : 255.0f;
        mesh.colours.resize(colours.size());
        for (std::size_t i = 0; i < colours.size(); ++i)
            for (std::size_t k = 0; k < 3; ++k)
                mesh.colours[i][k] =
                    static_cast<std::uint8_t>(std::lround(std::clamp(scale * colours[i][k], 0.0f, 255.0f)));
    }
};

}  // namespace

Outcome<Reading> read_obj(const Source& source) {
    ObjReader reader{source, {}, {}, 0, 0, 0, 0, {}};
    reader.reading.format = "OBJ";
    std::size_t start = source.text.substr(0, 3) == "\xEF\xBB\xBF" ? 3 : 0;
    Lines lines(source.text, start);
    std::size_t count = 0;
    while (lines.next_joined()) {
        const std::string_view word = lines.word();
        if (++count % items_a_report == 0 && !source.go_on(lines.line_offset())) return source.cancelled();
        if (word.empty() || word.front() == '#') continue;
        std::optional<Fault> fault;
        if (word == "v") {
            fault = reader.point(lines);
        } else if (word == "f" || word == "fo") {
            fault = reader.polygon(lines);
        } else if (word == "o") {
            ++reader.objects;
        } else if (std::find(passed_over.begin(), passed_over.end(), word) == passed_over.end()) {
            if (reader.unknown++ == 0) reader.first_unknown = shown(word);
        }
        if (fault) return *fault;
    }
    if (reader.highest > reader.reading.mesh.points.size())
        return source.at_line(reader.highest_at, "a polygon names point " + std::to_string(reader.highest) +
                                                     ", the file holds " +
                                                     std::to_string(reader.reading.mesh.points.size()) +
                                                     ": it is damaged or cut off." + export_again);
    reader.take_colours();
    if (reader.objects > 1)
        reader.reading.notes.push_back(std::to_string(reader.objects) + " objects were read as one cast.");
    if (reader.unknown > 0)
        reader.reading.notes.push_back(std::to_string(reader.unknown) +
                                       " lines were passed over, the first begins with \"" +
                                       reader.first_unknown + "\".");
    return std::move(reader.reading);
}

}  // namespace archwright::scan
