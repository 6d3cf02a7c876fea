// One picture of a cast: the relief of its sole with every finding numbered, each finding near by, and what
// was repaired.
#pragma once

#include <string>

#include "engine/build/device.hpp"
#include "engine/picture/sheet.hpp"

namespace archwright::picture {

/// What the sheet says of the case beside the cast.
struct CastSheetCase {
    /// `code`: of the case, or the cast file's name. `foot`: of the job, for its repairs and ink marks; null:
    /// a cast alone.
    CastSheetCase(std::string code_, const design::FootDesign* foot_ = nullptr)
        : code(std::move(code_)), foot(foot_) {}

    std::string code;
    const design::FootDesign* foot;
};

/// Left the sole as its print, coloured by its local relief (dents less, bumps more; always on the same
/// scale), with findings numbered as in reports, repairs, landmarks and ink marks. Right each repair with the
/// cast before it, after it and what it moved, and each finding with a close view, its figures, why it was
/// called and what can be done. What the sole does not show is not marked on it: it is seen from its own
/// side. The sheet grows beyond its height for what it has to say, to 6000 at most; what is beyond is
/// counted. `views` of the settings do not count. Faults as draw_sheet.
Outcome<Picture> draw_cast_sheet(const build::Received& received, const build::Examined& examined, Side side,
                                 const CastSheetCase& named, const PictureSettings& settings);

}  // namespace archwright::picture
