// The keys of the screen: those of commands, from the tables, and those of the screen alone.
#pragma once

#include <string>
#include <vector>

namespace archwright::editor::ui {

struct Key {
    std::string key;      ///< "Ctrl+Z", "PgUp PgDn"
    std::string does;     ///< in plain words
    std::string command;  ///< of the tables, where it says one
};

/// All of them, in the order of docs/editor.md.
const std::vector<Key>& all_keys();
/// As a table for docs/editor.md, which holds it between two marks; the tests compare.
std::string key_reference();

/// In place of a field's path: the first that is drawn.
inline constexpr const char* any_field = "*";

// numbers of the keys beside letters and figures, as GLFW has them
inline constexpr int key_f5 = 294, key_f6 = 295;

}  // namespace archwright::editor::ui
