#include "assets/generator/truth_file.hpp"

#include <nlohmann/json.hpp>

namespace archwright::generator {

std::string truth_json(const FootTruth& truth, LengthUnit unit, const Eigen::Matrix4d& design_to_file) {
    nlohmann::ordered_json json;
    json["side"] = word(truth.side);
    json["unit"] = word(unit);
    json["length_mm"] = truth.length_mm;
    json["ball_length_mm"] = truth.ball_length_mm;
    json["forefoot_breadth_mm"] = truth.forefoot_breadth_mm;
    json["heel_breadth_mm"] = truth.heel_breadth_mm;
    json["arch_height_mm"] = truth.arch_height_mm;
    json["metatarsal_plane_deg"] = truth.metatarsal_plane_deg;
    json["heel_bisection_deg"] = truth.heel_bisection_deg;
    json["forefoot_to_rearfoot_deg"] = truth.forefoot_to_rearfoot_deg;
    for (const auto& [key, p] : truth.landmarks) json["landmarks"][key] = {p.x(), p.y(), p.z()};
    for (int i = 0; i < 4; ++i) {
        const Eigen::RowVector4d row = design_to_file.row(i);
        json["design_to_file"].push_back({row[0], row[1], row[2], row[3]});
    }
    return json.dump(2) + "\n";
}

}  // namespace archwright::generator
