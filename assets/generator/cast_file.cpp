#include "assets/generator/cast_file.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <charconv>
#include <cstring>

#include "engine/base/file.hpp"
#include "engine/base/text.hpp"

namespace archwright::generator {

namespace {

/// Appends numbers as raw bytes in either order, or as text.
class Sink {
  public:
    explicit Sink(std::endian order = std::endian::little) : order_(order) {}

    template <class T>
    void raw(T value) {
        std::array<char, sizeof(T)> bytes;
        std::memcpy(bytes.data(), &value, sizeof(T));
        if (order_ != std::endian::native) std::reverse(bytes.begin(), bytes.end());
        text_.append(bytes.data(), bytes.size());
    }
    void raw(const Vec3& p) {
        for (int i = 0; i < 3; ++i) raw(static_cast<float>(p[i]));
    }
    Sink& operator<<(std::string_view s) {
        text_ += s;
        return *this;
    }
    Sink& operator<<(const Vec3& p) {
        for (int i = 0; i < 3; ++i) {
            if (i > 0) text_ += ' ';
            number(static_cast<float>(p[i]));
        }
        return *this;
    }
    Sink& operator<<(std::size_t n) {
        text_ += std::to_string(n);
        return *this;
    }
    /// The shortest decimal that reads back as the same float32.
    void number(float value) {
        std::array<char, 32> buffer;
        const auto end =
            std::to_chars(buffer.data(), buffer.data() + buffer.size(), value == 0.0F ? 0.0F : value);
        text_.append(buffer.data(), end.ptr);
    }
    void reserve(std::size_t n) { text_.reserve(n); }
    std::string take() { return std::move(text_); }

  private:
    std::endian order_;
    std::string text_;
};

/// Titles go into one line of ASCII.
std::string one_line(const std::string& title) {
    std::string s;
    for (char c : title) s += c >= ' ' && c <= '~' ? c : ' ';
    return s;
}

std::string ply(const TriangleMesh& mesh, CastFormat format, const std::string& title) {
    const bool text = format == CastFormat::ply_ascii, coloured = !mesh.colours.empty();
    const bool big = format == CastFormat::ply_big_endian;
    Sink out(big ? std::endian::big : std::endian::little);
    out.reserve(400 + mesh.points.size() * 15 + mesh.triangles.size() * 13);
    out << "ply\nformat "
        << (text  ? "ascii"
            : big ? "binary_big_endian"
                  : "binary_little_endian")
        << " 1.0\ncomment " << one_line(title) << "\nelement vertex " << mesh.points.size()
        << "\nproperty float x\nproperty float y\nproperty float z\n";
    if (coloured) out << "property uchar red\nproperty uchar green\nproperty uchar blue\n";
    out << "element face " << mesh.triangles.size()
        << "\nproperty list uchar int vertex_indices\nend_header\n";
    for (std::size_t i = 0; i < mesh.points.size(); ++i) {
        if (text)
            out << mesh.points[i];
        else
            out.raw(mesh.points[i]);
        for (std::size_t c = 0; coloured && c < 3; ++c) {
            if (text)
                out << " " << std::size_t{mesh.colours[i][c]};
            else
                out.raw(mesh.colours[i][c]);
        }
        if (text) out << "\n";
    }
    for (const Triangle& t : mesh.triangles) {
        if (text) {
            out << "3";
            for (std::int32_t v : t) out << " " << static_cast<std::size_t>(v);
            out << "\n";
        } else {
            out.raw(std::uint8_t{3});
            for (std::int32_t v : t) out.raw(v);
        }
    }
    return out.take();
}

/// The facet's normal from its corners; zero where it has none.
Vec3 facet_normal(const TriangleMesh& mesh, std::size_t triangle) {
    const Vec3 n = mesh.normal2(triangle);
    const double length = n.norm();
    return length > 0.0 ? Vec3(n / length) : Vec3(Vec3::Zero());
}

std::string stl_binary(const TriangleMesh& mesh, const std::string& title) {
    Sink out;
    out.reserve(84 + mesh.triangles.size() * 50);
    // a header that begins with "solid" would be taken for text
    std::string header = one_line(title).rfind("solid", 0) == 0 ? "cast " + one_line(title) : one_line(title);
    header.resize(80, ' ');
    out << header;
    out.raw(static_cast<std::uint32_t>(mesh.triangles.size()));
    for (std::size_t i = 0; i < mesh.triangles.size(); ++i) {
        out.raw(facet_normal(mesh, i));
        for (std::int32_t v : mesh.triangles[i]) out.raw(mesh.points[v]);
        out.raw(std::uint16_t{0});
    }
    return out.take();
}

std::string stl_ascii(const TriangleMesh& mesh, const std::string& title) {
    Sink out;
    out << "solid " << one_line(title) << "\n";
    for (std::size_t i = 0; i < mesh.triangles.size(); ++i) {
        out << "  facet normal " << facet_normal(mesh, i) << "\n    outer loop\n";
        for (std::int32_t v : mesh.triangles[i]) out << "      vertex " << mesh.points[v] << "\n";
        out << "    endloop\n  endfacet\n";
    }
    out << "endsolid " << one_line(title) << "\n";
    return out.take();
}

std::string obj(const TriangleMesh& mesh, const std::string& title) {
    Sink out;
    out << "o " << one_line(title) << "\n";
    for (std::size_t i = 0; i < mesh.points.size(); ++i) {
        out << "v " << mesh.points[i];
        for (std::size_t c = 0; !mesh.colours.empty() && c < 3; ++c) {
            out << " ";
            out.number(static_cast<float>(mesh.colours[i][c]) / 255.0F);
        }
        out << "\n";
    }
    for (const Triangle& t : mesh.triangles) {
        out << "f";
        for (std::int32_t v : t) out << " " << static_cast<std::size_t>(v) + 1;
        out << "\n";
    }
    return out.take();
}

}  // namespace

std::string encode(const TriangleMesh& mesh, CastFormat format, const std::string& title) {
    switch (format) {
        case CastFormat::stl_binary:
            return stl_binary(mesh, title);
        case CastFormat::stl_ascii:
            return stl_ascii(mesh, title);
        case CastFormat::obj:
            return obj(mesh, title);
        case CastFormat::ply_binary:
        case CastFormat::ply_big_endian:
        case CastFormat::ply_ascii:
            break;
    }
    return ply(mesh, format, title);
}

Outcome<CastFormat> format_of(const std::filesystem::path& path) {
    std::string extension = path.extension().string();
    for (char& c : extension)
        if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
    if (extension == ".ply") return CastFormat::ply_binary;
    if (extension == ".stl") return CastFormat::stl_binary;
    if (extension == ".obj") return CastFormat::obj;
    return Fault{FaultKind::usage,
                 "cast",
                 "'" + path.filename().string() + "' ends in none of .ply, .stl, .obj, the formats of a cast",
                 {}};
}

Outcome<Done> write_cast(const std::filesystem::path& path, const TriangleMesh& mesh, CastFormat format,
                         const std::string& title) {
    return write_file(path, encode(mesh, format, title));
}

}  // namespace archwright::generator
