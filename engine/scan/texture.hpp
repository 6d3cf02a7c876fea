// Pictures pasted on a cast: their colours become colours of the cast's points.
#pragma once

#include <array>
#include <functional>
#include <string>
#include <vector>

#include "engine/scan/raster.hpp"
#include "engine/scan/read_source.hpp"

namespace archwright::scan {

/// How a file pastes pictures on its triangles, as it tells.
struct Texture {
    /// u to the right, v up, one each corner, of every triangle of the mesh; not a number where there is
    /// none.
    std::vector<std::array<Eigen::Vector2f, 3>> corners;
    std::vector<std::int32_t> picture;  ///< of every triangle: index into `pictures`, or -1
    std::vector<std::string> pictures;  ///< file names as written
};

/// Gives every point the mean of the picture's colours round it: at the point itself and a third of the way
/// into each of its triangles. `read` gives a picture by its name. A picture that is absent or cannot be read
/// is told in the notes and leaves the colours as they are; so does a mesh of which less than half the points
/// have a picture.
void colour_by_texture(const Texture& texture, Reading& reading,
                       const std::function<Outcome<Raster>(const std::string& name)>& read);

/// The same with pictures beside the cast: they are looked for there alone, whatever folder the file names.
void colour_by_texture(const Source& source, const Texture& texture, Reading& reading);

/// The last part of a file name that may be written with either slash.
std::string file_name_of(std::string_view written);

}  // namespace archwright::scan
