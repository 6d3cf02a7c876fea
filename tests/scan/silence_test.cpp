// Wrong side, unit, up, toes or inside-out: whatever file it is said of, it is never taken in silence.
#include <catch2/catch.hpp>
#include <iostream>
#include <map>

#include "assets/generator/cast.hpp"
#include "assets/generator/foot.hpp"
#include "assets/generator/random.hpp"
#include "engine/scan/clean.hpp"
#include "engine/scan/receive_as.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/real_feet.hpp"

using namespace archwright;

namespace {

struct File {
    TriangleMesh mesh;
    Side side = Side::right;
    LengthUnit unit = LengthUnit::millimetre;
    Vec3 up = Vec3::UnitZ(), toes = Vec3::UnitX();
    bool inside_out = false;
    std::string name;
};

File generated(generator::Random& random) {
    File file;
    const auto populations = {generator::Population::woman, generator::Population::man,
                              generator::Population::child};
    const std::uint64_t seed = random.next();
    const auto foot = generator::Foot::random(seed, *(populations.begin() + random.next() % 3));
    REQUIRE(foot.ok());
    generator::CastSpec spec;
    spec.triangles = 20'000;
    spec.seed = random.next();
    spec.kind = random.next() % 2 == 0 ? generator::CastSpec::Kind::foot_surface
                                       : generator::CastSpec::Kind::plaster_negative;
    spec.unit = file.unit = static_cast<LengthUnit>(random.next() % 4);
    spec.rotation = tests::random_rotation(random.next());
    spec.inside_out = file.inside_out = random.next() % 2 == 0;
    spec.noise_mm = random.between(0.0, 0.3);
    const auto cast = generator::take_cast(*foot, spec);
    REQUIRE(cast.ok());
    file.mesh = scan::clean(cast->mesh).mesh;
    file.side = foot->shape().side;
    const Mat3 turn = cast->design_to_file.topLeftCorner<3, 3>();
    file.up = (turn * Vec3::UnitZ()).normalized();
    file.toes = (turn * Vec3::UnitX()).normalized();
    file.name = "generated";
    return file;
}

Verdict verdict_of(const scan::Reception& reception, const std::string& id) {
    for (const Check& check : reception.checks)
        if (check.id == id) return check.verdict;
    FAIL("no check " << id);
    return Verdict::pass;
}

}  // namespace

TEST_CASE("a wrong word about a scan is never taken in silence") {
    generator::Random random(generator::mix(tests::seed() + 400));
    std::map<std::string, std::map<std::string, int>> table;
    const int count = tests::cases(200, 12, "files with something wrong said of them");
    bool real_absent = false;
    for (int i = 0; i < count; ++i) {
        File file;
        const auto& real_feet = tests::real_feet();
        if (i % 3 == 2) {
            const tests::RealFoot& real = real_feet[random.next() % real_feet.size()];
            file.mesh = tests::real_foot(real);
            file.side = real.side;
            file.unit = real.unit;
            file.up = real.up;
            file.toes = real.toes;
            file.name = real.file;
            real_absent |= file.mesh.triangles.empty();
        }
        if (file.mesh.triangles.empty()) file = generated(random);
        INFO("case " << i << ": " << file.name << ", " << word(file.side) << ", " << word(file.unit));
        struct Wrong {
            const char* what;
            const char* check;
            scan::Stated stated;
        };
        scan::Stated truth;
        truth.side = file.side;
        truth.unit = file.unit;
        const Vec3 across = file.up.cross(file.toes).normalized();
        std::vector<Wrong> wrongs{{"toes to the side", "receive.toes", truth},
                                  {"up to the side", "receive.up", truth},
                                  {"side", "receive.side", truth},
                                  {"unit", "receive.unit", truth},
                                  {"toes", "receive.toes", truth},
                                  {"inside-out", "receive.inside_out", truth},
                                  {"up", "receive.up", truth}};
        wrongs[0].stated.toes = across;
        wrongs[1].stated.up = across;
        wrongs[2].stated.side = other(file.side);
        wrongs[3].stated.unit = static_cast<LengthUnit>(
            (static_cast<int>(file.unit) + 1 + static_cast<int>(random.next() % 3)) % 4);
        wrongs[4].stated.toes = -file.toes;
        {  // the winding as it is, from a reception with nothing stated
            const auto plain = scan::receive_as(file.side, file.mesh, {}, truth);
            REQUIRE(plain.ok());
            CHECK(plain->side.value == file.side);
            wrongs[5].stated.inside_out = !plain->inside_out.value;
        }
        wrongs[6].stated.up = -file.up;
        for (const Wrong& wrong : wrongs) {
            INFO("wrong " << wrong.what);
            const auto reception = scan::receive_as(*wrong.stated.side, file.mesh, {}, wrong.stated);
            if (!reception.ok()) {  // refused as a whole, with its reason
                CHECK(reception.fault().message.size() > 20);
                ++table[wrong.what]["refused"];
                continue;
            }
            const Verdict verdict = verdict_of(*reception, wrong.check);
            CHECK(verdict != Verdict::pass);
            ++table[wrong.what][word(verdict)];
        }
        // the file mirrored by software: of the other foot now, and its winding turned over
        TriangleMesh mirrored = file.mesh;
        for (Vec3& p : mirrored.points) p.y() = -p.y();
        const auto reception = scan::receive_as(file.side, mirrored, {}, truth);
        if (!reception.ok()) {
            ++table["mirrored by software"]["refused"];
            continue;
        }
        CHECK(verdict_of(*reception, "receive.side") != Verdict::pass);
        ++table["mirrored by software"][word(verdict_of(*reception, "receive.side"))];
    }
    if (real_absent) tests::skipped("real feet: ../shared/scans is absent; generated ones in their place");
    std::cout << "  wrong word            stop  look  refused  pass\n";
    for (auto& [what, times] : table) {
        std::string line = "  " + what;
        line.resize(24, ' ');
        std::cout << line << times["stop"] << "  " << times["look"] << "  " << times["refused"] << "  "
                  << times["pass"] << "\n";
    }
}
