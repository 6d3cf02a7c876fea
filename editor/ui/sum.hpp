// What a person may type into a number's box.
#pragma once

#include <optional>
#include <string_view>

namespace archwright::editor::ui {

/// A number, or numbers added, taken away, multiplied and divided ("3.2+0.4", "12/2-1", blanks anywhere, a
/// true minus too); a unit behind it is passed over when it is `unit`. Nothing for anything else.
std::optional<double> sum_of(std::string_view text, std::string_view unit);

}  // namespace archwright::editor::ui
