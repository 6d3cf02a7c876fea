// The preview for the clinician: one file to look at, to turn, and to answer.
#pragma once

#include <string>

#include "engine/base/progress.hpp"
#include "engine/build/device.hpp"

namespace archwright::exporters::preview {

struct PreviewPage {
    std::string html;
    std::size_t triangles = 0, of_triangles = 0;  ///< of the shell: drawn, and of how many
    double off_mm = 0.0;                          ///< greatest distance of the shell from what is drawn
    bool may_be_accepted = false;                 ///< no stop is open
};

/// The whole page as HTML (docs/preview.md): shell and cast in space (WebGL), section, colours of the wall
/// and of the distance to the cast, figures, cautions, sign-offs, and the answer as text (reply.hpp). Names
/// no address and, by its own policy, can ask for none; runs no script but its own (by SHA-256). The same
/// bytes from the same design. `device`: proved. Faults: input (the files of assets/preview cannot be read),
/// cancelled.
Outcome<PreviewPage> preview_page(const design::Job& job, const build::Device& device, Progress& progress);

/// The plain line of every page: what it is, and who decides.
extern const char* const what_it_is;

}  // namespace archwright::exporters::preview
