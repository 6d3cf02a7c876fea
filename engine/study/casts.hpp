// The casts of a study: read, received and measured, and what is wrong with some of them.
#pragma once

#include <memory>

#include "engine/build/workbench.hpp"
#include "engine/foot/measure.hpp"
#include "engine/registration/registration.hpp"
#include "engine/study/table.hpp"

namespace archwright::study {

/// What is wrong with the cast of one row.
struct Mistake {
    enum class Kind { unreadable, unit, side, mirrored, not_the_same, unregistered };
    Kind kind = Kind::unreadable;
    int row = 0;
    std::string cast;   ///< as the table writes it
    std::string words;  ///< what, by how much, what to do
};
/// A word for programs: "unit".
const char* key(Mistake::Kind kind);

/// One cast in the design frame.
struct MeasuredCast {
    std::size_t row = 0;  ///< among Table::rows
    Side side = Side::right;
    TriangleMesh mesh;  ///< as it stands by itself, mm, right-foot handed
    double foot_length_mm = 0.0;
    std::vector<foot::Measurement> measurements;
    foot::Landmarks landmarks;
    /// Onto the first good cast of its foot, from its own frame; of that one nothing.
    registration::Motion onto_first;
    registration::Fit fit;
};

struct Casts {
    std::vector<MeasuredCast> good;  ///< in the order of the table
    std::vector<Mistake> mistakes;   ///< in the order of the table
};

struct CastSetting {
    std::filesystem::path folder;  ///< of the table: files are found from there
    bool allow_outside = false;    ///< they may lie outside it
    scan::ReadLimits limits;
    std::shared_ptr<const design::Materials> materials;  ///< for rows that name a job
};

/// Reads every cast (or the cast of every job, with its landmarks), measures it and registers the sole of
/// each on that of the first good one of its foot: an odd unit, a wrong side, a mirror image and another foot
/// are found so, by the cast's own shape or by the others'. Fault: cancelled; a file outside the folder.
Outcome<Casts> measure_casts(const Table& table, const CastSetting& setting, Progress& progress);

/// Where casts of one foot have to agree: the sole and the lower borders behind the toes.
bool on_sole(const Vec3& point, const Vec3& normal, double foot_length_mm);

/// The figures of the good casts as a table of figures (Table::given), rows without mistakes alone.
Table figures_of(const Table& table, const Casts& casts);

}  // namespace archwright::study
