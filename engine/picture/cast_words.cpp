#include "engine/picture/cast_words.hpp"

#include <algorithm>
#include <cctype>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/build/repair_stage.hpp"
#include "engine/build/stages.hpp"
#include "engine/design/words.hpp"
#include "engine/picture/paragraph.hpp"

namespace archwright::picture {

namespace {

using examine::Finding;

constexpr const char* plus_minus = " \u00B1 ";

std::string capital(std::string text) {
    if (!text.empty()) text[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(text[0])));
    return text;
}

/// Decimals for the sizes of one finding.
int decimals_for(double smallest) {
    return smallest < 10.0 ? 1 : 0;
}

std::string height_of(const Finding& f) {
    const double half = 1.96 * f.depth_sd_mm;
    const int decimals = half < 0.05 ? 2 : 1;
    std::string text = rounded(std::abs(f.depth_mm), decimals);
    if (half > 0.0) text += plus_minus + rounded(half, decimals);
    return text + " mm";
}

}  // namespace

std::string name_of(const Finding& finding) {
    const bool certain = finding.certainty == Finding::Certainty::certain;
    return capital(title(finding.kind)) + (certain ? "" : "?");
}

std::string size_of(const Finding& f) {
    using enum Finding::Kind;
    const auto across = [&] {
        const double smallest = f.breadth_mm > 0.0 ? std::min(f.length_mm, f.breadth_mm) : f.length_mm;
        const int decimals = decimals_for(smallest);
        const std::string length = rounded(f.length_mm, decimals), breadth = rounded(f.breadth_mm, decimals);
        return f.breadth_mm > 0.0 && length != breadth ? length + " \u00D7 " + breadth + " mm"
                                                       : length + " mm across";
    };
    const std::string way = f.depth_mm < 0.0 ? " into the foot" : " away from the foot";
    switch (f.kind) {
        case dent:
        case bump:
        case crease:
        case flat_heel:
        case flat_border:
            return across() + ", " + height_of(f) + way;
        case seam:
            return rounded(f.length_mm, decimals_for(f.length_mm)) + " mm long, a step of " + height_of(f);
        case rough:
            return across() + ", " + rounded(f.depth_mm, 2) + " mm rms";
        case hole:
            return across();
        case tear: {
            const int decimals = decimals_for(std::min(f.length_mm, f.breadth_mm));
            return rounded(f.length_mm, decimals) + " mm deep, " + rounded(f.breadth_mm, decimals) +
                   " mm wide";
        }
        case splay:
        case short_cast:
        case toes:
            break;  // their sentences say it in degrees and heights
    }
    return {};
}

std::string words_of(const build::Examined::Call& call) {
    std::string words = call.finding.sentence;
    const std::string said = build::said_of(call);
    words += " " + (said.empty() ? call.finding.advice_words : said);
    if (!call.effect.empty()) words += " " + call.effect;
    return typeset(words);
}

std::string size_of(const examine::RepairFigure& figure) {
    return rounded(std::abs(figure.largest_mm), 2) +
           (figure.largest_mm < 0.0 ? " mm into the foot" : " mm away from the foot") + " at most, " +
           rounded(std::abs(figure.volume_mm3), 0) + " mm\u00B3 in all";
}

std::string words_of(const examine::RepairFigure& figure, const design::Repair* asked,
                     const foot::Frame& frame) {
    std::string words;
    if (asked != nullptr) {
        words = capital(design::title_of(asked->what));
        if (!asked->by.empty()) words += ", asked by " + asked->by;
        if (!asked->reason.empty()) words += ": " + asked->reason;
        if (words.back() != '.') words += ".";
        words += " ";
    }
    words += "At " + place(frame.to_design(figure.place)) + "; all within " + exact(figure.reach_mm) +
             " mm of " + (asked != nullptr && asked->points.size() > 1 ? "its line" : "it") +
             " was made anew from what lies round it, which fits to " + rounded(figure.around_mm, 2) +
             " mm rms. Nothing beyond moved.";
    if (asked != nullptr) words += build::beyond_words(figure, *asked);
    return typeset(words);
}

}  // namespace archwright::picture
