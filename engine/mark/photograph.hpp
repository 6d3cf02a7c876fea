// A photograph of the sole laid on a cast without colours.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "engine/base/check.hpp"
#include "engine/base/outcome.hpp"
#include "engine/base/progress.hpp"
#include "engine/foot/stand.hpp"
#include "engine/mark/ink_mark.hpp"
#include "engine/mesh/triangle_mesh.hpp"
#include "engine/scan/raster.hpp"

namespace archwright::mark {

/// A place of the photograph (pixels from its upper left corner) and the point of the cast seen there.
struct Match {
    Vec2 pixel = Vec2::Zero();
    Vec3 point = Vec3::Zero();
};

/// How a cast is seen in a photograph.
struct View {
    /// Which model the matches can bear.
    enum class Model {
        parallel,     ///< 3 matches: as seen from far away
        perspective,  ///< 4 or 5: a pinhole with its optical axis through the middle of the picture
        distorted,    ///< 6 or more: and one radial distortion
    };
    Model model = Model::parallel;
    Mat3 rotation = Mat3::Identity();  ///< rows: right, down, away from the camera
    Vec3 translation = Vec3::Zero();
    double focal_px = 1.0;  ///< of parallel: pixels a mm
    double radial = 0.0;    ///< r' = r (1 + radial r^2), r over focal_px
    Vec2 middle = Vec2::Zero();

    /// Where a point is seen. Nothing behind the camera.
    std::optional<Vec2> seen(const Vec3& p) const;
    /// The ray on which everything seen at a pixel lies: a point of it and its direction, unit, away.
    void ray(const Vec2& pixel, Vec3& from, Vec3& way) const;
};

/// A view found from matches, and how far to trust it.
struct Fitted {
    View view;
    std::vector<Match> matches;        ///< those that count: what says the same is one, their mean
    std::vector<std::size_t> numbers;  ///< of each the place among those given, from 1; of several the first
    std::vector<double> residual_mm;   ///< of each, on the cast
    double rms_mm = 0.0;               ///< of those, root mean square
    /// Of each with a model found from the others: what a point that was not matched may be off by. Empty
    /// with 3 matches.
    std::vector<double> left_out_mm;
    /// "photo.fit": a look beyond tolerance::photo_fit_look_mm, a stop beyond tolerance::photo_fit_stop_mm.
    Check check;
};

/// Finds the view from three matches or more by camera resection (Hartley and Zisserman 2004, chapter 7):
/// least squares (Levenberg 1944, Marquardt 1963) from starts all round. Points in mm, of a frame that is not
/// mirrored; `up`: there from the sole to the back of the foot (two views fit three matches, and the one more
/// square to the sole is taken). What matches cannot tell (focal length, distortion) is held near that of a
/// usual camera, the less the better they meet. Matches within tolerance::photo_same_match_mm of one another,
/// in the picture too, count as one. Faults (usage): fewer than three then, more than 200, all on a line or
/// in one place, off the picture; cancelled.
Outcome<Fitted> fit_view(const std::vector<Match>& matches, const Vec3& up, std::size_t width,
                         std::size_t height, Progress* progress = nullptr);

/// Which side of the cast's surface a photograph shows: a foot or a positive its outside, a negative its
/// inside.
enum class Shown { outside, inside };

/// The same for a standing cast: `matches` in its file's own coordinates; the view is that of to_view.
/// Faults besides: a point off the cast (usage); a camera that sees the sole edge-on, or from the side that
/// is not shown, as of a mirrored picture (usage); matches that do not hold, photo.fit a stop (check).
Outcome<Fitted> fit_photograph(const foot::Standing& standing, const std::vector<Match>& matches, Shown shown,
                               std::size_t width, std::size_t height, Progress* progress = nullptr);

/// The first of some places, in the cast file's coordinates, that is further from the cast than
/// tolerance::mark_off_mm; nothing where all lie on it.
struct OffCast {
    std::size_t which = 0;     ///< from 0
    double distance_mm = 0.0;  ///< to the cast
};
std::optional<OffCast> off_cast(const foot::Standing& standing, const std::vector<Vec3>& places);

/// What the camera sees of the mesh (in the view's frame), with the photograph's colours: triangles whose
/// corners are in the picture, not seen edge-on, with nothing before them; from either side, for a foot is
/// seen from outside and a negative from inside. Cut finer, to edges of about half a mm, so that fine ink
/// survives a coarse mesh. Faults: cancelled; nothing of the cast is in the picture (usage).
Outcome<TriangleMesh> laid_on(const TriangleMesh& mesh, const View& view, const scan::Raster& photograph,
                              Progress* progress);

/// The standing cast's mesh in the frame of a view: mm along the axes of its file, not mirrored.
Vec3 to_view(const foot::Standing& standing, const Vec3& design);
Vec3 from_view(const foot::Standing& standing, const Vec3& p);

/// Ink found on the photograph as it lies on the cast; else as find_ink. The view is that of to_view.
Outcome<std::vector<InkMark>> find_ink(const foot::Standing& standing, const View& view,
                                       const scan::Raster& photograph, Progress* progress = nullptr);

/// Places of the photograph, pixels, carried to the cast (design frame). Fault (usage): one that is not on
/// it.
Outcome<std::vector<Vec3>> carried(const foot::Standing& standing, const View& view,
                                   const std::vector<Vec2>& pixels);

}  // namespace archwright::mark
