#include "assets/drawings/drawings.hpp"

#include <utility>

namespace archwright::drawings {

Outcome<std::vector<Drawing>> all_drawings() {
    if (!picture::Canvas::has_font())
        return Fault{FaultKind::output,
                     "picture",
                     "No font was found for the drawings' words: install fonts-inter or fonts-dejavu-core.",
                     {}};
    using Draw = Outcome<Drawing> (*)();
    const std::pair<const char*, Draw> all[] = {{"balance_angles", balance_angles},
                                                {"balance_platform", balance_platform},
                                                {"balance_pour", balance_pour},
                                                {"dress_additions", dress_additions},
                                                {"cover_pattern", cover_pattern},
                                                {"skive", skive},
                                                {"trim_rule", trim_rule},
                                                {"trim_features", trim_features},
                                                {"reliefs", reliefs},
                                                {"marks", marks},
                                                {"posts", posts}};
    std::vector<Drawing> drawn;
    for (const auto& [name, draw] : all) {
        auto drawing = draw();
        if (!drawing) {
            Fault fault = drawing.fault();
            fault.message = std::string(name) + ": " + fault.message;
            return fault;
        }
        drawing->name = name;
        drawn.push_back(std::move(*drawing));
    }
    return drawn;
}

}  // namespace archwright::drawings
