#include "engine/scan/ply.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <charconv>
#include <cmath>
#include <cstring>
#include <limits>

#include "engine/scan/ply_header.hpp"
#include "engine/scan/texture.hpp"

namespace archwright::scan {

namespace {

/// The data of a text PLY, a record a line.
class TextData {
  public:
    TextData(const Source& source, std::size_t offset) : source_(source), lines_(source.text, offset) {}

    /// Before each record; false at the end of the data.
    bool begin() {
        do {
            if (!lines_.next()) return false;
        } while (!lines_.line_has_more());
        return true;
    }
    /// After each record.
    std::optional<Fault> end() {
        if (!lines_.line_has_more()) return std::nullopt;
        const std::string_view extra = lines_.word();
        return source_.at_line(
            lines_.word_offset(),
            "\"" + shown(extra) + "\" stands behind the numbers that the header announces." + export_again);
    }
    std::optional<Fault> number(PlyType, double& value) {
        const std::string_view word = lines_.word();
        const auto parsed = number_of(word);
        if (!parsed) return bad(word);
        value = *parsed;
        return std::nullopt;
    }
    std::optional<Fault> whole(PlyType, std::int64_t& value) {
        const std::string_view word = lines_.word();
        const char* const last = word.data() + word.size();
        const auto parsed = std::from_chars(word.data(), last, value);
        if (parsed.ec == std::errc() && parsed.ptr == last) return std::nullopt;
        const auto number = number_of(word);  // "3.0" is met
        if (!number || std::abs(*number) > 1e15 || *number != std::floor(*number)) return bad(word);
        value = static_cast<std::int64_t>(*number);
        return std::nullopt;
    }
    std::optional<Fault> skip(PlyType, std::size_t count) {
        for (std::size_t i = 0; i < count; ++i)
            if (const std::string_view word = lines_.word(); word.empty()) return bad(word);
        return std::nullopt;
    }
    Fault at(const std::string& message) const { return source_.at_line(lines_.word_offset(), message); }
    std::size_t offset() const { return lines_.line_offset(); }
    bool anything_left() {
        while (lines_.next())
            if (lines_.line_has_more()) return true;
        return false;
    }
    /// A record needs at least this many bytes: a digit and a blank or line end for each number.
    static std::size_t least_bytes(const PlyElement& element) {
        return std::max<std::size_t>(1, 2 * element.properties.size());
    }

  private:
    Fault bad(std::string_view word) const {
        return source_.at_line(lines_.word_offset(), why_no_number(word));
    }
    const Source& source_;
    Lines lines_;
};

/// The data of a binary PLY.
template <bool big>
class BinaryData {
  public:
    BinaryData(const Source& source, std::size_t offset) : source_(source), at_(offset) {}

    bool begin() { return true; }
    std::optional<Fault> end() { return std::nullopt; }
    std::optional<Fault> number(PlyType type, double& value) {
        if (bytes_of(type) > source_.text.size() - at_) return cut_off();
        switch (type) {
            case PlyType::float32:
                value = static_cast<double>(std::bit_cast<float>(take<std::uint32_t>()));
                break;
            case PlyType::float64:
                value = std::bit_cast<double>(take<std::uint64_t>());
                break;
            default:
                value = static_cast<double>(take_whole(type));
        }
        return std::nullopt;
    }
    std::optional<Fault> whole(PlyType type, std::int64_t& value) {
        if (bytes_of(type) > source_.text.size() - at_) return cut_off();
        value = take_whole(type);
        return std::nullopt;
    }
    std::optional<Fault> skip(PlyType type, std::size_t count) {
        if (count > (source_.text.size() - at_) / bytes_of(type)) return cut_off();
        at_ += count * bytes_of(type);
        return std::nullopt;
    }
    Fault at(const std::string& message) const { return source_.at_byte(at_, message); }
    std::size_t offset() const { return at_; }
    bool anything_left() const { return at_ < source_.text.size(); }
    static std::size_t least_bytes(const PlyElement& element) {
        std::size_t sum = 0;
        for (const PlyProperty& p : element.properties) sum += bytes_of(p.list_size.value_or(p.type));
        return sum;
    }

