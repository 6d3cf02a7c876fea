// The header of a PLY: which elements follow, made of which properties.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "engine/scan/read_source.hpp"

namespace archwright::scan {

enum class PlyType { int8, uint8, int16, uint16, int32, uint32, float32, float64 };

constexpr std::size_t bytes_of(PlyType type) {
    switch (type) {
        case PlyType::int8:
        case PlyType::uint8:
            return 1;
        case PlyType::int16:
        case PlyType::uint16:
            return 2;
        case PlyType::int32:
        case PlyType::uint32:
        case PlyType::float32:
            return 4;
        case PlyType::float64:
            return 8;
    }
    return 1;
}
constexpr bool is_whole(PlyType type) {
    return type != PlyType::float32 && type != PlyType::float64;
}

struct PlyProperty {
    std::string name;
    PlyType type = PlyType::float32;   ///< of the value, or of each item of a list
    std::optional<PlyType> list_size;  ///< given for lists: type of the number of items
};

struct PlyElement {
    std::string name;
    std::size_t count = 0;  ///< as the file states it: believed for nothing but loops over bytes present
    std::vector<PlyProperty> properties;
    int find(std::string_view property) const;  ///< -1 when absent
};

struct PlyHeader {
    enum class Encoding { ascii, little_endian, big_endian };
    Encoding encoding = Encoding::ascii;
    std::vector<PlyElement> elements;
    std::vector<std::string> pictures;  ///< of comments "TextureFile NAME": pasted on the faces
    std::size_t end = 0;                ///< offset of the first byte of data
};

Outcome<PlyHeader> read_ply_header(const Source& source);

}  // namespace archwright::scan
