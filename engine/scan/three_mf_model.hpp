// The model parts of a 3MF: objects, components and build items, as written.
#pragma once

#include <array>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "engine/scan/read_source.hpp"
#include "engine/scan/read_zip.hpp"
#include "engine/scan/three_mf_paint.hpp"

namespace archwright::scan {

/// x' = linear x + offset (the file writes the transpose, row vectors).
struct Placement {
    Mat3 linear = Mat3::Identity();
    Vec3 offset = Vec3::Zero();

    Vec3 of(const Vec3& p) const { return linear * p + offset; }
    Placement after(const Placement& inner) const { return {linear * inner.linear, of(inner.offset)}; }
};

/// An object's key: its model part and its number there.
using ObjectKey = std::pair<std::string, std::string>;

struct Placed {
    ObjectKey object;
    Placement placement;
};

struct ThreeMfObject {
    std::vector<Vec3> points;
    std::vector<Triangle> triangles;
    std::vector<Paint> paints;  ///< of the triangles up to the last that has any
    std::vector<Placed> components;
    std::string part;  ///< the model part it is of
    Paint paint;       ///< of triangles that name none
    bool support = false;
};

struct ThreeMfModel {
    std::map<ObjectKey, ThreeMfObject> objects;
    std::vector<Placed> build;        ///< of the root part
    std::string unit = "millimeter";  ///< of the root part
    PaintBox paints;
    std::size_t points = 0;
    std::size_t triangles = 0;
    std::size_t placed = 0;  ///< components and build items, each counted once
};

/// Reads one model part into `model`; the root part also gives unit and build. Part names of `parts_named`
/// are those that components and build items point to.
Outcome<Done> read_model_part(const Source& source, const ZipEntry& entry, const std::string& part, bool root,
                              ThreeMfModel& model, std::vector<std::string>& parts_named);

}  // namespace archwright::scan
