#include "engine/scan/obj.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>
#include <limits>

#include "engine/base/file.hpp"
#include "engine/scan/texture.hpp"

namespace archwright::scan {

namespace {

// Words of the format that say nothing about the surface's triangles.
constexpr std::array<std::string_view, 9> passed_over = {"vn", "vp", "g", "o", "s", "l", "p", "mg", "usemap"};

struct ObjReader {
    const Source& source;
    Reading reading;
    std::vector<std::array<float, 3>> colours;  ///< as written, one a point while `coloured`
    std::size_t highest = 0;                    ///< greatest point named, from 1, and where
    std::size_t highest_at = 0;
    std::size_t objects = 0;
    std::size_t unknown = 0;
    std::string first_unknown;
    std::vector<Eigen::Vector2f> places{};  ///< in the picture, as written ("vt")
    std::vector<std::string> libraries{};   ///< files that say which picture a material has ("mtllib")
    std::vector<std::string> materials{};   ///< names used ("usemtl")
    std::int32_t material = -1;             ///< now in use: index into them
    Texture texture{};                      ///< `picture` holds materials until take_picture

    /// The rest of a line as one name: it may hold blanks.
    static std::string rest(Lines& lines) {
        const std::string_view line = lines.line();
        lines.word();
        const std::size_t from = lines.word_offset() - lines.line_offset();
        if (from >= line.size()) return {};
        std::string_view name = line.substr(from);
        const std::size_t last = name.find_last_not_of(" \t\r");
        return std::string(name.substr(0, last == std::string_view::npos ? 0 : last + 1));
    }

    /// A place in the picture; what is no number is no place, and never a reason to refuse a cast.
    void place(Lines& lines) {
        constexpr float none = std::numeric_limits<float>::quiet_NaN();
        const auto u = number_of(lines.word()), v = number_of(lines.word());
        if (places.size() >= source.most_points()) return;
        places.emplace_back(u ? static_cast<float>(*u) : none, v ? static_cast<float>(*v) : none);
    }

    void use(Lines& lines) {
        const std::string name = rest(lines);
        const auto at = std::find(materials.begin(), materials.end(), name);
        material = static_cast<std::int32_t>(at - materials.begin());
        constexpr std::size_t most_materials = 1000;
        if (at == materials.end() && materials.size() < most_materials) materials.push_back(name);
        if (static_cast<std::size_t>(material) >= materials.size()) material = -1;
    }

    /// Where a corner "7/3/2" lies in the picture.
    Eigen::Vector2f place_of(std::string_view corner) const {
        constexpr float none = std::numeric_limits<float>::quiet_NaN();
        const std::size_t slash = corner.find('/');
        long long index = 0;
        if (slash != std::string_view::npos)
            std::from_chars(corner.data() + slash + 1, corner.data() + corner.size(), index);
        if (index < 0) index += static_cast<long long>(places.size()) + 1;
        if (index < 1 || index > static_cast<long long>(places.size())) return {none, none};
        return places[static_cast<std::size_t>(index - 1)];
    }

    /// Which picture each material has, from the files beside the cast that say so.
    void take_picture() {
        if (places.empty() || libraries.empty() || source.folder.empty()) return;
        std::vector<std::int32_t> picture_of(materials.size(), -1);
        for (const std::string& library : libraries) {
            constexpr std::size_t most_bytes = 1'000'000;
            const auto file = FileBytes::read(source.folder / file_name_of(library), most_bytes);
            if (!file) {
                reading.notes.push_back("The file \"" + shown(file_name_of(library)) +
                                        "\", which names the picture pasted on the cast, was not read, so "
                                        "the cast has no colours from it. Put it beside the cast.");
                continue;
            }
            Lines lines(file->text());
            std::size_t now = materials.size();
            while (lines.next()) {
                const std::string_view word = lines.word();
                if (word == "newmtl") {
                    const std::string name = rest(lines);
                    now = static_cast<std::size_t>(std::find(materials.begin(), materials.end(), name) -
                                                   materials.begin());
                } else if (word == "map_Kd" && now < materials.size()) {
                    std::string name = rest(lines);
                    if (name.starts_with("-"))  // options stand before the name
                        name = name.substr(name.find_last_of(" \t") + 1);
                    picture_of[now] = static_cast<std::int32_t>(texture.pictures.size());
                    texture.pictures.push_back(name);
                }
            }
        }
        for (std::int32_t& p : texture.picture) p = p < 0 ? -1 : picture_of[static_cast<std::size_t>(p)];
        colour_by_texture(source, texture, reading);
    }

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
        const Eigen::Vector2f nowhere = Eigen::Vector2f::Constant(std::numeric_limits<float>::quiet_NaN());
        std::array<Eigen::Vector2f, 3> pasted{nowhere, nowhere, nowhere};
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
                pasted[corner] = place_of(word);
            } else {
                triangle[1] = triangle[2];
                triangle[2] = p;
                pasted[1] = pasted[2];
                pasted[2] = place_of(word);
            }
            if (corner >= 2) {
                if (reading.mesh.triangles.size() >= source.limits.triangles)
                    return source.too_many_triangles();
                reading.mesh.triangles.push_back(triangle);
                if (!places.empty()) {
                    texture.corners.resize(reading.mesh.triangles.size(), {nowhere, nowhere, nowhere});
                    texture.picture.resize(reading.mesh.triangles.size(), -1);
                    texture.corners.back() = pasted;
                    texture.picture.back() = material;
                }
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
        } else if (word == "vt") {
            reader.place(lines);
        } else if (word == "mtllib") {
            constexpr std::size_t most_libraries = 8;
            if (reader.libraries.size() < most_libraries) reader.libraries.push_back(ObjReader::rest(lines));
        } else if (word == "usemtl") {
            reader.use(lines);
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
    reader.take_picture();
    if (reader.objects > 1)
        reader.reading.notes.push_back(std::to_string(reader.objects) + " objects were read as one cast.");
    if (reader.unknown > 0)
        reader.reading.notes.push_back(std::to_string(reader.unknown) +
                                       " lines were passed over, the first begins with \"" +
                                       reader.first_unknown + "\".");
    return std::move(reader.reading);
}

}  // namespace archwright::scan
