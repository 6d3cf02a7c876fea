#include "engine/surface/border.hpp"

#include <cctype>

#include "engine/surface/post.hpp"
#include "engine/surface/rim.hpp"

namespace archwright::surface {

RimRows Border::rows(double s) const {
    return kind == Kind::post ? post_rows(shell->underside, curve, *post, s)
                              : rim_rows(shell->foot_side, shell->underside, curve, *rim, s);
}

std::string Border::title() const {
    std::string words = name;
    if (!words.empty()) words[0] = static_cast<char>(std::toupper(static_cast<unsigned char>(words[0])));
    return words;
}

std::vector<Border> borders(const Shell& shell) {
    const auto run = [](const PeriodicCurve& curve, bool counter_clockwise) {
        return (curve.signed_area() > 0.0) == counter_clockwise ? curve : curve.reversed();
    };
    std::vector<Border> all{{Border::Kind::trim, "the trim line", shell.trim, &shell, &shell.rim, nullptr}};
    for (const Aperture& a : shell.apertures)
        all.push_back({Border::Kind::aperture, "aperture \"" + a.name + "\"", run(a.curve, false), &shell,
                       &a.rim, nullptr});
    for (const Post& p : shell.posts)
        all.push_back(
            {Border::Kind::post, "post \"" + p.name + "\"", run(p.curve, true), &shell, nullptr, &p});
    return all;
}

}  // namespace archwright::surface
