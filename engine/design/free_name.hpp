// A name for what is added without one.
#pragma once

#include <algorithm>
#include <string>

namespace archwright::design {

/// `stem`, or "stem-2", "stem-3" ... where things of the list (anything with a name) are called so already.
template <class List>
std::string free_name(const List& taken, const std::string& stem) {
    const auto is_taken = [&](const std::string& name) {
        return std::any_of(taken.begin(), taken.end(), [&](const auto& one) { return one.name == name; });
    };
    std::string name = stem;
    for (int k = 2; is_taken(name); ++k) name = stem + "-" + std::to_string(k);
    return name;
}

}  // namespace archwright::design
