// Every format round: what is written is what is read.
#include "engine/scan/read.hpp"

#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

#include "engine/base/hash.hpp"
#include "engine/mesh/soundness.hpp"
#include "tests/mesh/shapes.hpp"
#include "tests/scan/read_specimens.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using namespace archwright::tests;

namespace {

/// A closed mesh whose coordinates are floats, with a colour a point.
TriangleMesh sample() {
    TriangleMesh mesh = torus(31, 17, 80, 30);
    for (std::size_t i = 0; i < mesh.points.size(); ++i) {
        for (int k = 0; k < 3; ++k)
            mesh.points[i][k] = static_cast<double>(static_cast<float>(mesh.points[i][k]));
        mesh.colours.push_back(
            {static_cast<std::uint8_t>(i % 256), static_cast<std::uint8_t>(i / 3 % 256), 77});
    }
    return mesh;
}

void check_same(const Outcome<scan::Reading>& reading, const TriangleMesh& truth, bool same_order) {
    if (!reading) FAIL(reading.fault().message);
    const TriangleMesh& mesh = reading->mesh;
    REQUIRE(mesh.points.size() == truth.points.size());
    REQUIRE(mesh.triangles.size() == truth.triangles.size());
    for (std::size_t t = 0; t < mesh.triangles.size(); ++t)
        for (std::size_t k = 0; k < 3; ++k)
            REQUIRE(mesh.points[mesh.triangles[t][k]] == truth.points[truth.triangles[t][k]]);
    if (same_order) REQUIRE(mesh.points == truth.points);
    REQUIRE(find_soundness(mesh).closed);
}

}  // namespace

TEST_CASE("every format gives back the mesh that was written") {
    const TriangleMesh mesh = sample();
    TriangleMesh plain = mesh;
    plain.colours.clear();

    auto reading = read(stl_binary(mesh), "cast.stl");
    check_same(reading, mesh, false);
    CHECK(reading->format == "STL binary");
    CHECK_FALSE(reading->declared_unit);
    CHECK(reading->notes.empty());
    CHECK(reading->sha256 == sha256(stl_binary(mesh)));

    reading = read(stl_binary(mesh, "solid that is binary all the same"), "cast.obj");  // content before name
    check_same(reading, mesh, false);
    CHECK(reading->format == "STL binary");

    reading = read(stl_ascii(mesh), "cast.stl");
    check_same(reading, mesh, false);
    CHECK(reading->format == "STL ASCII");

    for (const PlyForm form : {PlyForm::ascii, PlyForm::little, PlyForm::big}) {
        reading = read(ply(mesh, form), "cast.ply");
        check_same(reading, mesh, true);
        CHECK(reading->mesh.colours == mesh.colours);
        CHECK(reading->notes.empty());
        CHECK(read(ply(plain, form), "cast.ply")->mesh.colours.empty());
    }
    reading = read(obj(mesh), "cast.obj");
    check_same(reading, mesh, true);
    CHECK(reading->mesh.colours == mesh.colours);
    CHECK(read(obj(plain), "no name")->mesh.colours.empty());

    for (const bool zip64 : {false, true}) {
        reading = read(three_mf(mesh, zip64), "cast.3mf");
        check_same(reading, mesh, true);
        CHECK(reading->declared_unit == LengthUnit::millimetre);
        CHECK(reading->format == "3MF");
    }
}

TEST_CASE("a file from disk, and one that is not there") {
    const TemporaryFolder folder;
    const auto path = folder.path() / "cast.stl";
    std::ofstream(path, std::ios::binary) << stl_binary(sample());
    check_same(scan::read_cast(path), sample(), false);
    const auto missing = scan::read_cast(folder.path() / "none.stl");
    REQUIRE_FALSE(missing);
    CHECK(missing.fault().kind == FaultKind::input);
    CHECK_FALSE(scan::read_cast(folder.path()));
}

