#include "tests/support/random_job.hpp"

#include <string>

#include "engine/base/text.hpp"
#include "engine/design/parameters.hpp"
#include "engine/design/text_kind.hpp"

namespace archwright::tests {

using namespace archwright::design;

double uniform(std::mt19937_64& random, double low, double high) {
    return low + (high - low) * (static_cast<double>(random() >> 11) * 0x1p-53);
}

namespace {

class Dice {
  public:
    explicit Dice(std::mt19937_64& random) : random_(random) {}
    std::size_t below(std::size_t n) { return static_cast<std::size_t>(random_() % n); }
    bool coin() { return below(2) == 0; }
    double between(double low, double high) { return uniform(random_, low, high); }
    Vec3 point(double size) { return {between(-size, size), between(-size, size), between(-size, size)}; }
    std::string code() { return letters("ABCDEFGHKLM0123456789-", 1 + below(12), 'K'); }
    std::string hash() { return letters("0123456789abcdef", 63, 'a'); }
    std::string words() {
        static const std::string pieces[]{"a", "B", " ",  "\"", "\\", "\n", "\t",
                                          "é", "°", "漢", "😀",  "/",  ","};
        std::string out = "x";
        for (std::size_t n = below(30); n > 0; --n) out += pieces[below(std::size(pieces))];
        return out;
    }

