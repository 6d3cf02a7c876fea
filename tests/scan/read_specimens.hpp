// Cast files built in memory, sound and spoilt.
#pragma once

#include <zlib.h>

#include <bit>
#include <cstdint>
#include <cstring>
#include <string>

#include "engine/base/text.hpp"
#include "engine/mesh/triangle_mesh.hpp"
#include "engine/scan/read.hpp"

namespace archwright::tests {

inline Outcome<scan::Reading> read(const std::string& bytes, const std::string& name,
                                   const scan::ReadLimits& limits = {}) {
    return scan::read_cast_bytes(std::as_bytes(std::span(bytes.data(), bytes.size())), name, limits);
}

inline void put(std::string& out, std::uint64_t value, std::size_t width, bool big = false) {
    for (std::size_t i = 0; i < width; ++i) {
        const std::size_t byte = big ? width - 1 - i : i;
        out += byte < sizeof value ? static_cast<char>((value >> (8 * byte)) & 0xff) : '\0';
    }
}
inline void put_float(std::string& out, double value, bool big = false) {
    put(out, std::bit_cast<std::uint32_t>(static_cast<float>(value)), 4, big);
}

inline std::string stl_binary(const TriangleMesh& mesh, const std::string& header = "made for a test") {
    std::string out = header.substr(0, 80);
    out.resize(80, ' ');
    put(out, mesh.triangles.size(), 4);
    for (const Triangle& t : mesh.triangles) {
        for (int k = 0; k < 3; ++k) put_float(out, 0.0);
        for (const auto p : t)
            for (int k = 0; k < 3; ++k) put_float(out, mesh.points[p][k]);
        put(out, 0, 2);
    }
    return out;
}

inline std::string words(const Vec3& p) {
    return exact(p.x()) + " " + exact(p.y()) + " " + exact(p.z());
}

inline std::string stl_ascii(const TriangleMesh& mesh) {
    std::string out = "solid made for a test\n";
    for (const Triangle& t : mesh.triangles) {
        out += " facet normal nan nan nan\n  outer loop\n";
        for (const auto p : t) out += "   vertex " + words(mesh.points[p]) + "\n";
        out += "  endloop\n endfacet\n";
    }
    return out + "endsolid\n";
}

inline std::string obj(const TriangleMesh& mesh) {
    std::string out = "# made for a test\no cast\n";
    for (std::size_t i = 0; i < mesh.points.size(); ++i) {
        out += "v " + words(mesh.points[i]);
        if (!mesh.colours.empty())
            for (const auto c : mesh.colours[i]) out += " " + exact(c / 255.0);
        out += "\n";
    }
    for (const Triangle& t : mesh.triangles) {
        out += "f";
        for (const auto p : t) out += " " + std::to_string(p + 1) + "//" + std::to_string(p + 1);
        out += "\n";
    }
    return out;
}

enum class PlyForm { ascii, little, big };

inline std::string ply(const TriangleMesh& mesh, PlyForm form) {
    const char* names[] = {"ascii", "binary_little_endian", "binary_big_endian"};
    const bool big = form == PlyForm::big;
    std::string out = "ply\nformat " + std::string(names[static_cast<int>(form)]) +
                      " 1.0\ncomment made for a test\nelement vertex " + std::to_string(mesh.points.size()) +
                      "\nproperty float x\nproperty float y\nproperty float z\nproperty double quality\n";
    if (!mesh.colours.empty()) out += "property uchar red\nproperty uchar green\nproperty uchar blue\n";
    out +=
        "element face " + std::to_string(mesh.triangles.size()) +
        "\nproperty list uchar int vertex_indices\nproperty short part\nelement edge 1\nproperty list ushort "
        "float weights\nend_header\n";
    for (std::size_t i = 0; i < mesh.points.size(); ++i) {
        if (form == PlyForm::ascii) {
            out += words(mesh.points[i]) + " 0.5";
            if (!mesh.colours.empty())
                for (const auto c : mesh.colours[i]) out += " " + std::to_string(c);
            out += "\n";
            continue;
        }
        for (int k = 0; k < 3; ++k) put_float(out, mesh.points[i][k], big);
        put(out, std::bit_cast<std::uint64_t>(0.5), 8, big);
        if (!mesh.colours.empty())
            for (const auto c : mesh.colours[i]) put(out, c, 1);
    }
    for (const Triangle& t : mesh.triangles) {
        if (form == PlyForm::ascii) {
            out += "3 " + std::to_string(t[0]) + " " + std::to_string(t[1]) + " " + std::to_string(t[2]) +
                   " 7\n";
            continue;
        }
        put(out, 3, 1);
        for (const auto p : t) put(out, static_cast<std::uint32_t>(p), 4, big);
        put(out, 7, 2, big);
    }
    if (form == PlyForm::ascii) return out + "2 0.25 0.75\n";
    put(out, 2, 2, big);
    put_float(out, 0.25, big);
    put_float(out, 0.75, big);
    return out;
}

/// A ZIP of some parts; written here from APPNOTE's tables, independent of the reader.
struct ZipPart {
    std::string name, text;
    bool packed = true;
    std::uint64_t stated = 0;  ///< size to state when not the true one
    std::string data = {};     ///< packed bytes of its own, in place of the text's
};

inline std::string deflated(const std::string& text) {
    z_stream stream{};
    deflateInit2(&stream, 9, Z_DEFLATED, -MAX_WBITS, 8, Z_DEFAULT_STRATEGY);
    std::string out(deflateBound(&stream, text.size()), '\0');
    stream.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(text.data()));
    stream.avail_in = static_cast<uInt>(text.size());
    stream.next_out = reinterpret_cast<Bytef*>(out.data());
    stream.avail_out = static_cast<uInt>(out.size());
    deflate(&stream, Z_FINISH);
    out.resize(stream.total_out);
    deflateEnd(&stream);
    return out;
}

