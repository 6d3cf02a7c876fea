#include "engine/scan/texture.hpp"

#include <algorithm>
#include <cmath>

#include "engine/scan/raster.hpp"

namespace archwright::scan {

namespace {

constexpr std::size_t pictures_read = 16;  // a scanner writes one, seldom a handful

/// u, v as pixels of the picture, wrapped as a repeated picture is.
TriangleMesh::Colour colour_at(const Raster& picture, const Eigen::Vector2d& uv) {
    const auto wrapped = [](double value) {
        return value >= 0.0 && value <= 1.0 ? value : value - std::floor(value);
    };
    return picture.at(wrapped(uv.x()) * static_cast<double>(picture.width),
                      (1.0 - wrapped(uv.y())) * static_cast<double>(picture.height));
}

}  // namespace

std::string file_name_of(std::string_view written) {
    const std::size_t slash = written.find_last_of("/\\");
    return std::string(slash == std::string_view::npos ? written : written.substr(slash + 1));
}

void colour_by_texture(const Texture& texture, Reading& reading,
                       const std::function<Outcome<Raster>(const std::string& name)>& read) {
    TriangleMesh& mesh = reading.mesh;
    if (texture.pictures.empty() || texture.corners.size() != mesh.triangles.size() ||
        texture.picture.size() != mesh.triangles.size() || mesh.triangles.empty())
        return;
    struct Sum {
        Vec3 colour = Vec3::Zero();
        double count = 0.0;
    };
    std::vector<Sum> sums(mesh.points.size());
    // one picture at a time: memory stays that of the largest
    for (std::size_t k = 0; k < std::min(texture.pictures.size(), pictures_read); ++k) {
        const std::string& name = texture.pictures[k];
        const auto number = static_cast<std::int32_t>(k);
        if (std::find(texture.picture.begin(), texture.picture.end(), number) == texture.picture.end())
            continue;
        const auto picture = read(name);
        if (!picture) {
            reading.notes.push_back("The picture \"" + shown(name) +
                                    "\" that the file pastes on the cast was not read, so the cast has no "
                                    "colours from it: " +
                                    picture.fault().message);
            continue;
        }
        for (std::size_t t = 0; t < mesh.triangles.size(); ++t) {
            if (texture.picture[t] != number) continue;
            std::array<Eigen::Vector2d, 3> uv;
            for (std::size_t c = 0; c < 3; ++c) uv[c] = texture.corners[t][c].cast<double>();
            if (!uv[0].allFinite() || !uv[1].allFinite() || !uv[2].allFinite()) continue;
            for (std::size_t c = 0; c < 3; ++c) {
                Sum& sum = sums[static_cast<std::size_t>(mesh.triangles[t][c])];
                const Eigen::Vector2d inward =
                    (2.0 / 3.0) * uv[c] + (uv[(c + 1) % 3] + uv[(c + 2) % 3]) / 6.0;
                for (const Eigen::Vector2d& at : {uv[c], inward}) {
                    const TriangleMesh::Colour colour = colour_at(*picture, at);
                    sum.colour += Vec3(colour[0], colour[1], colour[2]);
                    sum.count += 1.0;
                }
            }
        }
    }
    const auto pasted =
        std::count_if(sums.begin(), sums.end(), [](const Sum& sum) { return sum.count > 0.0; });
    if (2 * static_cast<std::size_t>(pasted) < mesh.points.size()) return;
    if (mesh.colours.size() != mesh.points.size())
        mesh.colours.assign(mesh.points.size(), TriangleMesh::Colour{255, 255, 255});
    for (std::size_t i = 0; i < sums.size(); ++i)
        if (sums[i].count > 0.0)
            for (std::size_t c = 0; c < 3; ++c)
                mesh.colours[i][c] = static_cast<std::uint8_t>(
                    std::lround(sums[i].colour[static_cast<Eigen::Index>(c)] / sums[i].count));
    reading.notes.emplace_back("The cast's colours are those of the picture pasted on it.");
}

void colour_by_texture(const Source& source, const Texture& texture, Reading& reading) {
    if (texture.pictures.empty()) return;
    if (source.folder.empty()) {
        reading.notes.emplace_back("The file pastes a picture on the cast, which was not looked for.");
        return;
    }
    colour_by_texture(texture, reading, [&](const std::string& written) -> Outcome<Raster> {
        const std::string name = file_name_of(written);
        if (name.empty() || name == "." || name == "..")
            return Fault{FaultKind::input, "read", "\"" + shown(written) + "\" names no file.", {}};
        auto picture = read_raster(source.folder / name);
        if (!picture) {
            Fault fault = picture.fault();
            fault.message += " Put it beside the cast.";
            return fault;
        }
        return picture;
    });
}

}  // namespace archwright::scan
