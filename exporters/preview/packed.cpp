#include "exporters/preview/packed.hpp"

#include <cmath>

#include "engine/foot/frame.hpp"
#include "exporters/preview/html.hpp"

namespace archwright::exporters::preview {

namespace {

using PackedJson = nlohmann::ordered_json;

/// Numbers, lowest byte first, whatever the machine.
class Bytes {
  public:
    void put(std::uint32_t value, int count) {
        for (int k = 0; k < count; ++k) bytes_.push_back(static_cast<std::byte>(value >> (8 * k) & 255U));
    }
    std::string text() const { return base64(bytes_); }

  private:
    std::vector<std::byte> bytes_;
};

constexpr double per_mm = 100.0;  // figures are kept to 0.01 mm
constexpr int no_figure = -32768;

}  // namespace

Outcome<PackedBody> packed_body(const TriangleMesh& mesh, const std::vector<std::uint8_t>& group,
                                const std::vector<PaintedField>& fields, std::size_t most, Side side,
                                Progress& progress) {
    const auto thin = thinned(mesh, most, group, progress);
    if (!thin) return thin.fault();
    const std::vector<std::int32_t>& from = thin->point_from;
    const TriangleMesh shown = foot::to_export(thin->mesh, side);
    PackedBody out;
    out.triangles = shown.triangles.size();
    out.of_triangles = mesh.triangles.size();
    out.off_mm = thin->off;

    const Box3 box = shown.box();
    const Vec3 low = shown.points.empty() ? Vec3(Vec3::Zero()) : Vec3(box.low);
    const double side_mm = shown.points.empty() ? 1.0 : std::max(1.0, box.size().maxCoeff());
    constexpr double steps = 65535.0;
    Bytes places, facings, corners;
    for (const Vec3& p : shown.points)
        for (int k = 0; k < 3; ++k)
            places.put(static_cast<std::uint32_t>(std::lround((p[k] - low[k]) / side_mm * steps)), 2);
    // the normals are those of the surface before it was thinned: its light stays even
    const std::vector<Vec3> normals = mesh.point_normals();
    for (const std::int32_t i : from)
        for (int k = 0; k < 3; ++k) {
            const double n = (k == 1 && side == Side::left ? -1.0 : 1.0) * normals[i][k];
            facings.put(static_cast<std::uint32_t>(std::lround(127.0 * n)), 1);
        }
    const int width = shown.points.size() <= 65536 ? 2 : 4;
    PackedJson ends = PackedJson::array();
    for (std::size_t t = 0; t < shown.triangles.size(); ++t) {
        for (const std::int32_t p : shown.triangles[t]) corners.put(static_cast<std::uint32_t>(p), width);
        if (t > 0 && !group.empty() && group[thin->triangle_from[t]] != group[thin->triangle_from[t - 1]])
            ends.push_back(t);
    }
    ends.push_back(shown.triangles.size());
    out.json = {{"points", shown.points.size()},
                {"triangles", shown.triangles.size()},
                {"ends", ends},
                {"low_mm", {low.x(), low.y(), low.z()}},
                {"step_mm", side_mm / steps},
                {"places", places.text()},
                {"facings", facings.text()},
                {"corners", corners.text()},
                {"corner_bytes", width}};
    for (const PaintedField& field : fields) {
        Bytes values;
        for (const std::int32_t i : from) {
            const double v = static_cast<std::size_t>(i) < field.values.size() ? field.values[i] : NAN;
            const long rounded = std::isfinite(v) ? std::lround(std::clamp(per_mm * v, -32767.0, 32767.0))
                                                  : static_cast<long>(no_figure);
            values.put(static_cast<std::uint32_t>(rounded), 2);
        }
        out.json[field.key] = values.text();
    }
    return out;
}

PackedJson packed_scale(const picture::MapScale& scale) {
    Bytes colours;
    for (const picture::Colour& c : scale.map->steps()) {
        const std::uint32_t rgb = c.packed();
        for (const unsigned shift : {16U, 8U, 0U}) colours.put(rgb >> shift & 255U, 1);
    }
    return {{"title", scale.title}, {"low", scale.low},           {"high", scale.high},
            {"tick", scale.tick},   {"decimals", scale.decimals}, {"colours", colours.text()}};
}

}  // namespace archwright::exporters::preview