/// Deflated blanks, 2^20 of them `times` over, for some 1 kB each: what a bomb is made of.
inline std::string deflated_blanks(std::size_t times) {
    const std::string text(std::size_t{1} << 20, ' ');
    z_stream stream{};
    deflateInit2(&stream, 9, Z_DEFLATED, -MAX_WBITS, 8, Z_DEFAULT_STRATEGY);
    std::string block(deflateBound(&stream, text.size()), '\0'), last(64, '\0');
    stream.next_in = reinterpret_cast<Bytef*>(const_cast<char*>(text.data()));
    stream.avail_in = static_cast<uInt>(text.size());
    stream.next_out = reinterpret_cast<Bytef*>(block.data());
    stream.avail_out = static_cast<uInt>(block.size());
    deflate(&stream, Z_FULL_FLUSH);  // ends on a byte and forgets what was before: it can be repeated
    block.resize(stream.total_out);
    stream.next_out = reinterpret_cast<Bytef*>(last.data());
    stream.avail_out = static_cast<uInt>(last.size());
    deflate(&stream, Z_FINISH);
    last.resize(last.size() - stream.avail_out);
    deflateEnd(&stream);
    std::string out;
    for (std::size_t k = 0; k < times; ++k) out += block;
    return out + last;
}

inline std::string zip(const std::vector<ZipPart>& parts, bool zip64 = false) {
    std::string out, directory;
    for (const ZipPart& part : parts) {
        const std::string data = !part.data.empty() ? part.data
                                 : part.packed      ? deflated(part.text)
                                                    : part.text;
        const std::uint64_t size = part.stated != 0 ? part.stated : part.text.size();
        const auto sum =
            crc32(0, reinterpret_cast<const Bytef*>(part.text.data()), static_cast<uInt>(part.text.size()));
        const std::size_t at = out.size();
        std::string common;
        put(common, 20, 2);
        put(common, 0, 2);
        put(common, part.packed ? 8 : 0, 2);
        put(common, 0, 4);
        put(common, sum, 4);
        put(common, zip64 ? 0xffffffff : data.size(), 4);
        put(common, zip64 ? 0xffffffff : size, 4);
        put(common, part.name.size(), 2);
        std::string extra;
        if (zip64) {
            put(extra, 1, 2);
            put(extra, 16, 2);
            put(extra, size, 8);
            put(extra, data.size(), 8);
        }
        put(common, extra.size(), 2);
        put(out, 0x04034b50, 4);
        out += common + part.name + extra + data;
        put(directory, 0x02014b50, 4);
        put(directory, 20, 2);
        directory += common;
        put(directory, 0, 10);
        put(directory, at, 4);
        directory += part.name + extra;
    }
    const std::size_t at = out.size();
    out += directory;
    if (zip64) {
        const std::size_t end = out.size();
        put(out, 0x06064b50, 4);
        put(out, 44, 8);
        put(out, 45, 2);
        put(out, 45, 2);
        put(out, 0, 8);
        put(out, parts.size(), 8);
        put(out, parts.size(), 8);
        put(out, directory.size(), 8);
        put(out, at, 8);
        put(out, 0x07064b50, 4);
        put(out, 0, 4);
        put(out, end, 8);
        put(out, 1, 4);
    }
    put(out, 0x06054b50, 4);
    put(out, 0, 4);
    put(out, zip64 ? 0xffff : parts.size(), 2);
    put(out, zip64 ? 0xffff : parts.size(), 2);
    put(out, zip64 ? 0xffffffff : directory.size(), 4);
    put(out, zip64 ? 0xffffffff : at, 4);
    put(out, 0, 2);
    return out;
}

inline std::string mesh_xml(const TriangleMesh& mesh) {
    std::string out = "<mesh><vertices>\n";
    for (const Vec3& p : mesh.points)
        out += "<vertex x=\"" + exact(p.x()) + "\" y='" + exact(p.y()) + "' z=\"" + exact(p.z()) + "\"/>\n";
    out += "</vertices><triangles>";
    for (const Triangle& t : mesh.triangles)
        out += "<triangle v1=\"" + std::to_string(t[0]) + "\" v2=\"" + std::to_string(t[1]) + "\" v3=\"" +
               std::to_string(t[2]) + "\" />";
    return out + "</triangles></mesh>";
}

inline std::string model_xml(const std::string& resources, const std::string& build,
                             const std::string& unit = "millimeter") {
    return "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<!-- made > for a test --><model unit=\"" + unit +
           "\" xmlns=\"http://schemas.microsoft.com/3dmanufacturing/core/2015/02\" "
           "xmlns:p=\"p\" xmlns:m=\"m\"><resources>" +
           resources + "</resources><build>" + build + "</build></model>";
}

inline std::string three_mf(const std::string& model, bool zip64 = false) {
    return zip({{"_rels/.rels",
                 "<Relationships><Relationship Target=\"/3D/cast.model\" Id=\"rel0\" "
                 "Type=\"http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel\"/></Relationships>"},
                {"3D/cast.model", model}},
               zip64);
}

inline std::string three_mf(const TriangleMesh& mesh, bool zip64 = false) {
    return three_mf(model_xml("<object id=\"1\" type=\"model\">" + mesh_xml(mesh) + "</object>",
                              "<item objectid=\"1\"/>"),
                    zip64);
}

}  // namespace archwright::tests
