// Any bytes under the name of a cast: a mesh that keeps its promises, or a message.
#include <cmath>
#include <cstdint>
#include <cstdlib>

#include "engine/scan/clean.hpp"
#include "engine/scan/read.hpp"

using namespace archwright;

namespace {

void require(bool holds) {
    if (!holds) std::abort();
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    scan::ReadLimits limits;
    limits.bytes = std::size_t{64} << 20U;  // of what a small 3MF unpacks to
    const auto read = scan::read_cast_bytes(std::as_bytes(std::span(data, size)), FUZZ_NAME, limits);
    if (!read) {
        require(read.fault().message.find("fuzz.") != std::string::npos);  // names the file
        return 0;
    }
    const TriangleMesh& mesh = read->mesh;
    require(!mesh.triangles.empty());
    require(mesh.colours.empty() || mesh.colours.size() == mesh.points.size());
    for (const Vec3& p : mesh.points)
        require(p.allFinite() && p.cwiseAbs().maxCoeff() <= scan::coordinate_limit);
    for (const Triangle& t : mesh.triangles)
        for (const std::int32_t index : t)
            require(index >= 0 && static_cast<std::size_t>(index) < mesh.points.size());
    const scan::Cleaning cleaned = scan::clean(mesh);
    for (const Triangle& t : cleaned.mesh.triangles)
        for (const std::int32_t index : t)
            require(index >= 0 && static_cast<std::size_t>(index) < cleaned.mesh.points.size());
    return 0;
}
