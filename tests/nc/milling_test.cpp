// Whole millings of a small device, and programs that were spoilt.
#include "exporters/nc/milling.hpp"

#include <catch2/catch.hpp>

#include "engine/base/text.hpp"
#include "engine/mill/tip_check.hpp"
#include "tests/mill/random.hpp"
#include "tests/mill/shapes.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::exporters;
using tests::Draw;

namespace {

const workshop::Workshop& shop() {
    static const workshop::Workshop loaded = [] {
        auto read = workshop::load_workshop(std::filesystem::path(ARCHWRIGHT_SOURCE_DIR) / "assets");
        INFO((read.ok() ? std::string() : read.fault().message));
        REQUIRE(read.ok());
        return std::move(*read);
    }();
    return loaded;
}

nc::MillingSetting little_setting() {
    nc::MillingSetting setting;
    setting.machine = shop().machines.at("bench_mill");
    setting.block = shop().blocks.at("pp_single_40");
    setting.block.length_mm = 86.0;
    setting.block.breadth_mm = 68.0;
    setting.block.height_mm = 18.0;
    setting.cutting = shop().cuttings.at("pp_copolymer");
    setting.rough = shop().cutters.at("flat_10").cutter;
    setting.finish = shop().cutters.at("ball_6").cutter;
    setting.scallop_mm = 0.03;
    setting.tabs.at = {0.5};
    setting.tabs.thickness_mm = 1.0;
    setting.simulate_step_mm = 0.3;
    return setting;
}

nc::MilledDevice little_device() {
    return {"WREN-3 A", Side::left,
            tests::slab(
                16.0, 9.0, 40, 24, [](double x, double y) { return 3.2 + 0.006 * x * x + 0.01 * y * y; },
                [](double x, double y) { return 0.006 * x * x + 0.01 * y * y; })};
}

const nc::Milling& little_milling() {
    static const nc::Milling milling = [] {
        auto done = nc::mill_devices({little_device()}, little_setting(), nullptr);
        INFO((done.ok() ? std::string() : done.fault().message));
        REQUIRE(done.ok());
        return std::move(*done);
    }();
    return milling;
}

/// What a spoilt program does, by another way than needles: each place of the tip let down on the device.
/// mm below the lowest place it may have, times the slope there: along the normal.
struct Deepest {
    double gentle = 0.0, steep = 0.0;  // where the device leans up to 55 degrees, and beyond
    double ball_steep = 0.0;           // of that, what the ball does
};
Deepest deepest_gouge(const std::vector<mill::Operation>& operations,
                      const std::vector<mill::DropGrid>& drops,
                      const std::vector<const TriangleMesh*>& meshes) {
    Deepest worst;
    for (std::size_t o = 0; o < operations.size() && o < drops.size(); ++o) {
        const auto& moves = operations[o].moves;
        for (std::size_t i = 1; i < moves.size(); ++i) {
            const Vec3 &a = moves[i - 1].to, &b = moves[i].to;
            const int steps = std::min(1000, 1 + static_cast<int>((b - a).norm() / 0.2));
            for (int k = 0; k <= steps; ++k) {
                const Vec3 p = a + (b - a) * (static_cast<double>(k) / steps);
                const mill::Touch touch = drops[o].touch(p.x(), p.y(), p.z());
                if (touch.on != mill::Touch::On::facet) continue;
                const double up =
                    std::abs(meshes[o]->normal2(static_cast<std::size_t>(touch.triangle)).normalized().z());
                double& here = up > 0.574 ? worst.gentle : worst.steep;
                here = std::max(here, (touch.z - p.z()) * up);
                if (up <= 0.574 && operations[o].cutter.ball())
                    worst.ball_steep = std::max(worst.ball_steep, (touch.z - p.z()) * up);
            }
        }
    }
    return worst;
}

/// One line spoilt as a file is: a digit changed, a sign, a line lost, doubled, two lines changed about, a
/// word lost.
std::string spoilt(const std::string& text, Draw& draw, std::string& what) {
    std::vector<std::string> lines;
    for (std::size_t begin = 0; begin < text.size();) {
        const std::size_t end = text.find('\n', begin);
        lines.push_back(text.substr(begin, end - begin));
        begin = end + 1;
    }
    for (;;) {
        auto copy = lines;
        const auto at = static_cast<std::size_t>(draw.of(static_cast<int>(lines.size())));
        std::string& line = copy[at];
        const int kind = draw.of(6);
        const auto pick = static_cast<std::size_t>(draw.of(std::max(1, static_cast<int>(line.size()))));
        const char digit = static_cast<char>('0' + draw.of(10));
        what = std::to_string(kind) + " in line " + std::to_string(at + 1) + ": " + line;
        if (line.empty() || line[0] == '(' || line[0] == '%') continue;
        if (kind == 0) {
            if (line[pick] < '0' || line[pick] > '9' || line[pick] == digit) continue;
            line[pick] = digit;
        } else if (kind == 1) {
            const std::size_t sign = line.find('-');
            if (sign == std::string::npos) continue;
            line.erase(sign, 1);
        } else if (kind == 2) {
            copy.erase(copy.begin() + static_cast<std::ptrdiff_t>(at));
        } else if (kind == 3) {
            if (at + 1 >= copy.size() || copy[at + 1].empty() || copy[at + 1][0] == '(') continue;
            std::swap(copy[at], copy[at + 1]);
        } else if (kind == 4) {
            const std::size_t dot = line.find('.');
            if (dot == std::string::npos) continue;
            line.erase(dot, 1);
        } else {
            const std::size_t space = line.rfind(' ');
            if (space == std::string::npos) continue;
            line.erase(space);
        }
        std::string joined;
        for (const std::string& one : copy) joined += one + "\n";
        return joined;
    }
}

}  // namespace

