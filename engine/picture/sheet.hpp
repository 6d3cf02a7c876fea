// One picture of one device: all views on a sheet, or some of them.
#pragma once

#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/picture/canvas.hpp"
#include "engine/picture/image.hpp"
#include "engine/picture/subject.hpp"

namespace archwright::picture {

struct PictureSettings {
    int width = 1600, height = 1000;  ///< logical pixels, 480..6000 x 360..6000
    double scale = 1.0;               ///< device pixels a logical pixel, 0.5..4
    bool dark = false;
    /// Words of `view_words()`, drawn side by side; empty or "all": the whole sheet.
    std::vector<std::string> views;
};

/// "foot", "shell", "underside", "plan", "sections", "wall", "height", "deviation", "rigidity",
/// "bending", "mass", "all".
const std::vector<std::string>& view_words();

/// A finished picture and what a test wants to know of it.
struct Picture {
    Image image;
    std::vector<std::string> shortened;  ///< texts that had to be cut to fit
    std::vector<std::string> written;    ///< every text on the sheet
};

/// What is wrong with the settings of any sheet, or the machine: a size (usage), no font (output).
std::optional<Fault> settings_fault(const PictureSettings& settings);

/// The bar on top of every sheet: our mark, case, title, and the side in words and with its letter.
void draw_title_bar(Canvas& canvas, const Box& bar, const Theme& theme, Side side,
                    const std::string& case_code, const std::string& title);

/// Draws the sheet. Faults: a view's word or a size that is not known (usage), neither cast nor shell
/// (input), no font (output; names the package). Same input, same pixels, any number of threads.
Outcome<Picture> draw_sheet(const PictureInput& input, const PictureSettings& settings);

/// The image alone.
Outcome<Image> compose(const PictureInput& input, const PictureSettings& settings);

}  // namespace archwright::picture
