// What an examination of a cast found.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "engine/base/vec.hpp"
#include "engine/examine/height_map.hpp"

namespace archwright::examine {

/// One fault of a cast, or what may be one. Lengths in mm, places in the design frame.
struct Finding {
    enum class Kind {
        dent,         ///< smooth dimple pressed into the foot (a finger, the table)
        crease,       ///< fold of the plaster: a ridge or a furrow along a line
        seam,         ///< step across the sole where two layers of plaster overlap
        flat_heel,    ///< heel set down before the plaster was hard
        flat_border,  ///< the same of the lateral or medial border
        bump,         ///< smooth dome away from the foot: air left under the plaster
        rough,        ///< patch of rough surface
        hole,         ///< the scanner saw nothing
        tear,         ///< notch in the cast's edge
        splay,        ///< walls that opened
        short_cast,   ///< ends before the device does
        toes,         ///< toes in the way
    };
    /// Certain: called a fault. Question: may be one, a person decides.
    enum class Certainty { certain, question };
    /// What can be done about it.
    enum class Advice {
        repair,        ///< the surface can be mended from what lies round it
        design_round,  ///< cannot be mended; the device can allow for it
        take_again,    ///< only a new cast helps
    };

    Kind kind = Kind::dent;
    Certainty certainty = Certainty::question;
    Vec3 place = Vec3::Zero();  ///< on the cast
    std::vector<Vec3> line;     ///< centre line of a crease or seam, on the cast; empty else
    double length_mm = 0.0;     ///< along the line, or the longer way across
    double breadth_mm = 0.0;    ///< across it: full breadth (a crease: at half its height)
    double depth_mm = 0.0;      ///< greatest height over the undisturbed surface, + away from the foot
    double depth_sd_mm = 0.0;   ///< standard deviation of depth_mm
    double confidence = 0.0;    ///< 0..1: share of such calls that are faults (docs/examine.md)
    std::string sentence;       ///< one sentence with numbers: why it was called
    Advice advice = Advice::repair;
    std::string advice_words;  ///< plain words, with how to take it better
};

/// The words of every kind, in order.
struct KindWords {
    const char* key;    ///< stable, in files and commands
    const char* title;  ///< the trade's words
};
inline constexpr std::array<KindWords, 12> kind_words{{
    {"dent", "dent"},
    {"crease", "crease"},
    {"seam", "overlap seam"},
    {"flat_heel", "flattened heel"},
    {"flat_border", "flattened border"},
    {"bump", "bump"},
    {"rough", "rough patch"},
    {"hole", "hole"},
    {"tear", "torn edge"},
    {"splay", "splayed walls"},
    {"short_cast", "cast ends too soon"},
    {"toes", "toes in the way"},
}};
constexpr const char* key(Finding::Kind kind) {
    return kind_words[static_cast<std::size_t>(kind)].key;
}
constexpr const char* title(Finding::Kind kind) {
    return kind_words[static_cast<std::size_t>(kind)].title;
}

/// Whether what was there can be told from what lies round it: a flattened heel is not invented back, and
/// what the cast does not hold is not made up.
constexpr bool repairable(Finding::Kind kind) {
    using enum Finding::Kind;
    return kind == dent || kind == crease || kind == seam || kind == bump || kind == rough;
}

/// Order of a list of findings, worst first: what is certain before what is a question, a cast to be taken
/// again before all else of its certainty, then the height a device would copy, as surely as it is known.
bool worse(const Finding& a, const Finding& b);

struct Examination {
    std::vector<Finding> findings;  ///< worst first
    double noise_mm = 0.0;          ///< standard deviation of the scan's points about a smooth surface
    HeightMap map;                  ///< for pictures
};

}  // namespace archwright::examine