TEST_CASE("the workshop's files are read, and their faults named") {
    CHECK(shop().machines.size() >= 2);
    CHECK(shop().cutters.size() >= 5);
    const mill::Speeds s =
        workshop::speeds(shop().cuttings.at("pp_copolymer"), shop().cutters.at("flat_12").cutter,
                         shop().machines.at("bench_mill"));
    // 300 m/min at 12 mm: 7958 turns (n = 1000 v / (pi d)); two flutes of 0.046 + (12 - 6.35) / 6.35 x 0.043
    CHECK(s.turns == 7960.0);
    CHECK(s.feed == Approx(7960.0 * 2.0 * (0.046 + (12.0 - 6.35) / 6.35 * 0.043)).margin(1.0));
    CHECK(s.plunge < s.feed);
    const auto none = workshop::find(shop().cutters, "bal_6", "cutter");
    REQUIRE_FALSE(none.ok());
    CHECK(none.fault().message.find("ball_6") != std::string::npos);
    for (const auto& [key, cutting] : shop().cuttings)
        for (const auto* figure : {&cutting.speed_m_min, &cutting.chip_6_mm, &cutting.plunge_share})
            CHECK(figure->source.size() > 5);
}

TEST_CASE("a small device milled: both programs simulated clean, the same bytes again") {
    const nc::Milling& milling = little_milling();
    for (const std::string& stop : milling.stops) FAIL_CHECK(stop);
    CHECK(milling.gouge_mm < nc::gouge_limit_mm);
    CHECK(milling.left_mm < 0.08);
    CHECK(milling.undercut_mm2 == 0.0);
    CHECK(milling.needles > 3000);
    for (const nc::ProvedSide& side : milling.sides) {
        CHECK(side.text.find("(SIDE LEFT: WREN-3 A)") != std::string::npos);
        CHECK(side.text.find("CAUTION: guards closed") != std::string::npos);
        CHECK(side.text.find("HEAT:") != std::string::npos);
        CHECK(side.text.find(';') == std::string::npos);
        long most = 0;  // five digits of a line's number
        for (std::size_t at = side.text.find("\nN"); at != std::string::npos;
             at = side.text.find("\nN", at + 1))
            most = std::max(most, std::strtol(side.text.c_str() + at + 2, nullptr, 10));
        CHECK(most <= 99'999);
        CHECK(most > 10'000);
        CHECK(side.simulated.troubles.empty());
        CHECK(side.simulated.seconds > 10.0);
    }
    CHECK(milling.sides[0].text.find("SET-UP 1 of 2") != std::string::npos);
    CHECK(milling.sides[1].text.find("SET-UP 2 of 2") != std::string::npos);
    const auto again = nc::mill_devices({little_device()}, little_setting(), nullptr);
    REQUIRE(again.ok());
    CHECK(again->sides[0].text == milling.sides[0].text);
    CHECK(again->sides[1].text == milling.sides[1].text);
}

TEST_CASE("a cusp beside a low step counts square to the cutter, however long it is along the needle") {
    // Specimen: the demonstration's post at a cusp of 0.1 mm. Where a step is lower than the ball's radius a
    // needle on its face leaves the ball's round nearly along it, and a cusp of 0.09 mm there was told as
    // 0.21 mm left over.
    nc::MilledDevice stepped{
        "WREN-4 A", Side::left,
        tests::slab(
            16.0, 9.0, 80, 48, [](double x, double y) { return x + 0.28 * y > 0.1 ? 3.5 : 3.2; },
            [](double, double) { return 0.0; })};
    nc::MillingSetting coarse = little_setting();
    coarse.scallop_mm = 0.1;
    const auto milling = nc::mill_devices({stepped}, coarse, nullptr);
    REQUIRE(milling.ok());
    for (const std::string& stop : milling->stops) FAIL_CHECK(stop);
    CHECK(milling->left_mm > 0.02);
    CHECK(milling->left_mm <= coarse.scallop_mm + nc::leftover_limit_mm);
}

TEST_CASE("in a hollow little wider than the ball lines stand nearer, so that its cusps stay low") {
    // Specimen: the fillet beside the demonstration's post by a ball of 8 mm at a cusp of 0.05 mm. Where the
    // hollow's radius is R the tip goes round on R - r, and cusps s apart are s^2 / 8 (1 / r + 1 / (R - r))
    // high: 0.10 mm stood there, and 0.106 mm here.
    const double round = 3.3, broad = 2.97;
    nc::MilledDevice hollowed{"WREN-5 A", Side::left,
                              tests::slab(
                                  16.0, 9.0, 40, 180,
                                  [&](double, double y) {
                                      const double off = std::min(std::abs(y), broad);
                                      return 4.0 - std::sqrt(round * round - off * off) +
                                             std::sqrt(round * round - broad * broad);
                                  },
                                  [](double, double) { return 0.0; })};
    nc::MillingSetting coarse = little_setting();
    coarse.scallop_mm = 0.05;
    const auto milling = nc::mill_devices({hollowed}, coarse, nullptr);
    REQUIRE(milling.ok());
    for (const std::string& stop : milling->stops) FAIL_CHECK(stop);
    CHECK(milling->left_mm < 0.055);
}

TEST_CASE("a ball that goes into a wall is told how deep along the normal, at any slope up to upright") {
    Draw draw(tests::seed() + 9);
    const int count = tests::cases(200, 60, "walls");
    for (int i = 0; i < count; ++i) {
        // a wall that leans so many degrees from upright, through the y axis at z = 0; metal where x is less
        const double lean = i % 4 == 0 ? 0.0 : draw.between(0.0, 0.6), depth = draw.between(0.005, 0.3);
        const double slope = std::tan(lean);
        TriangleMesh wall = tests::block(10.0, 20.0, -20.0, 20.0);
        for (Vec3& p : wall.points) p.x() += (p.x() > 0.0 ? -10.0 - slope * p.z() : -10.0);
        mill::Operation operation{"wall", little_setting().finish, 1000.0, {}};
        const double r = operation.cutter.radius();
        // the centre stands r - depth off the wall's plane; the way runs along the wall
        const Vec3 normal(std::cos(lean), 0.0, std::sin(lean));
        const double z = draw.between(-4.0, 4.0);
        const Vec3 centre = Vec3(-slope * z, 0.0, z) + (r - depth) * normal;
        const Vec3 tip = centre - Vec3(0.0, 0.0, r);
        operation.moves = {{tip + Vec3(0, -8, 0), true, 0}, {tip + Vec3(0, 8, 0), false, 500}};
        const auto told = mill::deepest_tip({operation}, wall, 0.25, nullptr);
        REQUIRE(told.ok());
        CHECK(told->depth_mm == Approx(depth).margin(1e-6));
    }
}

TEST_CASE("two programs of one milling belong together; of two, changed, or changed about, they do not") {
    const nc::Milling& milling = little_milling();
    const std::string &first = milling.sides[0].text, &second = milling.sides[1].text;
    CHECK(milling.pair.size() == 16);
    CHECK(first.find("(PAIR " + milling.pair + ")\n") != std::string::npos);
    CHECK(second.find("(PAIR " + milling.pair + ")\n") != std::string::npos);
    const auto good = nc::belong_together(first, second);
    INFO((good.ok() ? std::string() : good.fault().message));
    CHECK(good.ok());
    const auto says = [](const std::string& a, const std::string& b) {
        const auto done = nc::belong_together(a, b);
        return done.ok() ? std::string() : done.fault().message;
    };
    CHECK(says(second, first).find("name set-up 1 first") != std::string::npos);
    CHECK(says(first, first).find("set-up 2") != std::string::npos);
    CHECK(says(first, "%\nM30\n%\n").find("no program of ours") != std::string::npos);
    CHECK(says("", "").find("no program of ours") != std::string::npos);
    std::string changed = second;
    changed[changed.size() / 2] = changed[changed.size() / 2] == '1' ? '2' : '1';
    CHECK(says(first, changed).find("was changed") != std::string::npos);
    // the same device by another design: set-up 1 of one, set-up 2 of the other
    nc::MilledDevice other = little_device();
    other.name = "WREN-3 B";
    other.design = std::string(64, 'a');
    const auto another = nc::mill_devices({other}, little_setting(), nullptr);
    REQUIRE(another.ok());
    CHECK(another->pair != milling.pair);
    CHECK(another->sides[0].text.find("(DESIGN aaaaaaaaaaaaaaaa: WREN-3 B left)") != std::string::npos);
    CHECK(nc::belong_together(another->sides[0].text, another->sides[1].text).ok());
    const std::string mixed = says(first, another->sides[1].text);
    CHECK(mixed.find("WREN-3 A left") != std::string::npos);
    CHECK(mixed.find("WREN-3 B left") != std::string::npos);
    CHECK(mixed.find("two millings") != std::string::npos);
    // told the same pair's number by hand, with its checksum made anew, it still is none
    std::string forged = another->sides[1].text;
    forged.replace(forged.find(another->pair), 16, milling.pair);
    CHECK(says(first, forged).find("was changed") != std::string::npos);
}

TEST_CASE("a pair in one block: both feet planned, both set-ups simulated clean") {
    nc::MilledDevice left = little_device(), right = little_device();
    right.side = Side::right;
    for (Vec3& p : right.mesh.points) p.y() = -p.y();
    for (Triangle& t : right.mesh.triangles) std::swap(t[1], t[2]);
    for (const mill::Flip flip : {mill::Flip::about_x, mill::Flip::about_y}) {
        nc::MillingSetting setting = little_setting();
        setting.block.breadth_mm = 124.0;
        setting.flip = flip;
        setting.scallop_mm = 0.05;
        setting.tilt_most_deg = flip == mill::Flip::about_y ? 4.0 : 0.0;
        const auto milling = nc::mill_devices({left, right}, setting, nullptr);
        INFO((milling.ok() ? std::string() : milling.fault().message));
        REQUIRE(milling.ok());
        for (const std::string& stop : milling->stops) FAIL_CHECK(stop);
        CHECK(milling->nest.devices.size() == 2);
        CHECK(milling->nest.tabs.size() == 4);
        CHECK(milling->gouge_mm < nc::gouge_limit_mm);
        CHECK(milling->left_mm <= setting.scallop_mm + nc::leftover_limit_mm);
        CHECK(milling->sides[0].text.find("(SIDE LEFT: WREN-3 A)") != std::string::npos);
        CHECK(milling->sides[1].text.find("(SIDE RIGHT: WREN-3 A)") != std::string::npos);
    }
}

TEST_CASE("a block, a machine, a cutter that will not do is told") {
    const auto says = [](const nc::MillingSetting& setting) {
        const auto done = nc::mill_devices({little_device()}, setting, nullptr);
        if (!done) return done.fault().message;
        std::string all;
        for (const std::string& stop : done->stops) all += stop + "\n";
        return all;
    };
    nc::MillingSetting small = little_setting();
    small.block.breadth_mm = 40.0;
    CHECK(says(small).find("are needed") != std::string::npos);
    nc::MillingSetting narrow = little_setting();
    narrow.machine.travel_x_mm = 40.0;
    CHECK(says(narrow).find("travel") != std::string::npos);
    nc::MillingSetting stub = little_setting();
    stub.finish.flute_length = 4.0;
    stub.finish.stick_out = 8.0;
    CHECK(says(stub).find("holder") != std::string::npos);
}

TEST_CASE("spoilt programs: the checksum catches all, the simulation what is unsafe or cuts in") {
    const nc::Milling& milling = little_milling();
    REQUIRE(milling.stops.empty());
    const nc::MillingSetting setting = little_setting();
    const std::vector<mill::Cutter> cutters{setting.rough, setting.finish};
    const TriangleMesh keep = milling.nest.keep(0);
    const std::vector<mill::DropGrid> drops{mill::DropGrid(keep, setting.rough),
                                            mill::DropGrid(keep, setting.finish)};
    const std::vector<const TriangleMesh*> meshes{&keep, &keep};
    const mill::MachineLimits limits = nc::limits_of(setting.machine, cutters);
    std::size_t apart = 0, on_tabs = 0;
    const auto needles = nc::needles_of(milling.nest, apart, on_tabs);
    CHECK(on_tabs > 100);
    Draw draw(tests::seed());
    const int count = tests::cases(500, 25, "spoilt programs");
    int refused = 0, unsafe = 0, gouging = 0, harmless = 0;
    for (int i = 0; i < count; ++i) {
        std::string what;
        const std::string text = spoilt(milling.sides[0].text, draw, what);
        INFO(what);
        CHECK_FALSE(nc::checksum_holds(text));
        // as if nobody had looked at the checksum
        const auto read = nc::read_program(text, cutters);
        if (!read) {
            ++refused;
            continue;
        }
        auto tried = needles;
        const auto done = mill::simulate(*read, milling.nest.block, 0.3, limits, tried, nullptr);
        REQUIRE(done.ok());
        double cut = 0.0;
        for (const mill::Needle& needle : tried) cut = std::max(cut, needle.cut);
        // by the other way: what lies outside travel or below the block, and what is cut into
        bool outside = false;
        for (const mill::Operation& operation : *read)
            for (const mill::Move& move : operation.moves)
                outside = outside || (move.to - limits.travel_high).maxCoeff() > 0.0 ||
                          (limits.travel_low - move.to).maxCoeff() > 0.0 ||
                          move.to.z() < -milling.nest.block.z();
        const auto tip = mill::deepest_tip(*read, keep, 0.25, nullptr);
        REQUIRE(tip.ok());
        cut = std::max(cut, tip->depth_mm);
        const Deepest deepest = deepest_gouge(*read, drops, meshes);
        if (outside) CHECK_FALSE(done->troubles.empty());
        // Between two places of the tip's check a ball goes 0.003 mm deeper, past a wall's bulge as much
        // again. What a flat nose does on steep walls needles alone tell: they stand a triangle apart, and a
        // scratch finer than that may pass between two.
        if (deepest.gentle > nc::gouge_limit_mm + 0.003 || deepest.ball_steep > nc::gouge_limit_mm + 0.006 ||
            deepest.steep > 0.1)
            CHECK((cut > nc::gouge_limit_mm || !done->troubles.empty()));
        if (!done->troubles.empty())
            ++unsafe;
        else if (cut > nc::gouge_limit_mm)
            ++gouging;
        else
            ++harmless;
    }
    WARN("of " << count << " spoilt programs: " << refused << " refused by the reader, " << unsafe
               << " with an unsafe move, " << gouging << " that cut in, " << harmless
               << " without harm to device or machine");
    if (count >= 25) CHECK(refused + unsafe + gouging > 0);
}
