#include "engine/mould/of_device.hpp"

#include <cctype>

#include "engine/base/text.hpp"

namespace archwright::mould {

namespace {

constexpr double draft_told_deg = 0.1;     // less than asked by this is told
constexpr double undercut_told_mm2 = 1.0;  // a chord or two of the mesh
constexpr double wall_same_mm = 0.05;
constexpr double thin_share = 0.6;  // our choice: a person looks where so little of the sheet is left

Check check_of(const char* id, const char* title, const std::string& message, bool look, double figure,
               double limit, const char* unit, std::optional<Vec3> where = std::nullopt) {
    Check check;
    check.id = id;
    check.title = title;
    check.verdict = look ? Verdict::look : Verdict::pass;
    check.message = message;
    check.figure = figure;
    check.limit = limit;
    check.unit = unit;
    check.where = where;
    return check;
}

Vec2 heel_line(const build::Device& device) {
    const auto& marks = device.received->standing.landmarks;
    const auto lower = marks.find(foot::LandmarkId::bisection_lower);
    return {0.0, lower != marks.end() ? lower->second.position.y() : 0.0};
}

void judge(DeviceMould& made, const build::Device& device) {
    const Mould& m = made.mould;
    made.checks.push_back(
        check_of("mould.draft", "Draft",
                 "Margin and wall below the scribed line lean " + rounded(m.least_draft_deg, 2) +
                     " degrees at the least; " + exact(made.setting.draft_deg) + " are asked.",
                 m.least_draft_deg < made.setting.draft_deg - draft_told_deg, m.least_draft_deg,
                 made.setting.draft_deg, "degrees", m.in_design(m.least_draft_where)));
    const bool under = m.undercut_mm2 > undercut_told_mm2;
    made.checks.push_back(
        check_of("mould.undercut", "Undercut above the scribed line",
                 under ? rounded(m.undercut_mm2, 0) + " mm2 of the foot side lean over by up to " +
                             rounded(m.steepest_deg, 1) +
                             " degrees: the formed sheet has to be sprung off there, and a " +
                             "three-axis mill does not cut it."
                       : "The foot side leans over nowhere.",
                 under, m.undercut_mm2, undercut_told_mm2, "mm2",
                 under ? std::optional<Vec3>(m.in_design(m.undercut_where)) : std::nullopt));
    const double over = made.most_asked_mm - made.sheet_mm, less = made.sheet_mm - made.least_asked_mm;
    const bool varies = over > wall_same_mm || less > wall_same_mm;
    std::string wall = "The wall is locked to the sheet's " + rounded(made.sheet_mm, 2) + " mm.";
    if (varies) {
        const auto& reached = device.shelled->rigidity.walls;
        wall += " The order asks for " + rounded(made.least_asked_mm, 2) + " to " +
                rounded(made.most_asked_mm, 2) + " mm, which a formed sheet cannot have:";
        if (over > wall_same_mm)
            wall += " up to " + rounded(over, 2) + " mm too little at x " +
                    rounded(reached.greatest_at.x(), 0) + ", y " + rounded(reached.greatest_at.y(), 0) +
                    " mm;";
        if (less > wall_same_mm)
            wall += " up to " + rounded(less, 2) + " mm too much at x " + rounded(reached.least_at.x(), 0) +
                    ", y " + rounded(reached.least_at.y(), 0) + " mm;";
        wall +=
            " stiffness goes with the cube of the wall. What the bench and the proof told of the designed "
            "shell does not hold for the formed one.";
    }
    made.checks.push_back(check_of("mould.wall", "Wall of a formed sheet", wall, varies, std::max(over, less),
                                   wall_same_mm, "mm"));
    const double share = made.thinning.least_mm / made.sheet_mm;
    made.checks.push_back(check_of(
        "mould.thinning", "Thinning (estimated)",
        "Drawn over the mould the sheet keeps about " + rounded(made.thinning.least_mm, 2) + " of " +
            rounded(made.sheet_mm, 2) + " mm at the least, " + rounded(made.thinning.mean_mm, 2) +
            " in the mean: volume kept, stretch of a disc of " + rounded(thinning_radius_mm, 0) +
            " mm shared out evenly. An estimate without temperature and friction: measure formed shells.",
        share < thin_share, made.thinning.least_mm, thin_share * made.sheet_mm, "mm",
        m.in_design(made.thinning.least_where)));
    if (!device.shelled->shell.posts.empty())
        made.checks.push_back(
            check_of("mould.posts", "Posts",
                     "Posts of the order are no part of a formed sheet: they are put under it "
                     "afterwards.",
                     true, static_cast<double>(device.shelled->shell.posts.size()), 0.0, ""));
    if (m.text.empty())
        made.checks.push_back(check_of("mould.letters", "Letters in the base",
                                       "No letters have room in the base: write side and case on it by hand.",
                                       true, 0.0, 1.0, ""));
}

}  // namespace

Outcome<DeviceMould> mould_of(const build::Device& device, MouldSetting setting, double sheet_mm) {
    const build::Shelled& shelled = *device.shelled;
    DeviceMould made;
    made.sheet_mm = sheet_mm > 0.0 ? sheet_mm : shelled.rigidity.base_mm;
    if (!(made.sheet_mm >= 0.5 && made.sheet_mm <= 12.0))
        return Fault{
            FaultKind::usage, "mould", "A sheet of " + exact(made.sheet_mm) + " mm; write 0.5 to 12.", {}};
    const Vec2 heel = heel_line(device);
    const double length = device.received->standing.foot_length_mm;
    setting.marks = {{"heel bisection", heel, Vec2(-1.0, 0.0)},
                     {"axis", Vec2(0.0, 0.0), Vec2(1.0, 0.0)},
                     {"medial side", Vec2(0.25 * length, 0.0), Vec2(0.0, 1.0)}};
    setting.mirrored = device.side == Side::left;
    std::string code;
    for (const char c : device.case_code)
        code += static_cast<char>(std::toupper(static_cast<unsigned char>(c)));
    setting.text = {device.side == Side::left ? "L" : "R", code, device.revision};
    auto mould = make_mould(shelled.shell.foot_side, shelled.shell.trim, shelled.shell.apertures, setting);
    if (!mould) return mould.fault();
    made.mould = std::move(*mould);
    made.setting = std::move(setting);
    made.thinning = estimate_thinning(made.mould, made.sheet_mm);
    made.least_asked_mm = shelled.rigidity.walls.least_mm;
    made.most_asked_mm = shelled.rigidity.walls.greatest_mm;
    judge(made, device);
    return made;
}

}  // namespace archwright::mould
