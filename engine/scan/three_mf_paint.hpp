// Colours of a 3MF: its colour groups, base materials and pictures (3MF Materials and Properties
// Extension 1.2.1, core specification 1.3, chapter 5), as far as a cast can carry them.
#pragma once

#include <Eigen/Core>
#include <array>
#include <cstdint>
#include <map>
#include <string>
#include <utility>
#include <vector>

#include "engine/scan/read_source.hpp"
#include "engine/scan/texture.hpp"

namespace archwright::scan {

/// What a triangle's corners can point to: colours, or places of one picture.
struct PaintGroup {
    std::vector<TriangleMesh::Colour> colours;
    std::vector<Eigen::Vector2f> places;  ///< u to the right, v up
    std::uint32_t picture = 0;            ///< resource number of the picture; 0: none
};

/// A group of a model part, or a picture of one, by its number there.
using ResourceKey = std::pair<std::string, std::uint32_t>;

/// What one triangle points to: a group of its own part, and an entry for each corner.
struct Paint {
    std::uint32_t group = 0;  ///< 0: nothing
    std::array<std::uint32_t, 3> entries{};
};

/// All that the model parts say of colours.
struct PaintBox {
    std::map<ResourceKey, PaintGroup> groups;
    std::map<ResourceKey, std::string> pictures;  ///< entry of the package, without a leading slash
    std::size_t entries = 0;                      ///< of all groups together
    bool not_read = false;                        ///< it has colours of another kind (composites, mixtures)
};

/// "#RRGGBB" or "#RRGGBBAA" (sRGB); nothing for other words.
std::optional<TriangleMesh::Colour> colour_of(std::string_view word);

/// Collects what the triangles of the cast are painted with.
class Painter {
  public:
    explicit Painter(const PaintBox& box) : box_(box) {}
    /// The next triangle of the mesh: what it points to, in this model part.
    void triangle(const std::string& part, const Paint& paint);
    /// Gives the mesh's points their colours and the pictures to be pasted; `texture` holds names of entries
    /// of the package. Points get the mean of what their corners have; nothing where less than half have any.
    void finish(TriangleMesh& mesh, Texture& texture) const;

  private:
    const PaintBox& box_;
    struct Corners {
        std::array<TriangleMesh::Colour, 3> colours{};
        bool coloured = false;
    };
    std::vector<Corners> corners_;
    Texture texture_;
    std::map<std::string, std::int32_t> number_of_;
};

}  // namespace archwright::scan