TEST_CASE("line ends of every kind read alike") {
    const TriangleMesh mesh = sample();
    const auto with = [](const std::string& text, const std::string& ending) {
        std::string out;
        for (const char c : text) c == '\n' ? out += ending : out += c;
        return out;
    };
    for (const char* ending : {"\r\n", "\r"}) {
        check_same(read(with(stl_ascii(mesh), ending), "cast.stl"), mesh, false);
        check_same(read(with(obj(mesh), ending), "cast.obj"), mesh, true);
        check_same(read(with(ply(mesh, PlyForm::ascii), ending), "cast.ply"), mesh, true);
    }
    std::string shouted = stl_ascii(tetrahedron());
    for (char& c : shouted) c = static_cast<char>(std::toupper(c));
    CHECK(read(shouted, "CAST.STL")->mesh.triangles.size() == 4);
    CHECK(read("\xEF\xBB\xBF" + stl_ascii(tetrahedron()), "cast.stl")->mesh.triangles.size() == 4);
    CHECK(read("\xEF\xBB\xBF" + obj(tetrahedron()), "cast.obj")->mesh.triangles.size() == 4);
}

TEST_CASE("OBJ: polygons, relative indices, colours, continued lines, several objects") {
    const std::string quad = "v 0 0 0\nv 2 0 0\nv 2 2 0\nv 0 2 0\n";
    CHECK(read(quad + "f 1 2 3 4\n", "a.obj")->mesh.triangles == std::vector<Triangle>{{0, 1, 2}, {0, 2, 3}});
    CHECK(read(quad + "f -4 -3 -2 -1", "a.obj")->mesh.triangles ==
          std::vector<Triangle>{{0, 1, 2}, {0, 2, 3}});
    CHECK(read(quad + "vt 0 0\nvn 0 0 1\nf 1/1/1 2//1 3/1\n", "a.obj")->mesh.triangles.size() == 1);
    CHECK(read(quad + "f 1 2 \\\n 3\\\n4\n", "a.obj")->mesh.triangles.size() == 2);
    // a remark or a material's path that ends in a backslash does not swallow the next line
    CHECK(read("# c:\\scans\\\n" + quad + "usemtl x\\\nf 1 2 3\n", "a.obj")->mesh.points.size() == 3);
    CHECK(read(quad + "f 1 2 3\no two\nv 0 0 5\nf 1 2 5\n", "a.obj")->mesh.triangles.size() == 2);
    CHECK(read("f 1 2 3\n" + quad, "a.obj")->mesh.triangles.size() == 1);  // points may follow

    const auto colour = [](const std::string& text) {
        return read("v 0 0 0 " + text + "\nv 1 0 0 0 0 0\nv 0 1 0 0 0 0\nf 1 2 3\n", "a.obj")->mesh.colours;
    };
    CHECK(colour("1 0.5 0")[0] == TriangleMesh::Colour{255, 128, 0});
    CHECK(colour("200 100 0")[0] == TriangleMesh::Colour{200, 100, 0});
    CHECK(colour("1 0.5 0 0.3")[0] == TriangleMesh::Colour{255, 128, 0});
    const auto some = read("v 0 0 0 1 1 1\nv 1 0 0\nv 0 1 0\nf 1 2 3\n", "a.obj");
    CHECK(some->mesh.colours.empty());
    CHECK(some->notes.size() == 1);
    CHECK(read("v 0 0 0 1\nv 1 0 0 1\nv 0 1 0 1\nf 1 2 3\n", "a.obj")->mesh.colours.empty());  // x y z w
    CHECK(read(quad + "f 1 2 3\ncurv 0 1 2\n", "a.obj")->notes.size() == 2);  // and an unused point
}

