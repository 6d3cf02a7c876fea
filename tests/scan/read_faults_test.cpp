// Files that are damaged, hostile or no casts at all: a clear message each, never a crash.
#include <catch2/catch.hpp>
#include <random>

#include "tests/mesh/shapes.hpp"
#include "tests/scan/read_specimens.hpp"
#include "tests/support/random_cases.hpp"

using namespace archwright;
using namespace archwright::tests;

namespace {

/// The message; it must be an input fault that names the file.
std::string message(const std::string& bytes, const std::string& name, const scan::ReadLimits& limits = {}) {
    const auto reading = read(bytes, name, limits);
    if (reading) FAIL(name << " was read: " << reading->mesh.triangles.size() << " triangles");
    CHECK(reading.fault().kind == FaultKind::input);
    CHECK(reading.fault().message.rfind(name, 0) == 0);
    CHECK(reading.fault().message.back() == '.');
    return reading.fault().message;
}

using Catch::Matchers::Contains;

const std::string points = "v 0 0 0\nv 1 0 0\nv 0 1 0\n";

std::string ply_head(const std::string& format, const std::string& vertices, const std::string& faces) {
    return "ply\nformat " + format + " 1.0\nelement vertex " + vertices +
           "\nproperty float x\nproperty float y\nproperty float z\nelement face " + faces +
           "\nproperty list uchar int vertex_indices\nend_header\n";
}

}  // namespace

TEST_CASE("what is no cast is told by what it is") {
    CHECK_THAT(message("", "a.stl"), Contains("empty"));
    CHECK_THAT(message(std::string("\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR", 16) + std::string(500, 'x'), "a.stl"),
               Contains("PNG picture"));
    CHECK_THAT(message("\xFF\xD8\xFF\xE0 and so on", "a.ply"), Contains("JPEG picture"));
    CHECK_THAT(message("%PDF-1.7", "a.obj"), Contains("PDF"));
    CHECK_THAT(message("<html><body>Please log in</body>", "a.stl"), Contains("web page"));
    CHECK_THAT(message("ISO-10303-21;\nHEADER;", "a.stp"), Contains("STEP"));
    CHECK_THAT(message("Dear colleague,\nplease find enclosed", "letter.txt"), Contains("no cast"));
    CHECK_THAT(message("Dear colleague,\nplease find enclosed", "letter.stl"), Contains("no cast"));
    CHECK_THAT(message("Dear colleague", "letter.ply"), Contains("does not begin with \"ply\""));
    CHECK_THAT(message("Dear colleague", "letter.3mf"), Contains("not a ZIP"));
    CHECK_THAT(message("Dear colleague", "letter.obj"), Contains("no triangles"));
    CHECK_THAT(message(std::string("\xFF\xFEs\0o\0", 6), "a.stl"), Contains("UTF-16"));
    CHECK_THAT(message(" \n\n ", "a.obj"), Contains("blanks"));
    CHECK_THAT(message(zip({{"photo.jpg", "..."}}), "a.3mf"), Contains("without a 3MF model"));
    std::string noise;
    std::mt19937_64 random(seed());
    for (int i = 0; i < 5000; ++i) noise += static_cast<char>(random());
    CHECK_THAT(message(noise, "a.stl"), Contains("cut off"));
    CHECK_THAT(message(noise, "a"), Contains("no cast"));
}