  private:
    Fault cut_off() const {
        return source_.at_byte(source_.text.size(),
                               "the data ends before what the header announces: the file is cut off." +
                                   std::string(export_again));
    }
    template <class Word>
    Word take() {
        Word value = 0;
        std::memcpy(&value, source_.text.data() + at_, sizeof(Word));
        at_ += sizeof(Word);
        if constexpr (big != (std::endian::native == std::endian::big)) {
            Word turned = 0;
            for (std::size_t i = 0; i < sizeof(Word); ++i)
                turned =
                    static_cast<Word>(turned | static_cast<Word>(static_cast<Word>(value >> (8 * i)) & 0xff)
                                                   << (8 * (sizeof(Word) - 1 - i)));
            value = turned;
        }
        return value;
    }
    std::int64_t take_whole(PlyType type) {
        switch (type) {
            case PlyType::int8:
                return static_cast<std::int8_t>(take<std::uint8_t>());
            case PlyType::uint8:
                return take<std::uint8_t>();
            case PlyType::int16:
                return static_cast<std::int16_t>(take<std::uint16_t>());
            case PlyType::uint16:
                return take<std::uint16_t>();
            case PlyType::int32:
                return static_cast<std::int32_t>(take<std::uint32_t>());
            case PlyType::uint32:
                return take<std::uint32_t>();
            default:
                return 0;  // never: the header admits whole types only where whole() is asked
        }
    }
    const Source& source_;
    std::size_t at_;
};

/// What a property of the vertex element means to us.
enum class Role : std::uint8_t { none, x, y, z, red, green, blue, u, v };

Role role_of(const PlyProperty& property) {
    if (property.list_size) return Role::none;
    constexpr std::array<std::pair<std::string_view, Role>, 15> names = {{{"x", Role::x},
                                                                          {"y", Role::y},
                                                                          {"z", Role::z},
                                                                          {"red", Role::red},
                                                                          {"green", Role::green},
                                                                          {"blue", Role::blue},
                                                                          {"diffuse_red", Role::red},
                                                                          {"diffuse_green", Role::green},
                                                                          {"diffuse_blue", Role::blue},
                                                                          {"u", Role::u},
                                                                          {"v", Role::v},
                                                                          {"s", Role::u},
                                                                          {"t", Role::v},
                                                                          {"texture_u", Role::u},
                                                                          {"texture_v", Role::v}}};
    for (const auto& [name, role] : names)
        if (property.name == name) return role;
    return Role::none;
}

/// One channel of a colour as 0..255, by the range of its type.
std::uint8_t channel(double value, PlyType type) {
    double scale = 1.0;
    if (!is_whole(type)) scale = 255.0;
    if (type == PlyType::uint16) scale = 255.0 / 65535.0;
    return static_cast<std::uint8_t>(
        std::lround(std::clamp(std::isnan(value) ? 0.0 : scale * value, 0.0, 255.0)));
}

template <class Data>
struct PlyReader {
    const Source& source;
    const PlyHeader& header;
    Data data;
    Reading reading;
    std::vector<Eigen::Vector2f> places{};  ///< of vertices in the picture, where they have any
    Texture texture{};

    std::optional<Fault> skip(const PlyProperty& property) {
        std::size_t count = 1;
        if (property.list_size) {
            std::int64_t stated = 0;
            if (auto fault = data.whole(*property.list_size, stated)) return fault;
            if (stated < 0) return data.at("a list of negative length." + std::string(export_again));
            count = static_cast<std::size_t>(stated);
        }
        return data.skip(property.type, count);
    }

    std::optional<Fault> vertices(const PlyElement& element) {
        std::vector<Role> roles;
        std::array<int, 9> found{};
        for (const PlyProperty& p : element.properties) {
            roles.push_back(role_of(p));
            ++found[static_cast<std::size_t>(roles.back())];
        }
        if (found[1] != 1 || found[2] != 1 || found[3] != 1)
            return source.fault("its vertices do not have one x, one y and one z each." +
                                std::string(export_again));
        const bool coloured = found[4] == 1 && found[5] == 1 && found[6] == 1;
        const bool pasted = found[7] == 1 && found[8] == 1 && !header.pictures.empty();
        TriangleMesh& mesh = reading.mesh;
        const std::size_t room = (source.text.size() - data.offset()) / Data::least_bytes(element);
        mesh.points.reserve(std::min(element.count, room));
        if (coloured) mesh.colours.reserve(std::min(element.count, room));
        for (std::size_t i = 0; i < element.count; ++i) {
            if (!data.begin()) return ended(element, i);
            std::array<double, 9> value{};
            for (std::size_t k = 0; k < roles.size(); ++k) {
                const PlyProperty& property = element.properties[k];
                const auto role = static_cast<std::size_t>(roles[k]);
                if (auto fault = role == 0 ? skip(property) : data.number(property.type, value[role]))
                    return fault;
                if (role >= 1 && role <= 3 && !sensible(value[role]))
                    return data.at("vertex " + std::to_string(i) + ": " + why_not_sensible(value[role]));
                if (role >= 4 && role <= 6) value[role] = channel(value[role], property.type);
            }
            if (auto fault = data.end()) return fault;
            mesh.points.emplace_back(value[1], value[2], value[3]);
            if (coloured)
                mesh.colours.push_back({static_cast<std::uint8_t>(value[4]),
                                        static_cast<std::uint8_t>(value[5]),
                                        static_cast<std::uint8_t>(value[6])});
            if (pasted) places.emplace_back(static_cast<float>(value[7]), static_cast<float>(value[8]));
            if (i % items_a_report == 0 && !source.go_on(data.offset())) return source.cancelled();
        }
        return std::nullopt;
    }

