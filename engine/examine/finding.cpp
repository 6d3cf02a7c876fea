#include "engine/examine/finding.hpp"

#include <array>

namespace archwright::examine {

namespace {

struct Words {
    const char *key, *title;
};
constexpr std::array<Words, 12> words{{
    {"dent", "dent"},
    {"crease", "crease"},
    {"seam", "overlap seam"},
    {"flat_heel", "flattened heel"},
    {"flat_border", "flattened border"},
    {"bump", "bump, as air under the plaster leaves"},
    {"rough", "rough patch"},
    {"hole", "hole"},
    {"tear", "torn edge"},
    {"splay", "splayed walls"},
    {"short_cast", "cast ends too soon"},
    {"toes", "toes in the way"},
}};

}  // namespace

const char* key(Finding::Kind kind) {
    return words[static_cast<std::size_t>(kind)].key;
}

const char* title(Finding::Kind kind) {
    return words[static_cast<std::size_t>(kind)].title;
}

}  // namespace archwright::examine