TEST_CASE("STL: truncated, trailing, silly counts, nonsense numbers") {
    const std::string good = stl_binary(torus(20, 10, 30, 10));
    const auto trailing = read(good + "some remark", "a.stl");
    REQUIRE(trailing);
    REQUIRE(trailing->notes.size() == 1);
    CHECK_THAT(trailing->notes[0], Contains("11 bytes"));
    CHECK_THAT(message(good.substr(0, 2000), "a.stl"), Contains("400 triangles") && Contains("hold 38"));
    CHECK_THAT(message(good.substr(0, 50), "a.stl"), Contains("no cast") || Contains("84 bytes"));
    std::string silly = good;
    silly.replace(80, 4, "\xff\xff\xff\xff");
    CHECK_THAT(message(silly, "a.stl"), Contains("4294967295"));
    std::string none = good.substr(0, 84);
    none.replace(80, 4, std::string(4, '\0'));
    CHECK_THAT(message(none, "a.stl"), Contains("no triangles"));
    for (const std::uint32_t bits : {0x7fc00000u, 0x7f800000u, 0xff800000u}) {
        std::string bad = good;
        std::string word;
        put(word, bits, 4);
        bad.replace(84 + 50 * 7 + 12 + 16, 4, word);
        CHECK_THAT(message(bad, "a.stl"),
                   Contains("byte 434") && Contains("triangle 8") && Contains("not a finite"));
    }
    std::string huge = good;
    std::string word;
    put_float(word, 3e30);
    huge.replace(84 + 12, 4, word);
    CHECK_THAT(message(huge, "a.stl"), Contains("beyond any foot"));
    TriangleMesh point;
    point.points = {Vec3(1, 2, 3)};
    point.triangles = {{0, 0, 0}};
    CHECK_THAT(message(stl_binary(point), "a.stl"), Contains("in one place"));

    const std::string text = stl_ascii(tetrahedron());
    CHECK_THAT(message(text.substr(0, 300), "a.stl"), Contains("cut off") && Contains("line"));
    CHECK_THAT(message(text.substr(0, text.size() - 10), "a.stl"), Contains("cut off"));
    CHECK_THAT(message("solid x\nendsolid x\n", "a.stl"), Contains("no triangles"));
    const auto with = [&](const std::string& from, const std::string& to) {
        std::string changed = text;
        changed.replace(changed.find(from), from.size(), to);
        return message(changed, "a.stl");
    };
    CHECK_THAT(with("vertex 0 0 0", "vertex 0,5 0 0"), Contains("line 4") && Contains("decimal comma"));
    CHECK_THAT(with("vertex 0 0 0", "vertex nan 0 0"), Contains("not a finite number"));
    CHECK_THAT(with("vertex 0 0 0", "vertex 1e999 0 0"), Contains("not a finite number"));
    CHECK_THAT(with("vertex 0 0 0", "vertex 1e99 0 0"), Contains("beyond any foot"));
    CHECK_THAT(with("vertex 0 0 0", "vertex 0 0 vertex"), Contains("is not a number"));
    CHECK_THAT(with("endloop", "vertex"), Contains("endloop"));
    CHECK_THAT(with("outer", "inner"), Contains("\"inner\""));
    CHECK(read("solid\nfacet normal 0 0 1 outer loop vertex 0 0 1e-400 vertex +1 0 0 vertex 0 1 -.5 endloop "
               "endfacet\n"
               "endsolid",
               "a.stl")
              ->mesh.points[0] == Vec3::Zero());
}

TEST_CASE("OBJ: indices, corners, numbers") {
    CHECK_THAT(message(points, "a.obj"), Contains("3 points but no triangles"));
    CHECK_THAT(message(points + "f 1 2 4\n", "a.obj"), Contains("line 4") && Contains("point 4"));
    CHECK_THAT(message(points + "f 1 2 -4\n", "a.obj"), Contains("line 4"));
    CHECK_THAT(message(points + "f 0 1 2\n", "a.obj"), Contains("point 0"));
    CHECK_THAT(message(points + "f 1 2\n", "a.obj"), Contains("2 corners"));
    CHECK_THAT(message(points + "f 1 2 x\n", "a.obj"), Contains("\"x\""));
    CHECK_THAT(message(points + "f 1 2 3.5\n", "a.obj"), Contains("3.5"));
    CHECK_THAT(message(points + "f 1 2 99999999999999999999999\n", "a.obj"), Contains("not a corner"));
    CHECK_THAT(message(points + "f 1 2 2147483648\n", "a.obj"), Contains("2147483648"));
    CHECK_THAT(message(points + "f 1 2 -9223372036854775808\n", "a.obj"), Contains("line 4"));
    CHECK_THAT(message("v 0 0\n", "a.obj"), Contains("line 1") && Contains("2 numbers"));
    CHECK_THAT(message("v 0 0 0 1 1\n", "a.obj"), Contains("5 numbers"));
    CHECK_THAT(message("v 0 0 0 1 1 1 1 1\n", "a.obj"), Contains("more than seven"));
    CHECK_THAT(message("v 0 1,5 0\n", "a.obj"), Contains("decimal comma"));
    CHECK_THAT(message("v 0 inf 0\n", "a.obj"), Contains("not a finite"));
}

