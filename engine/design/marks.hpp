// Marks of a foot: what was found in its cast is suggested; a person accepts, refuses, renames, adds.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "engine/base/outcome.hpp"
#include "engine/design/job.hpp"
#include "engine/foot/frame.hpp"
#include "engine/mark/ink_mark.hpp"

namespace archwright::design {

/// What became of ink that was found, one entry each in the order given.
struct InkInJob {
    enum class What {
        added,    ///< a new suggestion
        known,    ///< it is a mark the foot has
        refused,  ///< a person refused it before
    };
    What what = What::added;
    std::string name;  ///< of the mark it became, or is
};

/// Which of the foot's marks this ink is: most of the shorter of the two lies within
/// tolerance::ink_same_mark_mm of the other; nothing when none. `ink` in the design frame.
const Mark* mark_of(const FootDesign& foot, const mark::InkMark& ink, const foot::Frame& frame);

/// Adds to the foot's marks, as suggestions under names of their own, what is not among them yet. Found marks
/// in the design frame; at most 200 marks a foot: what is beyond is left out, the least sure first.
std::vector<InkInJob> suggest_marks(FootDesign& foot, const std::vector<mark::InkMark>& found,
                                    const foot::Frame& frame);

/// A person says yes to a mark, and what it means.
Outcome<Done> accept_mark(FootDesign& foot, const std::string& name, std::optional<Mark::Meaning> meaning,
                          const std::string& by);
/// A person says that this is none. It stays, refused.
Outcome<Done> refuse_mark(FootDesign& foot, const std::string& name, const std::string& by);
/// Gives a mark another name; what lies on it goes with it.
Outcome<Done> rename_mark(FootDesign& foot, const std::string& name, const std::string& to);
/// A person draws a mark, or draws it anew: points in the cast file's coordinates. `kind` unset: that of the
/// mark there is, else spot for one point and line for more. `note`: what it was drawn by, words.
Outcome<Done> draw_mark(FootDesign& foot, const std::string& name, const std::vector<Vec3>& points,
                        std::optional<Mark::Kind> kind, std::optional<Mark::Meaning> meaning,
                        const std::string& by, const std::string& note = {});
/// Lays the usual relief on a mark, under the mark's name and "-relief": along a line a groove (the ink and
/// 2.5 mm on each side, 10 mm at least, 2 mm deep), round a spot a cavity 4 mm broader than it (15 mm at
/// least, 2 mm deep), over an area a cavity that ends at its outline. Common practice, no source. Its name.
Outcome<std::string> relieve_mark(FootDesign& foot, const std::string& name);

/// Names of the features that lie on a mark.
std::vector<std::string> lying_on(const FootDesign& foot, const std::string& mark);

}  // namespace archwright::design