TEST_CASE("PLY: every scalar type, polygons, float colours, elements in any order") {
    const char* text =
        "ply\nformat ascii 1.0\nelement face 1\nproperty list int32 uint16 vertex_index\nelement vertex 4\n"
        "property double z\nproperty int8 y\nproperty uint32 x\nproperty float red\nproperty float green\n"
        "property float blue\nend_header\n4 0 1 2 3\n\n0.5 0 0 1 0.5 0\n0.5 0 2 0 0 0\n0.5 2 2 0 0 0\n0.5 2 "
        "0 0 0 2\n";
    const auto reading = read(text, "a.ply");
    REQUIRE(reading);
    CHECK(reading->mesh.triangles == std::vector<Triangle>{{0, 1, 2}, {0, 2, 3}});
    CHECK(reading->mesh.points[3] == Vec3(0, 2, 0.5));
    CHECK(reading->mesh.colours[0] == TriangleMesh::Colour{255, 128, 0});
    CHECK(reading->mesh.colours[3] == TriangleMesh::Colour{0, 0, 255});

    const char* types[] = {"char", "uchar", "short", "ushort", "int", "uint", "float", "double"};
    const std::size_t sizes[] = {1, 1, 2, 2, 4, 4, 4, 8};
    for (const bool big : {false, true})
        for (int i = 0; i < 8; ++i) {
            std::string file = "ply\nformat binary_" + std::string(big ? "big" : "little") +
                               "_endian 1.0\nelement vertex 3\nproperty " + types[i] + " x\nproperty " +
                               types[i] + " y\nproperty " + types[i] +
                               " z\nelement face 1\nproperty list uchar uchar vertex_indices\nend_header\n";
            for (const int v : {0, 0, 0, 100, 0, 0, 0, 50, 0}) {
                if (i == 6)
                    put_float(file, v, big);
                else if (i == 7)
                    put(file, std::bit_cast<std::uint64_t>(double(v)), 8, big);
                else
                    put(file, static_cast<std::uint64_t>(v), sizes[i], big);
            }
            file += std::string("\x03\x00\x01\x02", 4);
            const auto typed = read(file, "a.ply");
            REQUIRE(typed);
            CHECK(typed->mesh.points[1] == Vec3(100, 0, 0));
            CHECK(typed->mesh.points[2] == Vec3(0, 50, 0));
        }
}

TEST_CASE("3MF: unit, transforms, components, mirrors, parts, supports") {
    const std::string object = "<object id=\"1\">" + mesh_xml(tetrahedron()) + "</object>";
    const auto made = [&](const std::string& resources, const std::string& build,
                          const std::string& unit = "inch") {
        return read(three_mf(model_xml(resources, build, unit)), "a.3mf");
    };
    auto reading = made(object, "<item objectid=\"1\" transform=\"0 2 0 -2 0 0 0 0 2 10 20 30\"/>");
    REQUIRE(reading);
    CHECK(reading->declared_unit == LengthUnit::inch);
    // row vectors: (x, y, z) goes to x (0 2 0) + y (-2 0 0) + z (0 0 2) + (10 20 30)
    CHECK(reading->mesh.points[1] == Vec3(10, 22, 30));
    CHECK(reading->mesh.points[2] == Vec3(8, 20, 30));
    CHECK(reading->mesh.volume() == Approx(8.0 / 6));

    reading = made(object, "<item objectid=\"1\" transform=\"-1 0 0 0 1 0 0 0 1 0 0 0\"/>");
    CHECK(reading->mesh.volume() == Approx(1.0 / 6));  // a mirror keeps outside outside

    // a component of a component: scaled by 3, then moved by 5
    const std::string nested =
        object +
        "<object id=\"2\"><components><component objectid=\"1\" transform=\"3 0 0 0 3 0 0 0 3 0 0 "
        "0\"/></components></object><object id=\"3\"><components><component objectid=\"2\" "
        "transform=\"1 0 0 0 1 0 0 0 1 5 0 0\"/><component objectid=\"1\" transform=\"1 0 0 0 1 0 0 "
        "0 1 -9 0 0\"/></components></object>";
    reading = made(nested, "<item objectid=\"3\"/>");
    CHECK(reading->mesh.volume() == Approx(28.0 / 6));
    CHECK(reading->mesh.box().high.x() == 8.0);
    CHECK(reading->mesh.box().low.x() == -9.0);

    reading = made(object, "<item objectid=\"1\"/>", "micron");
    CHECK(reading->declared_unit == LengthUnit::millimetre);
    CHECK(reading->mesh.box().high.x() == Approx(0.001));
    CHECK(made(object, "<item objectid=\"1\"/>", "meter")->declared_unit == LengthUnit::metre);
    CHECK(made(object, "<item objectid=\"1\"/>", "centimeter")->declared_unit == LengthUnit::centimetre);
    CHECK(made(object, "<item objectid=\"1\"/>", "foot")->mesh.box().high.x() == 12.0);

    reading = made(object + "<object id=\"2\" type=\"support\">" + mesh_xml(torus(5, 4, 9, 3)) + "</object>",
                   "<item objectid=\"1\"/><item objectid=\"2\"/>");
    CHECK(reading->mesh.triangles.size() == 4);
    CHECK(reading->notes.size() == 1);
    CHECK(made(object, "")->mesh.triangles.size() == 4);

    // an object in another part (production extension)
    const std::string root = model_xml("", "<item objectid=\"1\" p:path=\"/3D/Objects/a.model\"/>");
    reading = read(zip({{"3D/3dmodel.model", root}, {"3D/objects/A.model", model_xml(object, ""), false}}),
                   "a.3mf");
    REQUIRE(reading);
    CHECK(reading->mesh.triangles.size() == 4);
}

