#include "engine/scan/three_mf_paint.hpp"

#include <charconv>
#include <cmath>
#include <limits>

namespace archwright::scan {

std::optional<TriangleMesh::Colour> colour_of(std::string_view word) {
    if ((word.size() != 7 && word.size() != 9) || word.front() != '#') return std::nullopt;
    TriangleMesh::Colour colour{};
    for (std::size_t k = 0; k < 3; ++k) {
        const char* first = word.data() + 1 + 2 * k;
        const auto parsed = std::from_chars(first, first + 2, colour[k], 16);
        if (parsed.ec != std::errc() || parsed.ptr != first + 2) return std::nullopt;
    }
    return colour;
}

void Painter::triangle(const std::string& part, const Paint& paint) {
    if (box_.groups.empty()) return;  // nothing to be kept for every triangle
    constexpr float none = std::numeric_limits<float>::quiet_NaN();
    Corners& corners = corners_.emplace_back();
    texture_.corners.push_back(
        {Eigen::Vector2f(none, none), Eigen::Vector2f(none, none), Eigen::Vector2f(none, none)});
    texture_.picture.push_back(-1);
    if (paint.group == 0) return;
    const auto found = box_.groups.find({part, paint.group});
    if (found == box_.groups.end()) return;
    const PaintGroup& group = found->second;
    const std::size_t count = group.picture != 0 ? group.places.size() : group.colours.size();
    for (const std::uint32_t entry : paint.entries)
        if (entry >= count) return;
    if (group.picture == 0) {
        for (std::size_t c = 0; c < 3; ++c) corners.colours[c] = group.colours[paint.entries[c]];
        corners.coloured = true;
        return;
    }
    const auto picture = box_.pictures.find({part, group.picture});
    if (picture == box_.pictures.end()) return;
    const auto [at, fresh] =
        number_of_.try_emplace(picture->second, static_cast<std::int32_t>(texture_.pictures.size()));
    if (fresh) texture_.pictures.push_back(picture->second);
    texture_.picture.back() = at->second;
    for (std::size_t c = 0; c < 3; ++c) texture_.corners.back()[c] = group.places[paint.entries[c]];
}

void Painter::finish(TriangleMesh& mesh, Texture& texture) const {
    texture = texture_;
    std::vector<std::array<std::uint32_t, 4>> sums(mesh.points.size());  // red, green, blue, how many
    std::size_t coloured = 0;
    for (std::size_t t = 0; t < corners_.size(); ++t) {
        if (!corners_[t].coloured) continue;
        for (std::size_t c = 0; c < 3; ++c) {
            auto& sum = sums[static_cast<std::size_t>(mesh.triangles[t][c])];
            for (std::size_t k = 0; k < 3; ++k) sum[k] += corners_[t].colours[c][k];
            if (++sum[3] == 1) ++coloured;
        }
    }
    if (coloured == 0 || 2 * coloured < mesh.points.size()) return;
    mesh.colours.assign(mesh.points.size(), TriangleMesh::Colour{255, 255, 255});
    for (std::size_t i = 0; i < sums.size(); ++i)
        for (std::size_t k = 0; k < 3 && sums[i][3] > 0; ++k)
            mesh.colours[i][k] = static_cast<std::uint8_t>((sums[i][k] + sums[i][3] / 2) / sums[i][3]);
}

}  // namespace archwright::scan