TEST_CASE("PLY: headers, counts, indices") {
    const std::string body = "0 0 0\n1 0 0\n0 1 0\n";
    CHECK(read(ply_head("ascii", "3", "1") + body + "3 0 1 2\n", "a.ply"));
    CHECK_THAT(message(ply_head("ascii", "3", "1") + body + "3 0 1 3\n", "a.ply"),
               Contains("vertex 3, of 3"));
    CHECK_THAT(message(ply_head("ascii", "3", "1") + body + "3 0 1 -1\n", "a.ply"), Contains("vertex -1"));
    CHECK_THAT(message(ply_head("ascii", "3", "1") + body + "2 0 1\n", "a.ply"), Contains("2 corners"));
    CHECK_THAT(message(ply_head("ascii", "3", "1") + body + "3 0 1\n", "a.ply"), Contains("missing"));
    CHECK_THAT(message(ply_head("ascii", "3", "1") + body + "3 0 1 2 5\n", "a.ply"), Contains("\"5\""));
    CHECK_THAT(message(ply_head("ascii", "3", "1") + body + "999999999999 0 1 2\n", "a.ply"),
               Contains("missing"));
    CHECK_THAT(message(ply_head("ascii", "3", "1") + body, "a.ply"), Contains("0 of 1") && Contains("face"));
    CHECK_THAT(message(ply_head("ascii", "4", "1") + "0 0 0\n1 0\n", "a.ply"), Contains("line 11"));
    CHECK_THAT(message(ply_head("ascii", "3", "0") + body, "a.ply"), Contains("no triangles"));
    CHECK_THAT(message(ply_head("ascii", "18446744073709551615", "1") + body, "a.ply"),
               Contains("more than the allowed"));
    CHECK_THAT(message(ply_head("ascii", "60000000", "1") + body, "a.ply"), Contains("3 of 60000000"));
    CHECK_THAT(message(ply_head("binary_little_endian", "60000000", "1") + body, "a.ply"),
               Contains("cut off"));
    CHECK_THAT(message(ply_head("ascii", "3", "1") + "nan 0 0\n", "a.ply"), Contains("not a finite"));
    CHECK_THAT(message(ply_head("ascii", "-3", "1"), "a.ply"), Contains("\"-3\""));
    CHECK_THAT(message(ply_head("morse", "3", "1"), "a.ply"), Contains("morse"));
    CHECK_THAT(message("ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\n", "a.ply"),
               Contains("end_header"));
    CHECK_THAT(
        message("ply\nelement vertex 1\nproperty float x\nproperty float y\nproperty float z\nend_header\n",
                "a.ply"),
        Contains("\"format\""));
    CHECK_THAT(message("ply\nformat ascii 1.0\nproperty float x\nend_header\n", "a.ply"),
               Contains("before the first"));
    CHECK_THAT(message("ply\nformat ascii 1.0\nelement vertex 1\nproperty quad x\nend_header\n", "a.ply"),
               Contains("quad"));
    CHECK_THAT(
        message("ply\nformat ascii 1.0\nelement vertex 1\nproperty list float int x\nend_header\n", "a.ply"),
        Contains("whole-number"));
    CHECK_THAT(message("ply\nformat ascii 1.0\nelement vertex 1\nproperty float x\nend_header\n1\n", "a.ply"),
               Contains("one x, one y and one z"));
    CHECK_THAT(message("ply\nformat ascii 1.0\nend_header\n", "a.ply"), Contains("element \"vertex\""));
    // an element without properties takes no bytes: its count must cost nothing
    const std::string idle =
        "ply\nformat binary_little_endian 1.0\nelement idle 18446744073709551615\nelement vertex 1\n"
        "property uchar x\nproperty uchar y\nproperty uchar z\nend_header\nabc";
    CHECK_THAT(message(idle, "a.ply"), Contains("no triangles"));
    CHECK(read(ply_head("ascii", "3", "1") + body + "3 0 1 2\n9 9\n", "a.ply")->notes.size() == 1);
}

