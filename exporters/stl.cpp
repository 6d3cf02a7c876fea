#include "exporters/stl.hpp"

#include <array>
#include <bit>
#include <cmath>
#include <cstring>

#include "engine/base/file.hpp"
#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "exporters/float_mesh.hpp"

namespace archwright::exporters {

namespace {

static_assert(std::endian::native == std::endian::little, "STL is little-endian; so are our processors");

constexpr std::size_t header_size = 80, count_size = 4, facet_size = 50;
using Facet = std::array<float, 12>;  // normal, three points; two bytes of attributes follow

std::string header_of(const std::string& text) {
    std::string header = text.substr(0, header_size);
    for (char& c : header)
        if (c < ' ' || c > '~') c = '_';
    header.resize(header_size, ' ');
    return header;
}

std::string bytes_of(const TriangleMesh& mesh, const std::string& header_text) {
    std::string bytes = header_of(header_text);
    bytes.resize(header_size + count_size + facet_size * mesh.triangles.size(), '\0');
    const auto count = static_cast<std::uint32_t>(mesh.triangles.size());
    std::memcpy(bytes.data() + header_size, &count, count_size);
    char* at = bytes.data() + header_size + count_size;
    for (std::size_t t = 0; t < mesh.triangles.size(); ++t, at += facet_size) {
        Facet facet;
        const Vec3 n = mesh.normal2(t);
        const double length = n.norm();
        for (int k = 0; k < 3; ++k) facet[k] = static_cast<float>(length > 0.0 ? n[k] / length + 0.0 : 0.0);
        for (int corner = 0; corner < 3; ++corner)
            for (int k = 0; k < 3; ++k)
                facet[3 + 3 * corner + k] = static_cast<float>(mesh.points[mesh.triangles[t][corner]][k]);
        std::memcpy(at, facet.data(), sizeof facet);
    }
    return bytes;
}

/// Reads the file back as a stranger would: points are equal when their bytes are.
Outcome<Done> verify(const TriangleMesh& wanted, const std::filesystem::path& path) {
    const auto fault = [](const std::string& what) {
        return Fault{FaultKind::output,
                     "write",
                     "The STL file does not read back as it was written: " + what + ".",
                     {}};
    };
    const auto file = FileBytes::read(path);
    if (!file) return file.fault();
    const auto bytes = file->bytes();
    const std::size_t count = wanted.triangles.size();
    if (bytes.size() != header_size + count_size + facet_size * count) return fault("its size is wrong");
    std::uint32_t stated = 0;
    std::memcpy(&stated, bytes.data() + header_size, count_size);
    if (stated != count) return fault("its count of facets is wrong");

    TriangleMesh read;
    read.points.reserve(3 * count);
    for (std::size_t t = 0; t < count; ++t) {
        Facet facet;
        std::memcpy(facet.data(), bytes.data() + header_size + count_size + facet_size * t, sizeof facet);
        const auto first = static_cast<std::int32_t>(read.points.size());
        for (int corner = 0; corner < 3; ++corner)
            read.points.emplace_back(facet[3 + 3 * corner], facet[4 + 3 * corner], facet[5 + 3 * corner]);
        read.triangles.push_back({first, first + 1, first + 2});
    }
    const TriangleMesh welded = weld_equal(read);
    if (const std::string open = open_edge(welded); !open.empty()) return fault(open);
    const Box3 a = welded.box(), b = wanted.box();
    if ((a.low - b.low).norm() + (a.high - b.high).norm() > tolerance::float_file_mm)
        return fault("its box is wrong");
    if (std::abs(welded.volume() - wanted.volume()) > tolerance::float_volume_relative * wanted.volume())
        return fault("its volume is " + rounded(welded.volume(), 1) + " mm3, not " +
                     rounded(wanted.volume(), 1));
    return Done{};
}

}  // namespace

Outcome<Done> write_stl(const TriangleMesh& export_frame_mesh, const std::string& header_text,
                        const std::filesystem::path& target) {
    if (header_text.starts_with("solid"))
        return Fault{FaultKind::output, "write", "An STL header must not begin with \"solid\".", {}};
    const auto mesh = as_floats(export_frame_mesh);
    if (!mesh) return mesh.fault();
    return write_file(target, bytes_of(*mesh, header_text),
                      [&](const std::filesystem::path& path) { return verify(*mesh, path); });
}

}  // namespace archwright::exporters