    std::optional<Fault> faces(const PlyElement& element, std::size_t points) {
        int corners = element.find("vertex_indices");
        if (corners < 0) corners = element.find("vertex_index");
        if (corners < 0 || !element.properties[static_cast<std::size_t>(corners)].list_size ||
            !is_whole(element.properties[static_cast<std::size_t>(corners)].type))
            return source.fault("its faces have no list \"vertex_indices\" of whole numbers." +
                                std::string(export_again));
        // places in the picture, two numbers a corner, and the number of the picture
        const auto find_pasted = [&](std::string_view name, bool list) {
            const int at = header.pictures.empty() ? -1 : element.find(name);
            if (at < 0) return -1;
            const PlyProperty& property = element.properties[static_cast<std::size_t>(at)];
            const bool fits = list ? property.list_size && !is_whole(property.type)
                                   : !property.list_size && is_whole(property.type);
            return fits ? at : -1;
        };
        const int on_picture = find_pasted("texcoord", true), which = find_pasted("texnumber", false);
        std::vector<Triangle>& triangles = reading.mesh.triangles;
        const std::size_t room = (source.text.size() - data.offset()) / Data::least_bytes(element);
        triangles.reserve(std::min({element.count, room, source.limits.triangles}));
        for (std::size_t i = 0; i < element.count; ++i) {
            if (!data.begin()) return ended(element, i);
            const std::size_t before = triangles.size();
            std::vector<Eigen::Vector2f> pasted;
            std::int64_t number = 0;
            for (std::size_t k = 0; k < element.properties.size(); ++k) {
                const PlyProperty& property = element.properties[k];
                std::optional<Fault> fault;
                if (static_cast<int>(k) == corners)
                    fault = polygon(property, i, points);
                else if (static_cast<int>(k) == on_picture)
                    fault = corners_on_picture(property, pasted);
                else if (static_cast<int>(k) == which)
                    fault = data.whole(property.type, number);
                else
                    fault = skip(property);
                if (fault) return fault;
            }
            if (auto fault = data.end()) return fault;
            if (on_picture >= 0) paste(before, pasted, number);
            if (i % items_a_report == 0 && !source.go_on(data.offset())) return source.cancelled();
        }
        return std::nullopt;
    }

    std::optional<Fault> corners_on_picture(const PlyProperty& property,
                                            std::vector<Eigen::Vector2f>& pasted) {
        std::int64_t count = 0;
        if (auto fault = data.whole(*property.list_size, count)) return fault;
        if (count < 0) return data.at("a list of negative length." + std::string(export_again));
        for (std::int64_t k = 0; k < count; ++k) {
            double value = 0.0;
            if (auto fault = data.number(property.type, value)) return fault;
            if (k % 2 == 0) pasted.emplace_back(0.0f, 0.0f);
            pasted.back()[k % 2] = static_cast<float>(value);
        }
        return std::nullopt;
    }

    /// Corners of the triangles a polygon was cut into, in the order of polygon().
    void paste(std::size_t first, const std::vector<Eigen::Vector2f>& pasted, std::int64_t number) {
        const Eigen::Vector2f nowhere = Eigen::Vector2f::Constant(std::numeric_limits<float>::quiet_NaN());
        const std::size_t made = reading.mesh.triangles.size() - first;
        for (std::size_t t = 0; t < made; ++t) {
            const bool whole = pasted.size() == made + 2;
            texture.corners.push_back(whole ? std::array{pasted[0], pasted[t + 1], pasted[t + 2]}
                                            : std::array{nowhere, nowhere, nowhere});
            texture.picture.push_back(number >= 0 &&
                                              number < static_cast<std::int64_t>(header.pictures.size())
                                          ? static_cast<std::int32_t>(number)
                                          : -1);
        }
    }

