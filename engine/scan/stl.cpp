#include "engine/scan/stl.hpp"
#include "engine/base/text.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>

#include "engine/scan/weld.hpp"

namespace archwright::scan {

namespace {

std::uint32_t little_endian(const unsigned char* p) {
    return static_cast<std::uint32_t>(p[0]) | static_cast<std::uint32_t>(p[1]) << 8 |
           static_cast<std::uint32_t>(p[2]) << 16 | static_cast<std::uint32_t>(p[3]) << 24;
}

}  // namespace

std::size_t binary_stl_count(std::string_view bytes) {
    if (bytes.size() < stl_header) return 0;
    return little_endian(reinterpret_cast<const unsigned char*>(bytes.data()) + 80);
}

bool is_exact_binary_stl(std::string_view bytes) {
    return bytes.size() >= stl_header && stl_header + stl_triangle * binary_stl_count(bytes) == bytes.size();
}

Outcome<Reading> read_stl_binary(const Source& source) {
    const std::string_view bytes = source.text;
    if (bytes.size() < stl_header)
        return source.fault("an STL needs 84 bytes before its first triangle, the file holds " +
                            std::to_string(bytes.size()) + ": it is cut off." + export_again);
    const std::size_t count = binary_stl_count(bytes);
    const std::size_t present = (bytes.size() - stl_header) / stl_triangle;
    if (count > present)
        return source.fault("its header announces " + std::to_string(count) + " triangles, the file's " +
                            std::to_string(bytes.size()) + " bytes hold " + std::to_string(present) +
                            ": it is cut off, or no STL file." + export_again);
    if (count > source.limits.triangles) return source.too_many_triangles();

    Reading reading;
    reading.format = "STL binary";
    if (const std::size_t end = stl_header + stl_triangle * count; end < bytes.size())
        reading.notes.push_back(std::to_string(bytes.size() - end) +
                                " bytes behind the last triangle were not read.");
    TriangleMesh& mesh = reading.mesh;
    mesh.triangles.resize(count);
    mesh.points.reserve(count / 2 + 16);  // a closed mesh has half as many points as triangles
    Welder<float> welder(mesh.points, count / 2 + 16);

    constexpr std::size_t batch = 32;
    std::array<std::array<float, 9>, batch> corner;
    std::array<std::array<std::uint64_t, 3>, batch> hash;
    bool attributes = false;
    for (std::size_t begin = 0; begin < count; begin += batch) {
        const std::size_t end = std::min(count, begin + batch);
        for (std::size_t i = begin; i < end; ++i) {
            const auto* record =
                reinterpret_cast<const unsigned char*>(bytes.data()) + stl_header + stl_triangle * i;
            std::array<float, 9>& c = corner[i - begin];
            bool good = true;
            for (std::size_t k = 0; k < 9; ++k) {
                c[k] = std::bit_cast<float>(little_endian(record + 12 + 4 * k)) + 0.0f;  // -0 becomes 0
                good = good && std::abs(c[k]) <= static_cast<float>(coordinate_limit);   // false for NaN
            }
            if (!good) {
                const auto bad = std::find_if(c.begin(), c.end(),
                                              [](float v) { return !sensible(static_cast<double>(v)); });
                return source.at_byte(
                    stl_header + stl_triangle * i,
                    "triangle " + std::to_string(i + 1) + ": " + why_not_sensible(static_cast<double>(*bad)));
            }
            attributes = attributes || record[48] != 0 || record[49] != 0;
            for (std::size_t k = 0; k < 3; ++k) {
                hash[i - begin][k] = welder.hash(c[3 * k], c[3 * k + 1], c[3 * k + 2]);
                welder.prefetch(hash[i - begin][k]);
            }
        }
        for (std::size_t i = begin; i < end; ++i)
            for (std::size_t k = 0; k < 3; ++k) {
                const float* p = corner[i - begin].data() + 3 * k;
                mesh.triangles[i][k] = welder.add(p[0], p[1], p[2], hash[i - begin][k]);
            }
        if (begin % items_a_report == 0 && !source.go_on(stl_header + stl_triangle * begin))
            return source.cancelled();
    }
    if (attributes)
        reading.notes.emplace_back(
            "The attribute bytes of the triangles (some programs keep colours there) were not "
            "read.");
    return reading;
}

Outcome<Reading> read_stl_ascii(const Source& source) {
    Reading reading;
    reading.format = "STL ASCII";
    TriangleMesh& mesh = reading.mesh;
    Welder<double> welder(mesh.points, source.text.size() / 500);  // some 250 bytes a triangle
    Lines lines(source.text);
    bool in_solid = false;
    std::size_t solids = 0;

    std::string_view word;
    // The next word, over line ends: where words break lines is left to the writer.
    const auto next = [&]() -> bool {
        for (;;) {
            word = lines.word();
            if (!word.empty()) return true;
            if (!lines.next()) return false;
        }
    };
    const auto is = [&](std::string_view expected) {
        return word == expected || (word.size() == expected.size() && lower(word) == expected);
    };
    const auto cut_off = [&] {
        return source.at_line(
            source.text.size(),
            "the file ends in the middle, without \"endsolid\": it is cut off." + std::string(export_again));
    };
    const auto unexpected = [&](const std::string& expected) {
        return source.at_line(lines.word_offset(), "\"" + shown(word) + "\" where \"" + expected +
                                                       "\" should stand." + export_again);
    };

    while (next()) {
        if (!in_solid) {
            if (solids == 0 && word.substr(0, 3) == "\xEF\xBB\xBF") word.remove_prefix(3);
            if (!is("solid")) return unexpected("solid");
            in_solid = true;
            ++solids;
            if (!lines.next()) break;  // the rest of the line is a name
            continue;
        }
        if (is("endsolid")) {
            in_solid = false;
            if (!lines.next()) break;
            continue;
        }
        if (!is("facet")) return unexpected("facet");
        if (mesh.triangles.size() >= source.limits.triangles) return source.too_many_triangles();
        if (!next()) return cut_off();
        if (!is("normal")) return unexpected("normal");
        for (int k = 0; k < 3; ++k)  // normals follow from the winding; many files hold nonsense here
            if (!next()) return cut_off();
        for (const char* expected : {"outer", "loop"}) {
            if (!next()) return cut_off();
            if (!is(expected)) return unexpected(expected);
        }
        Triangle triangle{};
        for (std::size_t corner = 0; corner < 3; ++corner) {
            if (!next()) return cut_off();
            if (!is("vertex")) return unexpected("vertex");
            std::array<double, 3> p{};
            for (double& value : p) {
                if (!next()) return cut_off();
                const auto number = number_of(word);
                if (!number) return source.at_line(lines.word_offset(), why_no_number(word));
                if (!sensible(*number)) return source.at_line(lines.word_offset(), why_not_sensible(*number));
                value = *number + 0.0;
            }
            triangle[corner] = welder.add(p[0], p[1], p[2], welder.hash(p[0], p[1], p[2]));
        }
        for (const char* expected : {"endloop", "endfacet"}) {
            if (!next()) return cut_off();
            if (!is(expected)) return unexpected(expected);
        }
        mesh.triangles.push_back(triangle);
        if (mesh.triangles.size() % items_a_report == 0 && !source.go_on(lines.word_offset()))
            return source.cancelled();
    }
    if (in_solid) return cut_off();
    if (solids > 1) reading.notes.push_back(std::to_string(solids) + " solids were read as one cast.");
    return reading;
}

}  // namespace archwright::scan
