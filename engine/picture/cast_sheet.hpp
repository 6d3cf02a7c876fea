// One picture of a cast: the relief of its sole with every finding numbered, and each finding near by.
#pragma once

#include "engine/build/device.hpp"
#include "engine/picture/sheet.hpp"

namespace archwright::picture {

/// Left the sole as its print, coloured by its height over a stiff smooth surface (dents less, bumps more),
/// the findings numbered as in reports; right a row for each with a close view, its figures, why it was
/// called and what can be done. `views` of the settings do not count. Faults as draw_sheet.
Outcome<Picture> draw_cast_sheet(const build::Received& received, const build::Examined& examined, Side side,
                                 const std::string& case_code, const PictureSettings& settings);

}  // namespace archwright::picture
