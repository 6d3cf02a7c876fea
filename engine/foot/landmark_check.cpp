#include "engine/foot/landmark_check.hpp"

#include <algorithm>

#include "engine/base/parallel.hpp"
#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/foot/on_cast.hpp"

namespace archwright::foot {

Check check_marked(const Landmarks& landmarks) {
    Check check = named_check("landmarks.marked", "Landmarks marked by a person");
    std::string open;
    for (const LandmarkId id :
         {LandmarkId::heel_centre, LandmarkId::first_head_border, LandmarkId::first_head_plantar,
          LandmarkId::fifth_head_border, LandmarkId::fifth_head_plantar}) {
        const auto found = landmarks.find(id);
        if (found != landmarks.end() && found->second.source == Landmark::Source::suggested)
            open += (open.empty() ? "" : ", ") + std::string(title(id));
    }
    check.message = open.empty()
                        ? "Heel centre and the heads were marked by a person."
                        : "Only suggested by the program: " + open + ". Look at them and confirm them.";
    if (!open.empty()) check.verdict = Verdict::look;
    return check;
}

Check check_places(const Landmarks& landmarks, const Landmarks& suggested, const TriangleMesh& cast) {
    Check check = named_check("landmarks.place", "Landmarks on the cast");
    check.unit = "mm";
    check.limit = tolerance::landmark_off_look_mm;
    std::vector<const Landmarks::value_type*> all;
    for (const auto& entry : landmarks) all.push_back(&entry);
    std::vector<double> off(all.size());
    parallel_for(all.size(), 1, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) off[i] = nearest_on(cast, all[i]->second.position).distance;
    });
    double worst = 0.0;
    for (std::size_t i = 0; i < all.size(); ++i) {
        const LandmarkId id = all[i]->first;
        const Landmark& landmark = all[i]->second;
        if (off[i] >= worst) {
            worst = off[i];
            check.where = landmark.position;
        }
        const auto told = [&](const std::string& what, Verdict verdict) {
            check.verdict = std::max(check.verdict, verdict);
            check.message +=
                (check.message.empty() ? "" : " ") + std::string(title(id)) + " lies " + what + ".";
        };
        if (off[i] > tolerance::landmark_off_look_mm)
            told(rounded(off[i], 1) + " mm off the cast",
                 off[i] > tolerance::landmark_off_stop_mm ? Verdict::stop : Verdict::look);
        const auto shape = suggested.find(id);
        if (shape == suggested.end()) continue;
        const double apart = (shape->second.position - landmark.position).norm();
        if (apart > tolerance::landmark_apart_look_mm)
            told(rounded(apart, 1) + " mm from where the shape suggests it", Verdict::look);
    }
    check.figure = worst;
    if (check.verdict == Verdict::pass)
        check.message = "All " + std::to_string(all.size()) + " lie on the cast, within " +
                        rounded(worst, 1) + " mm, and near where the shape suggests them.";
    else
        check.message += " Mark them again where they are wrong.";
    if (check.verdict == Verdict::stop) check.signable = false;
    return check;
}

}  // namespace archwright::foot