TEST_CASE("identical points are welded, unused ones dropped, of two colours the first stays") {
    const auto reading = read(
        "v 0 0 0 1 0 0\nv 9 9 9 0 0 1\nv 1 0 0 0 0 0\nv 0 1 0 0 0 0\nv -0 0 0 0 1 0\nv 0 0 1 0 0 0\n"
        "f 1 3 4\nf 5 4 6\n",
        "a.obj");
    REQUIRE(reading);
    CHECK(reading->mesh.points.size() == 4);
    CHECK(reading->mesh.triangles == std::vector<Triangle>{{0, 1, 2}, {0, 2, 3}});
    CHECK(reading->mesh.colours[0] == TriangleMesh::Colour{255, 0, 0});
    CHECK(reading->notes.size() == 1);
    // neighbours in float are two points
    TriangleMesh apart = tetrahedron();
    apart.points[1].x() = static_cast<double>(std::nextafter(1.0f, 2.0f));
    apart.points.emplace_back(1, 0, 0);
    apart.triangles.push_back({0, 4, 2});
    CHECK(read(stl_binary(apart), "a.stl")->mesh.points.size() == 5);
    // a hundred thousand distinct points pass through the growing table
    TriangleMesh many;
    for (int i = 0; i < 100000; ++i) {
        for (int k = 0; k < 3; ++k) many.points.emplace_back(i, k, k * k);
        many.triangles.push_back({3 * i, 3 * i + 1, 3 * i + 2});
    }
    CHECK(read(stl_binary(many), "a.stl")->mesh.points.size() == 300000);
}

TEST_CASE("reading can be cancelled") {
    const std::string bytes = stl_binary(torus(300, 200, 80, 30));
    for (int stop_at = 0; stop_at < 3; ++stop_at) {
        int calls = 0;
        Progress* self = nullptr;
        Progress progress([&](std::string_view, double) {
            if (calls++ == stop_at) self->cancel();
        });
        self = &progress;
        const auto reading = scan::read_cast_bytes(std::as_bytes(std::span(bytes)), "a.stl", {}, &progress);
        REQUIRE_FALSE(reading);
        CHECK(reading.fault().kind == FaultKind::cancelled);
    }
}

TEST_CASE("the real feet read with the counts of their list") {
    const std::string folder = scans_folder();
    if (folder.empty()) {
        skipped("no folder of real feet beside the project");
        return;
    }
    struct Foot {
        const char* file;
        std::size_t triangles;  ///< as their headers state, rounded in the folder's list
        bool coloured;
        std::size_t open_edges;
    };
    const Foot feet[] = {{"standing_left_m.stl", 12772, false, 0},
                         {"standing_right_m.stl", 12756, false, 0},
                         {"relaxed_left_template_colour.ply", 32000, true, 0},
                         {"relaxed_left_a_colour.ply", 29457, true, 267},
                         {"relaxed_left_a_colour_yup_m.obj", 7439, true, 139},
                         {"relaxed_right_b_colour.ply", 29289, true, 265},
                         {"sculpted_base_left.stl", 35838, false, 162},
                         {"sculpted_male_left.stl", 35922, false, 164},
                         {"sculpted_heavy_left.stl", 35970, false, 162},
                         {"sculpted_female_right.stl", 35898, false, 162},
                         {"sculpted_child_right.stl", 35312, false, 164},
                         {"noisy_holes_left_colour.ply", 132045, true, 0},
                         {"sole_missing_right.ply", 59010, true, 0}};
    for (const Foot& foot : feet) {
        INFO(foot.file);
        const auto reading = scan::read_cast(std::filesystem::path(folder) / foot.file);
        if (!reading) FAIL(reading.fault().message);
        CHECK(reading->mesh.triangles.size() == foot.triangles);
        CHECK(reading->mesh.colours.empty() != foot.coloured);
        if (foot.open_edges > 0) CHECK(find_soundness(reading->mesh).open_edges == foot.open_edges);
    }
}