    /// Places given with the vertices become those of the triangles' corners.
    void paste_by_vertex() {
        if (places.size() != reading.mesh.points.size() || !texture.corners.empty()) return;
        for (const Triangle& t : reading.mesh.triangles) {
            texture.corners.push_back({places[static_cast<std::size_t>(t[0])],
                                       places[static_cast<std::size_t>(t[1])],
                                       places[static_cast<std::size_t>(t[2])]});
            texture.picture.push_back(0);
        }
    }

    std::optional<Fault> polygon(const PlyProperty& property, std::size_t face, std::size_t points) {
        const auto name = [&] { return "face " + std::to_string(face); };
        std::int64_t count = 0;
        if (auto fault = data.whole(*property.list_size, count)) return fault;
        if (count < 3)
            return data.at(name() + " has " + std::to_string(count) + " corners; three are needed." +
                           export_again);
        Triangle triangle{};
        for (std::int64_t k = 0; k < count; ++k) {
            std::int64_t index = 0;
            if (auto fault = data.whole(property.type, index)) return fault;
            if (index < 0 || static_cast<std::size_t>(index) >= points)
                return data.at(name() + " names vertex " + std::to_string(index) + ", of " +
                               std::to_string(points) + "." + export_again);
            const auto p = static_cast<std::int32_t>(index);
            if (k < 3) {
                triangle[static_cast<std::size_t>(k)] = p;
            } else {
                triangle[1] = triangle[2];
                triangle[2] = p;
            }
            if (k < 2) continue;
            if (reading.mesh.triangles.size() >= source.limits.triangles) return source.too_many_triangles();
            reading.mesh.triangles.push_back(triangle);
        }
        return std::nullopt;
    }

    std::optional<Fault> other(const PlyElement& element) {
        if (element.properties.empty()) return std::nullopt;
        for (std::size_t i = 0; i < element.count; ++i) {
            if (!data.begin()) return ended(element, i);
            for (const PlyProperty& property : element.properties)
                if (auto fault = skip(property)) return fault;
            if (auto fault = data.end()) return fault;
            if (i % items_a_report == 0 && !source.go_on(data.offset())) return source.cancelled();
        }
        return std::nullopt;
    }

    Fault ended(const PlyElement& element, std::size_t done) const {
        return source.at_line(source.text.size(), "the file ends after " + std::to_string(done) + " of " +
                                                      std::to_string(element.count) + " elements \"" +
                                                      shown(element.name) + "\": it is cut off." +
                                                      export_again);
    }

    Outcome<Reading> read() {
        std::size_t points = 0;
        int vertex_elements = 0;
        for (const PlyElement& element : header.elements)
            if (element.name == "vertex") {
                points = element.count;
                ++vertex_elements;
            }
        if (vertex_elements != 1)
            return source.fault("a PLY of a cast has one element \"vertex\"; this one has " +
                                std::to_string(vertex_elements) + "." + export_again);
        if (points > source.most_points()) return source.too_many_points();
        for (const PlyElement& element : header.elements) {
            std::optional<Fault> fault;
            if (element.name == "vertex") {
                fault = vertices(element);
            } else if (element.name == "face") {
                fault = faces(element, points);
            } else {
                fault = other(element);
                if (!fault && element.name == "tristrips")
                    reading.notes.emplace_back("Triangle strips were not read; export the cast with faces.");
            }
            if (fault) return *fault;
        }
        paste_by_vertex();
        texture.pictures = header.pictures;
        colour_by_texture(source, texture, reading);
        if (data.anything_left()) reading.notes.emplace_back("Data behind the last element was not read.");
        return std::move(reading);
    }
};

template <class Data>
Outcome<Reading> read_as(const Source& source, const PlyHeader& header, const char* format) {
    PlyReader<Data> reader{source, header, Data(source, header.end), {}};
    reader.reading.format = format;
    return reader.read();
}

}  // namespace

bool begins_as_ply(std::string_view bytes) {
    return bytes.size() >= 4 && bytes.substr(0, 3) == "ply" &&
           (bytes[3] == '\n' || bytes[3] == '\r' || bytes[3] == ' ' || bytes[3] == '\t');
}

Outcome<Reading> read_ply(const Source& source) {
    const auto header = read_ply_header(source);
    if (!header) return header.fault();
    switch (header->encoding) {
        case PlyHeader::Encoding::ascii:
            return read_as<TextData>(source, *header, "PLY ASCII");
        case PlyHeader::Encoding::little_endian:
            return read_as<BinaryData<false>>(source, *header, "PLY binary little endian");
        case PlyHeader::Encoding::big_endian:
            return read_as<BinaryData<true>>(source, *header, "PLY binary big endian");
    }
    return source.fault("unknown PLY format." + std::string(export_again));
}

}  // namespace archwright::scan
