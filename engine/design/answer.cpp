#include "engine/design/answer.hpp"

#include "engine/base/units.hpp"

namespace archwright::design {

std::size_t forget_answers(FootDesign& foot, examine::Finding::Kind what, const Vec3& place,
                           double reach_mm) {
    const double mm = mm_per(foot.cast.unit.value);
    return std::erase_if(foot.answers, [&](const Answer& old) {
        return old.what == what && mm * (old.place - place).norm() <= reach_mm;
    });
}

void put_answer(FootDesign& foot, Answer answer, double reach_mm) {
    forget_answers(foot, answer.what, answer.place, reach_mm);
    foot.answers.push_back(std::move(answer));
}

}  // namespace archwright::design
