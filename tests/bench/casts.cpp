// Casts to measure on, made once in a folder.
#include "assets/generator/cast.hpp"
#include "assets/generator/cast_file.hpp"
#include "assets/generator/foot.hpp"
#include "tests/bench/must.hpp"
#include "tests/bench/steps.hpp"

namespace archwright::bench {

namespace fs = std::filesystem;

fs::path cast_of(std::size_t triangles, const fs::path& folder) {
    const fs::path path = folder / ("cast-" + std::to_string(triangles) + ".stl");
    if (fs::exists(path)) return path;
    generator::FootShape shape;
    shape.side = Side::left;
    const auto foot = must(generator::Foot::make(shape));
    generator::CastSpec spec;
    spec.triangles = triangles;
    spec.noise_mm = 0.05;
    const auto cast = must(generator::take_cast(foot, spec));
    must(generator::write_cast(path, cast.mesh, generator::CastFormat::stl_binary, "bench"));
    return path;
}

}  // namespace archwright::bench
