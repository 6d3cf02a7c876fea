// 3MF (3D Manufacturing Format, core specification 1.3, and part paths of the production extension 1.1). Our
// own reader of the needed parts: it unpacks as a stream and believes no stated size, so hostile files stay
// harmless.
#pragma once

#include "engine/scan/read_source.hpp"

namespace archwright::scan {

/// True when the bytes begin as a ZIP does.
bool begins_as_zip(std::string_view bytes);
/// All meshes placed by the build as one, in the declared unit. Supports are left out; colours are not read.
Outcome<Reading> read_three_mf(const Source& source);

}  // namespace archwright::scan
