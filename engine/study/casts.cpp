#include "engine/study/casts.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "engine/base/text.hpp"
#include "engine/build/stages.hpp"
#include "engine/design/asset_files.hpp"
#include "engine/design/job_file.hpp"
#include "engine/foot/survey.hpp"

namespace archwright::study {

namespace {

/// A cast that none of the others of its foot fits is tried no more than so often as the one they lie on.
constexpr std::size_t most_references = 3;

const Check* check_of(const build::Received& received, const std::string& id) {
    for (const Check& check : received.checks)
        if (check.id == id) return &check;
    return nullptr;
}

Mistake mistake_of(const Row& row, Mistake::Kind kind, std::string words) {
    return {kind, row.row, row.cast.generic_string(), std::move(words)};
}

struct Opened {
    std::optional<MeasuredCast> cast;
    std::optional<Mistake> mistake;
};

MeasuredCast measured(build::Received received, std::size_t row) {
    MeasuredCast out;
    out.row = row;
    out.side = received.standing.frame.side;
    out.mesh = std::move(received.standing.mesh);
    out.mesh.colours.clear();
    out.foot_length_mm = received.standing.foot_length_mm;
    out.landmarks = std::move(received.standing.landmarks);
    out.measurements = std::move(received.measurements);
    return out;
}

Outcome<build::Received> receive_row(const Row& row, const std::filesystem::path& file,
                                     const CastSetting& setting, Progress& progress) {
    if (file.extension() != ".json") {
        auto cast = build::open_cast(file, setting.limits, progress);
        if (!cast) return cast.fault();
        scan::Stated stated;
        stated.side = row.side;
        stated.unit = row.unit;
        return build::first_look(*cast, stated, progress);
    }
    design::JobReading how;
    how.allow_outside = setting.allow_outside;
    const auto job = design::read_job(file, how);
    if (!job) return job.fault();
    std::optional<Side> side = row.side;
    if (!side && job->foot(Side::left) && job->foot(Side::right))
        return Fault{FaultKind::ask, "study", "The job has two feet: say which in the column side.", {}};
    if (!side) side = job->foot(Side::left) ? Side::left : Side::right;
    if (!job->foot(*side))
        return Fault{FaultKind::input, "study", std::string("The job has no ") + word(*side) + " foot.", {}};
    build::Setting around;
    around.job_path = file;
    around.allow_outside = setting.allow_outside;
    around.limits = setting.limits;
    around.materials = setting.materials;
    build::Workbench bench(std::move(around));
    const auto received = bench.receive(*job, *side, progress);
    if (!received) return received.fault();
    return build::Received(**received);
}

Outcome<Opened> open_row(const Table& table, std::size_t index, const CastSetting& setting,
                         Progress& progress) {
    const Row& row = table.rows[index];
    Opened opened;
    const auto file =
        design::resolve(setting.folder / table.name, row.cast.generic_string(), setting.allow_outside);
    if (!file) return file.fault();
    auto received = receive_row(row, *file, setting, progress);
    if (!received) {
        if (received.fault().kind == FaultKind::cancelled) return received.fault();
        const bool unit = received.fault().message.find("unit") != std::string::npos &&
                          received.fault().kind == FaultKind::ask;
        opened.mistake =
            mistake_of(row, unit ? Mistake::Kind::unit : Mistake::Kind::unreadable, received.fault().message);
        return opened;
    }
    const Check *unit = check_of(*received, "receive.unit"), *side = check_of(*received, "receive.side");
    if (unit != nullptr && unit->verdict == Verdict::stop)
        opened.mistake = mistake_of(row, Mistake::Kind::unit, unit->message);
    else if (side != nullptr && side->verdict == Verdict::stop)
        opened.mistake = mistake_of(row, Mistake::Kind::side, side->message);
    else
        opened.cast = measured(std::move(*received), index);
    return opened;
}

Mistake::Kind kind_of(registration::Trouble trouble) {
    switch (trouble) {
        case registration::Trouble::wrong_unit:
            return Mistake::Kind::unit;
        case registration::Trouble::wrong_side:
            return Mistake::Kind::mirrored;
        case registration::Trouble::not_the_same:
            return Mistake::Kind::not_the_same;
        default:
            return Mistake::Kind::unregistered;
    }
}

/// Soles of two feet may lie on one another where one slides along the other; their lengths tell them apart.
/// Empty: the lengths agree.
std::string lengths_differ(const MeasuredCast& one, const MeasuredCast& other) {
    const foot::Measurement *a = foot::find(one.measurements, "foot_length"),
                            *b = foot::find(other.measurements, "foot_length");
    if (a == nullptr || b == nullptr) return {};
    constexpr double same_share = 0.04;  // toes curl: casts of one foot differ by a few mm (our choice)
    constexpr double sure = 1.5;         // an estimated length has wide limits
    const double limit = std::max(same_share * a->value, sure * std::hypot(a->uncertainty, b->uncertainty));
    if (std::abs(a->value - b->value) <= limit) return {};
    return "it is " + rounded(b->value, 0) + " mm long, that one " + rounded(a->value, 0) +
           " mm: another foot. Look whether these two belong together.";
}

struct Registered {
    std::size_t reference = 0;
    std::vector<registration::Registration> all;  ///< of the group, in order
    std::size_t fit = 0;
};

Outcome<Registered> registered_on(const std::vector<MeasuredCast*>& group, std::size_t reference,
                                  Progress& progress) {
    Registered out;
    out.reference = reference;
    const registration::Fixed fixed(group[reference]->mesh);
    for (std::size_t i = 0; i < group.size(); ++i) {
        registration::Registration made;
        if (i != reference) {
            registration::Settings how;
            how.starts.push_back({});  // both stand in the design frame
            const double length = group[i]->foot_length_mm;
            how.agrees = [length](const Vec3& p, const Vec3& n) { return on_sole(p, n, length); };
            auto tried = registration::register_surfaces(group[i]->mesh, fixed, how, progress);
            if (!tried) return tried.fault();
            made = std::move(*tried);
        }
        out.fit += made.ok();
        out.all.push_back(std::move(made));
    }
    return out;
}

/// The casts of one foot: sides that differ, then each on the first that most of the others fit.
Outcome<Done> compare_group(const Table& table, std::vector<MeasuredCast*> group,
                            std::vector<Mistake>& mistakes, std::vector<char>& bad, Progress& progress) {
    if (group.size() < 2) return Done{};
    std::map<Side, std::size_t> sides;
    for (const MeasuredCast* cast : group) ++sides[cast->side];
    if (sides.size() > 1) {
        const Side usual = sides[Side::left] > sides[Side::right] ? Side::left : Side::right;
        std::erase_if(group, [&](const MeasuredCast* cast) {
            if (cast->side == usual) return false;
            bad[cast->row] = 1;
            mistakes.push_back(mistake_of(
                table.rows[cast->row], Mistake::Kind::mirrored,
                std::string("The cast looks like a ") + word(cast->side) + " foot, the others of foot " +
                    table.rows[cast->row].foot + " like a " + word(usual) +
                    " one: it is of the other foot, or was mirrored on its way. State the side of the "
                    "foot in the column side."));
            return true;
        });
    }
    Registered best;
    for (std::size_t r = 0; r < std::min(group.size(), most_references); ++r) {
        auto tried = registered_on(group, r, progress);
        if (!tried) return tried.fault();
        if (r == 0 || tried->fit > best.fit) best = std::move(*tried);
        if (2 * best.fit > group.size()) break;
    }
    for (std::size_t i = 0; i < group.size(); ++i) {
        const registration::Registration& made = best.all[i];
        group[i]->onto_first = made.fit.motion;
        group[i]->fit = made.fit;
        const std::string length = made.ok() && i != best.reference
                                       ? lengths_differ(*group[best.reference], *group[i])
                                       : std::string();
        if (made.ok() && length.empty()) continue;
        bad[group[i]->row] = 1;
        const std::string where =
            "Laid on row " + std::to_string(table.rows[group[best.reference]->row].row) + ", the same foot: ";
        mistakes.push_back(mistake_of(table.rows[group[i]->row],
                                      made.ok() ? Mistake::Kind::not_the_same : kind_of(made.trouble),
                                      where + (made.ok() ? length : made.words)));
    }
    return Done{};
}

}  // namespace

const char* key(Mistake::Kind kind) {
    switch (kind) {
        case Mistake::Kind::unreadable:
            return "unreadable";
        case Mistake::Kind::unit:
            return "unit";
        case Mistake::Kind::side:
            return "side";
        case Mistake::Kind::mirrored:
            return "mirrored";
        case Mistake::Kind::not_the_same:
            return "not_the_same";
        case Mistake::Kind::unregistered:
            return "unregistered";
    }
    return "";
}

bool on_sole(const Vec3& point, const Vec3&, double foot_length_mm) {
    // from the heel centre, which lies at share::heel_centre of the length
    return point.x() < (foot::share::toe_roots - foot::share::heel_centre) * foot_length_mm &&
           point.z() < foot::border_height(foot_length_mm);
}

Outcome<Casts> measure_casts(const Table& table, const CastSetting& setting, Progress& progress) {
    Casts out;
    std::vector<MeasuredCast> all;
    std::vector<char> bad(table.rows.size(), 0);
    constexpr double reading_share = 0.7;
    for (std::size_t i = 0; i < table.rows.size(); ++i) {
        const double from = reading_share * static_cast<double>(i) / static_cast<double>(table.rows.size());
        const double to = reading_share * static_cast<double>(i + 1) / static_cast<double>(table.rows.size());
        const Progress::Stretch stretch(progress, "Measuring casts", from, to);
        auto opened = open_row(table, i, setting, progress);
        if (!opened) return opened.fault();
        if (opened->mistake) out.mistakes.push_back(std::move(*opened->mistake));
        if (opened->cast) all.push_back(std::move(*opened->cast));
    }
    std::map<std::string, std::vector<MeasuredCast*>> feet;
    for (MeasuredCast& cast : all) feet[table.rows[cast.row].foot].push_back(&cast);
    double done = 0.0;
    for (auto& [code, group] : feet) {
        const double share = (1.0 - reading_share) / static_cast<double>(feet.size());
        const Progress::Stretch stretch(progress, "Laying casts of one foot on one another",
                                        reading_share + share * done, reading_share + share * (done + 1.0));
        done += 1.0;
        if (const auto compared = compare_group(table, group, out.mistakes, bad, progress); !compared)
            return compared.fault();
    }
    for (MeasuredCast& cast : all)
        if (bad[cast.row] == 0) out.good.push_back(std::move(cast));
    std::stable_sort(out.mistakes.begin(), out.mistakes.end(),
                     [](const Mistake& a, const Mistake& b) { return a.row < b.row; });
    return out;
}

Table figures_of(const Table& table, const Casts& casts) {
    Table out = table;
    out.rows.clear();
    out.given.clear();
    for (const MeasuredCast& cast : casts.good)
        for (const foot::Measurement& m : cast.measurements)
            if (std::none_of(out.given.begin(), out.given.end(),
                             [&](const Quantity& q) { return q.id == m.id; }))
                out.given.push_back({m.id, m.title, m.unit});
    for (const MeasuredCast& cast : casts.good) {
        Row row = table.rows[cast.row];
        row.values.clear();
        for (const Quantity& quantity : out.given) {
            const foot::Measurement* m = foot::find(cast.measurements, quantity.id);
            row.values.push_back(m == nullptr ? std::nullopt : std::optional(m->value));
        }
        out.rows.push_back(std::move(row));
    }
    return out;
}

}  // namespace archwright::study