  private:
    std::string letters(const std::string& alphabet, std::size_t n, char first) {
        std::string out(1, first);
        for (std::size_t i = 0; i < n; ++i) out += alphabet[below(alphabet.size())];
        return out;
    }
    std::mt19937_64& random_;
};

template <class Owner>
void shake(Owner& owner, const std::vector<Parameter>& table, Dice& dice) {
    for (const Parameter& p : table) {
        if (p.listed || p.name.starts_with("side.") || p.name.starts_with("cast.")) continue;
        std::string text;
        if (p.kind == Parameter::Kind::number)
            text = exact(dice.between(p.low, p.high));
        else if (p.kind == Parameter::Kind::choice)
            text = p.words[dice.below(p.words.size())];
        else if (p.kind == Parameter::Kind::flag)
            text = dice.coin() ? "yes" : "no";
        else
            continue;
        if (p.optional && dice.coin()) continue;
        if (!set(owner, p.name, text)) std::abort();  // a table whose own values it refuses
    }
}

Statement statement(Dice& dice) {
    Statement s;
    s.by = static_cast<StatedBy>(dice.below(3));
    s.evidence = dice.words();
    s.confidence = dice.between(0, 1);
    s.clear = dice.coin();
    if (s.by == StatedBy::person) s.code = dice.code();
    return s;
}

FootDesign random_foot(Dice& dice) {
    FootDesign foot;
    shake(foot, foot_parameters(), dice);
    foot.side = statement(dice);
    foot.cast.path = "casts/" + dice.code() + ".stl";
    foot.cast.sha256 = dice.hash();
    static_cast<Statement&>(foot.cast.unit) = statement(dice);
    foot.cast.unit.value = static_cast<LengthUnit>(dice.below(4));
    if (dice.coin()) foot.cast.up = dice.point(1);
    if (dice.coin()) foot.cast.toes = dice.point(1);
    if (dice.coin()) foot.cast.inside_out = dice.coin();
    for (const foot::LandmarkId id : every_landmark())
        if (dice.coin()) {
            foot::Landmark& landmark = foot.landmarks[id];
            landmark.position = dice.point(300);
            landmark.source = dice.coin() ? foot::Landmark::Source::set : foot::Landmark::Source::suggested;
            landmark.confidence = dice.between(0, 1);
            landmark.sd_mm = dice.between(0, 5);
            if (dice.coin()) landmark.by = dice.code();
        }
    for (std::size_t i = dice.below(4); i > 0; --i) {
        Mark mark;
        mark.name = "mark-" + std::to_string(i);
        mark.kind = static_cast<Mark::Kind>(dice.below(3));
        mark.meaning = static_cast<Mark::Meaning>(dice.below(8));
        const std::size_t n = mark.kind == Mark::Kind::spot ? 1 : 3 + dice.below(5);
        for (std::size_t k = 0; k < n; ++k) mark.points.push_back(dice.point(300));
        mark.confidence = dice.between(0, 1);
        mark.note = dice.words();
        foot.marks.push_back(mark);
    }
    for (std::size_t i = dice.below(4); i > 0; --i)
        foot.trim.controls.push_back({dice.between(0, 1), dice.coin(), dice.between(-15, 15)});
    double along = 0;
    for (std::size_t i = dice.below(5); i > 0; --i) {
        along += dice.between(0.01, 0.2);
        foot.wall.stations.push_back({along, dice.between(1.5, 6)});
    }
    const auto outline = [&] {
        std::vector<Vec2> points;
        for (std::size_t k = 3 + dice.below(6); k > 0; --k)
            points.push_back(Vec2{dice.between(-100, 200), dice.between(-60, 60)});
        return points;
    };
    for (std::size_t i = dice.below(4); i > 0; --i) {
        WallRegion region;
        region.name = "region-" + std::to_string(i);
        region.outline = outline();
        region.wall_mm = dice.between(1.5, 6);
        region.blend_mm = dice.between(0.5, 30);
        region.priority = static_cast<int>(dice.below(201)) - 100;
        foot.wall.regions.push_back(region);
    }
    for (std::size_t i = dice.below(3); i > 0; --i)
        foot.dress.smooth.push_back(
            {{"smooth-" + std::to_string(i), outline()}, dice.between(0, 1), dice.between(1, 40)});
    for (std::size_t i = dice.below(3); i > 0; --i)
        foot.dress.keep.push_back({{"keep-" + std::to_string(i), outline()}, dice.between(1, 40)});
    for (std::size_t i = dice.below(4); i > 0; --i) {
        Cover cover;
        cover.name = "part-" + std::to_string(i);
        cover.kind = static_cast<Cover::Kind>(dice.below(3));
        cover.material = dice.words();
        cover.thickness_mm = dice.between(0.5, 6);
        cover.length = static_cast<Cover::Length>(dice.below(3));
        cover.margin_mm = dice.between(-5, 5);
        cover.distal_mm = dice.between(-5, 5);
        cover.overlap_mm = dice.between(0, 20);
        if (dice.coin() || (cover.kind == Cover::Kind::extension && cover.length == Cover::Length::shell))
            cover.outline = outline();
        foot.covers.push_back(cover);
    }
    // sizes that any two orders may mix: a stroke fits the height, a depth the stroke
    Lettering& letters = foot.lettering;
    letters.case_code = true;
    letters.text = dice.coin() ? "R2 / 17-C." : "";
    letters.height_mm = dice.between(6, 10);
    letters.stroke_mm = dice.between(0.8, 1.2);
    letters.depth_mm = dice.between(0.2, 0.45);
    for (std::size_t i = dice.below(3); i > 0; --i)
        foot.presets.push_back({dice.code(), dice.code(), {{"trim.cup_medial_mm", dice.words()}}});
    for (std::size_t i = dice.below(3); i > 0; --i)
        foot.sign_offs.push_back(
            {"carpet.fit", dice.code(), dice.words(), dice.coin() ? dice.code() : "", dice.hash()});
    for (std::size_t i = dice.below(3); i > 0; --i)
        foot.approvals.push_back({"A", dice.code(), "2026-02-28", dice.hash()});
    return foot;
}

}  // namespace

Job random_job(std::mt19937_64& random) {
    Dice dice(random);
    Job job;
    job.case_code = dice.code();
    if (dice.coin()) job.laboratory = dice.code();
    shake(job, case_parameters(), dice);
    job.order.complaint = dice.words();
    if (dice.coin()) job.order.due = "2028-02-29";
    job.revisions.front().note = dice.words();
    for (std::size_t i = dice.below(30); i > 0; --i)
        job.revisions.push_back({next_letter(job.revision()), "2026-11-05", dice.words()});
    const std::size_t feet = dice.below(3);
    if (feet != 0) job.left = random_foot(dice);
    if (feet != 1) job.right = random_foot(dice);
    return job;
}

Job plain_job(Side side) {
    Job job;
    job.case_code = "WREN-1042";
    FootDesign& foot = job.foot(side).emplace();
    foot.cast.path = "cast.stl";
    foot.cast.sha256 = std::string(64, 'a');
    return job;
}

}  // namespace archwright::tests
