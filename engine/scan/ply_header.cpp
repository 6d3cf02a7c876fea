#include "engine/scan/ply_header.hpp"

#include <algorithm>
#include <array>
#include <charconv>

namespace archwright::scan {

namespace {

struct TypeName {
    std::string_view name;
    PlyType type;
};
constexpr std::array<TypeName, 16> type_names = {{{"char", PlyType::int8},
                                                  {"uchar", PlyType::uint8},
                                                  {"short", PlyType::int16},
                                                  {"ushort", PlyType::uint16},
                                                  {"int", PlyType::int32},
                                                  {"uint", PlyType::uint32},
                                                  {"float", PlyType::float32},
                                                  {"double", PlyType::float64},
                                                  {"int8", PlyType::int8},
                                                  {"uint8", PlyType::uint8},
                                                  {"int16", PlyType::int16},
                                                  {"uint16", PlyType::uint16},
                                                  {"int32", PlyType::int32},
                                                  {"uint32", PlyType::uint32},
                                                  {"float32", PlyType::float32},
                                                  {"float64", PlyType::float64}}};

std::optional<PlyType> type_of(std::string_view word) {
    for (const TypeName& t : type_names)
        if (t.name == word) return t.type;
    return std::nullopt;
}

}  // namespace

int PlyElement::find(std::string_view property) const {
    for (std::size_t i = 0; i < properties.size(); ++i)
        if (properties[i].name == property) return static_cast<int>(i);
    return -1;
}

Outcome<PlyHeader> read_ply_header(const Source& source) {
    // The data behind the header may be binary, so a header of "\r" lines is told by its first line alone.
    const std::size_t first_end = source.text.find_first_of("\r\n");
    const bool returns = first_end != std::string_view::npos && source.text[first_end] == '\r' &&
                         source.text.substr(first_end, 2) != "\r\n";
    PlyHeader header;
    std::size_t offset = 0;
    bool format_known = false;
    const auto bad = [&](const std::string& what) { return source.at_line(offset, what + export_again); };
    for (std::size_t number = 1;; ++number) {
        const std::size_t end = source.text.find(returns ? '\r' : '\n', offset);
        if (end == std::string_view::npos)
            return source.fault("the header of the PLY has no \"end_header\" line: it is cut off." +
                                std::string(export_again));
        Lines line(source.text.substr(0, end), offset);
        line.next();
        const std::string_view word = line.word();
        if (number == 1) {
            if (word != "ply") return bad("a PLY begins with the line \"ply\".");
        } else if (word == "end_header") {
            header.end = end + 1;
            break;
        } else if (word == "format") {
            const std::string_view name = line.word();
            if (name == "ascii") {
                header.encoding = PlyHeader::Encoding::ascii;
            } else if (name == "binary_little_endian") {
                header.encoding = PlyHeader::Encoding::little_endian;
            } else if (name == "binary_big_endian") {
                header.encoding = PlyHeader::Encoding::big_endian;
            } else {
                return bad("the format \"" + shown(name) + "\" is not one of PLY.");
            }
            format_known = true;
        } else if (word == "element") {
            PlyElement element;
            element.name = line.word();
            const std::string_view count = line.word();
            const auto parsed = std::from_chars(count.data(), count.data() + count.size(), element.count);
            if (element.name.empty() || count.empty() || parsed.ec != std::errc() ||
                parsed.ptr != count.data() + count.size())
                return bad("\"" + shown(count) + "\" is not a number of elements.");
            header.elements.push_back(std::move(element));
        } else if (word == "property") {
            if (header.elements.empty()) return bad("a property stands before the first element.");
            PlyProperty property;
            std::string_view type = line.word();
            if (type == "list") {
                property.list_size = type_of(line.word());
                if (!property.list_size || !is_whole(*property.list_size))
                    return bad("a list needs a whole-number type for its length.");
                type = line.word();
            }
            const auto known = type_of(type);
            if (!known) return bad("\"" + shown(type) + "\" is not a type of PLY.");
            property.type = *known;
            property.name = line.word();
            if (property.name.empty()) return bad("a property has no name.");
            header.elements.back().properties.push_back(std::move(property));
        } else if (word == "comment") {
            constexpr std::size_t most_pictures = 64;
            if (line.word() == "TextureFile" && header.pictures.size() < most_pictures) {
                std::string name(line.word());  // a name may hold blanks
                for (std::string_view more = line.word(); !more.empty(); more = line.word())
                    name += " " + std::string(more);
                if (!name.empty()) header.pictures.push_back(name);
            }
        } else if (!word.empty() && word != "obj_info") {
            return bad("\"" + shown(word) + "\" does not belong in the header of a PLY.");
        }
        offset = end + 1;
    }
    if (!format_known)
        return source.fault("the header of the PLY has no \"format\" line." + std::string(export_again));
    return header;
}

}  // namespace archwright::scan