TEST_CASE("3MF: damaged archives and models") {
    const std::string object = "<object id=\"1\">" + mesh_xml(tetrahedron()) + "</object>";
    const std::string item = "<item objectid=\"1\"/>";
    const auto model = [&](const std::string& xml) { return message(three_mf(xml), "a.3mf"); };
    CHECK_THAT(model(model_xml(object, "<item objectid=\"7\"/>")), Contains("object 7"));
    CHECK_THAT(model(model_xml(object, item, "furlong")), Contains("furlong"));
    CHECK_THAT(model(model_xml(object + object, item)), Contains("two objects"));
    CHECK_THAT(model(model_xml(object, "<item objectid=\"1\" transform=\"1 0 0\"/>")), Contains("twelve"));
    CHECK_THAT(model(model_xml(object, "<item objectid=\"1\" transform=\"1 0 0 0 1 0 0 0 0 0 0 0\"/>")),
               Contains("flattens"));
    CHECK_THAT(model(model_xml(object, item).substr(0, 350)), Contains("in the middle"));
    CHECK_THAT(model("<model><resources></build></model>"), Contains("closes"));
    CHECK_THAT(model("<!DOCTYPE x [<!ENTITY a \"b\">]><model/>"), Contains("document type"));
    CHECK_THAT(model("<svg/>"), Contains("not \"model\""));
    CHECK_THAT(model("<model/>"), Contains("no triangles"));
    CHECK_THAT(model("<model/><model/>"), Contains("more than one root"));
    CHECK_THAT(model(""), Contains("3MF") || Contains("XML"));
    std::string deep = "<model>";
    for (int i = 0; i < 200; ++i) deep += "<a>";
    CHECK_THAT(model(deep), Contains("nested too deeply"));
    CHECK_THAT(model("<model unit=\"" + std::string(3000000, 'x')), Contains("has no end"));
    TriangleMesh bad = tetrahedron();
    bad.triangles[2][1] = 9;
    CHECK_THAT(model(model_xml("<object id=\"1\">" + mesh_xml(bad) + "</object>", item)),
               Contains("triangle 2") && Contains("vertex 9, of 4"));
    std::string comma = model_xml(object, item);
    comma.replace(comma.find("x=\"1\""), 5, "x=\"1,5\"");
    CHECK_THAT(model(comma), Contains("decimal comma"));
    // an object that contains itself, and one that doubles thirty times
    CHECK_THAT(model(model_xml(
                   "<object id=\"1\"><components><component objectid=\"1\"/></components></object>", item)),
               Contains("in a circle"));
    std::string doubling = object;
    for (int i = 2; i < 16; ++i) {
        const std::string component = "<component objectid=\"" + std::to_string(i - 1) + "\"/>";
        doubling += "<object id=\"" + std::to_string(i) + "\"><components>" + component + component +
                    "</components></object>";
    }
    CHECK_THAT(model(model_xml(doubling, "<item objectid=\"15\"/>")), Contains("places more than"));

    const std::string good = three_mf(tetrahedron());
    std::string flipped = good;
    flipped[flipped.size() / 2 - 100] ^= 0x55;
    CHECK_FALSE(read(flipped, "a.3mf"));
    CHECK_THAT(message(good.substr(0, good.size() - 30), "a.3mf"), Contains("table of contents"));
    // a part that states more than its bytes can hold; one that states less than it unpacks to
    const std::string text = model_xml(object, item);
    CHECK_THAT(message(zip({{"3D/3dmodel.model", text, true, 3ull << 30}}), "a.3mf"),
               Contains("cannot hold"));
    CHECK_THAT(message(zip({{"3D/3dmodel.model", text, true, 200}}), "a.3mf"),
               Contains("cannot be unpacked"));
    // a bomb: refused by its stated size before anything is unpacked
    scan::ReadLimits small;
    small.bytes = 1u << 20;
    CHECK_THAT(message(zip({{"3D/3dmodel.model", std::string(2u << 20, ' ')}}), "a.3mf", small),
               Contains("unpacked it takes"));
    // ten gigabytes in ten megabytes: said honestly, and said to be small
    const std::string bomb = deflated_blanks(10 * 1024);
    const std::uint64_t size = std::uint64_t{10} << 30;
    CHECK_THAT(message(zip({{"3D/3dmodel.model", "", true, size, bomb}}, true), "a.3mf"),
               Contains("unpacked it takes"));
    CHECK_THAT(message(zip({{"3D/3dmodel.model", "", true, 60'000, bomb}}), "a.3mf"),
               Contains("cannot be unpacked"));
    // relationships that point out of the package
    for (const char* target :
         {"/../../etc/passwd", "../outside.model", "file:///etc/passwd", "C:\\cast.model"})
        CHECK_THAT(message(zip({{"_rels/.rels",
                                 std::string("<Relationships><Relationship Target=\"") + target +
                                     "\" Id=\"r\" Type=\"http://schemas.microsoft.com/3dmanufacturing/2013/"
                                     "01/3dmodel\"/></Relationships>"}}),
                           "a.3mf"),
                   Contains("3MF"));
}

TEST_CASE("limits hold in every format, and can be raised") {
    const TriangleMesh mesh = torus(20, 10, 30, 10);
    scan::ReadLimits limits;
    limits.triangles = 399;
    for (const auto& [bytes, name] :
         std::vector<std::pair<std::string, std::string>>{{stl_binary(mesh), "a.stl"},
                                                          {stl_ascii(mesh), "a.stl"},
                                                          {obj(mesh), "a.obj"},
                                                          {ply(mesh, PlyForm::ascii), "a.ply"},
                                                          {ply(mesh, PlyForm::big), "a.ply"},
                                                          {three_mf(mesh), "a.3mf"}}) {
        limits.triangles = 399;
        CHECK_THAT(message(bytes, name, limits), Contains("more than the allowed 399"));
        limits.triangles = 400;
        CHECK(read(bytes, name, limits));
        scan::ReadLimits few;
        few.bytes = 100;
        CHECK_THAT(message(bytes, name, few), Contains("more than the allowed 100"));
    }
}

TEST_CASE("files cut at any place give a message or fewer triangles") {
    const TriangleMesh mesh = torus(60, 30, 80, 30);
    const std::size_t step = cases(1000, 10, "share of cut places, in thousandths") >= 1000 ? 100 : 1000;
    for (const auto& [bytes, name] :
         std::vector<std::pair<std::string, std::string>>{{stl_binary(mesh), "a.stl"},
                                                          {stl_ascii(mesh), "a.stl"},
                                                          {obj(mesh), "a.obj"},
                                                          {ply(mesh, PlyForm::ascii), "a.ply"},
                                                          {ply(mesh, PlyForm::little), "a.ply"},
                                                          {ply(mesh, PlyForm::big), "a.ply"},
                                                          {three_mf(mesh), "a.3mf"}})
        for (std::size_t size = 0; size < bytes.size(); size += step) {
            INFO(name << " cut at " << size);
            const auto reading = read(bytes.substr(0, size), name);
            if (!reading) {
                REQUIRE(reading.fault().kind == FaultKind::input);
                REQUIRE(reading.fault().message.size() > name.size() + 10);
            } else {
                REQUIRE(name == "a.obj");  // the one format that cannot tell where it should end
                REQUIRE(reading->mesh.triangles.size() < mesh.triangles.size());
            }
        }
}

TEST_CASE("random damage never crashes, and what is read is a mesh") {
    const TriangleMesh mesh = torus(14, 9, 80, 30);
    const std::pair<std::string, std::string> files[] = {
        {stl_binary(mesh), "a.stl"},
        {stl_ascii(mesh), "a.stl"},
        {obj(mesh), "a.obj"},
        {ply(mesh, PlyForm::ascii), "a.ply"},
        {ply(mesh, PlyForm::little), "a.ply"},
        {three_mf(mesh), "a.3mf"},
        {zip({{"3D/3dmodel.model",
               model_xml("<object id=\"1\">" + mesh_xml(mesh) + "</object>", "<item objectid=\"1\"/>"),
               false}}),
         "a.3mf"}};
    std::mt19937_64 random(seed());
    const int count = cases(40000, 3000, "damaged files");
    int readable = 0;
    for (int n = 0; n < count; ++n) {
        const auto& [good, name] = files[static_cast<std::size_t>(n) % std::size(files)];
        std::string bytes = good;
        const int wounds = 1 + static_cast<int>(random() % 4);
        // headers and tables of contents deserve more than their share
        const std::size_t reach = random() % 3 == 0 ? std::min<std::size_t>(300, bytes.size()) : bytes.size();
        for (int w = 0; w < wounds; ++w) {
            const std::size_t last = bytes.size() - 1;
            const std::size_t at = random() % 5 == 0 ? last - random() % std::min<std::size_t>(150, last)
                                                     : std::min(last, random() % reach);
            switch (random() % 4) {
                case 0:
                    bytes[at] = static_cast<char>(random());
                    break;
                case 1:
                    bytes[at] = "0123456789-e.,/ \n\"<>\xff"[random() % 21];
                    break;
                case 2:
                    bytes.erase(at, 1 + random() % 8);
                    break;
                default: {
                    const std::size_t from = random() % bytes.size();
                    bytes.insert(at, bytes.substr(from, 1 + random() % 40));
                }
            }
        }
        const auto reading = read(bytes, name);
        if (!reading) continue;
        ++readable;
        for (const Triangle& t : reading->mesh.triangles)
            for (const auto p : t)
                REQUIRE((p >= 0 && static_cast<std::size_t>(p) < reading->mesh.points.size()));
        for (const Vec3& p : reading->mesh.points) REQUIRE(p.cwiseAbs().maxCoeff() <= scan::coordinate_limit);
        REQUIRE(
            (reading->mesh.colours.empty() || reading->mesh.colours.size() == reading->mesh.points.size()));
    }
    CHECK(readable > 0);
    CHECK(readable < count);
}
