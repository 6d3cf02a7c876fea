#include "engine/design/second_foot.hpp"

#include <algorithm>

#include "engine/base/text.hpp"
#include "engine/design/reader.hpp"

namespace archwright::design {

namespace {

const Mark* mark_named(const FootDesign& foot, const std::string& name) {
    for (const Mark& mark : foot.marks)
        if (mark.name == name) return &mark;
    return nullptr;
}

/// Takes the mark over where the foot has none of its name; whether it did.
bool carry_mark(const Mark& mark, FootDesign& to, const PlaceOver& place) {
    if (mark_named(to, mark.name) != nullptr) return false;
    Mark carried = mark;
    for (Vec3& p : carried.points) p = place(p);
    carried.source = foot::Landmark::Source::suggested;
    carried.by.clear();
    to.marks.push_back(std::move(carried));
    return true;
}

void carry_features(const FootDesign& from, FootDesign& to, const PlaceOver& place,
                    std::vector<std::string>& drawn) {
    to.features.clear();
    for (const feature::Feature& one : from.features) {
        const Mark* mark = mark_named(from, one.anchor);
        if (mark != nullptr && !place) {
            drawn.push_back("\"" + one.name + "\" left out: it lies on a mark of the other foot");
            continue;
        }
        if (mark != nullptr && carry_mark(*mark, to, place))
            drawn.push_back("\"" + one.name + "\" with its mark \"" + mark->name +
                            "\", mirrored: confirm the mark, or move it");
        else if (mark != nullptr)
            drawn.push_back("\"" + one.name + "\", on the mark \"" + mark->name + "\" of this foot");
        else if (!one.points.empty())
            drawn.push_back("\"" + one.name + "\", drawn in plan");
        to.features.push_back(one);
    }
}

}  // namespace

const std::vector<std::string>& order_parts() {
    static const std::vector<std::string> all{"balance", "dress", "trim",     "wall",   "features",
                                              "posts",   "rim",   "material", "covers", "lettering"};
    return all;
}

Outcome<std::vector<std::string>> parse_order_parts(const std::string& words) {
    if (words.empty()) return order_parts();
    std::vector<std::string> parts;
    for (std::size_t at = 0; at <= words.size();) {
        const std::size_t end = std::min(words.find(',', at), words.size());
        const std::string part = words.substr(at, end - at);
        at = end + 1;
        const auto& all = order_parts();
        if (std::find(all.begin(), all.end(), part) == all.end()) {
            const std::string near = nearest_word(std::string_view(part).substr(0, longest_name), all);
            std::string list;
            for (const std::string& each : all) list += (list.empty() ? "" : ", ") + each;
            return Fault{FaultKind::usage,
                         "carry",
                         in_quotes(part) + " is no part of an order" +
                             (near.empty() ? "" : "; did you mean \"" + near + "\"?") +
                             " Write some of these, with commas: " + list,
                         {}};
        }
        if (std::find(parts.begin(), parts.end(), part) == parts.end()) parts.push_back(part);
    }
    return parts;
}

std::vector<std::string> carry_order(const FootDesign& from, FootDesign& to,
                                     const std::vector<std::string>& parts, const PlaceOver& place) {
    const auto goes = [&](const char* part) {
        return std::find(parts.begin(), parts.end(), part) != parts.end();
    };
    std::vector<std::string> drawn;
    if (goes("balance")) to.balance = from.balance;
    if (goes("material")) to.material = from.material;
    if (goes("rim")) to.rim = from.rim;
    if (goes("lettering"))
        to.lettering = from.lettering;  // code, side and revision are those of the foot it is cut into
    if (goes("features")) carry_features(from, to, place, drawn);
    if (goes("dress")) {
        to.dress = from.dress;
        for (const surface::SmoothZone& zone : from.dress.smooth)
            drawn.push_back("zone to smooth \"" + zone.name + "\"");
        for (const surface::KeepZone& zone : from.dress.keep)
            drawn.push_back("zone to keep \"" + zone.name + "\"");
    }
    if (goes("wall")) {
        to.wall = from.wall;
        for (const WallRegion& region : from.wall.regions)
            drawn.push_back("wall region \"" + region.name + "\"");
    }
    if (goes("covers")) {
        to.covers = from.covers;
        for (const Cover& cover : from.covers)
            if (!cover.outline.empty()) drawn.push_back("outline of \"" + cover.name + "\"");
    }
    if (goes("trim")) {
        to.trim = from.trim;
        if (const std::size_t n = from.trim.controls.size(); n > 0)
            drawn.push_back(std::to_string(n) + (n == 1 ? " free control point" : " free control points") +
                            " of the trim line");
    }
    if (goes("posts")) {
        to.posts = from.posts;
        if (from.posts.forefoot.on) drawn.push_back("forefoot post, whose angle is that of one forefoot");
    }
    const auto& all = order_parts();
    if (std::all_of(all.begin(), all.end(), [&](const std::string& part) { return goes(part.c_str()); }))
        to.presets = from.presets;
    return drawn;
}

std::vector<std::string> copy_order(const FootDesign& from, FootDesign& to) {
    return carry_order(from, to, order_parts(), {});
}

}  // namespace archwright::design
