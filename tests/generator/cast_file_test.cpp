// The files of casts, read back by the engine's own readers, which know nothing of the writers.
#include <catch2/catch.hpp>

#include "assets/generator/cast_file.hpp"
#include "assets/generator/cast_random.hpp"
#include "engine/scan/read.hpp"

using namespace archwright;
using namespace archwright::generator;

namespace {

TriangleMesh coloured_cast() {
    const Outcome<Foot> foot = Foot::make(FootShape{});
    REQUIRE(foot.ok());
    CastSpec s;
    s.triangles = 8'000;
    s.unit = LengthUnit::inch;
    s.rotation = random_tilt(5);
    s.colours = usual_ink(*foot);
    Outcome<Cast> cast = take_cast(*foot, s);
    REQUIRE(cast.ok());
    return std::move(cast)->mesh;
}

/// The same triangles corner by corner: readers may number the points anew.
void compare(const TriangleMesh& mesh, const std::string& bytes, const char* name, bool colours) {
    INFO(name);
    const auto read = scan::read_cast_bytes(std::as_bytes(std::span(bytes.data(), bytes.size())), name);
    if (!read) FAIL(read.fault().message);
    const TriangleMesh& back = read->mesh;
    REQUIRE(back.triangles.size() == mesh.triangles.size());
    CHECK(back.colours.empty() != colours);
    std::size_t wrong = 0, wrong_colour = 0;
    for (std::size_t t = 0; t < mesh.triangles.size(); ++t)
        for (std::size_t k = 0; k < 3; ++k) {
            const auto a = mesh.triangles[t][k], b = back.triangles[t][k];
            for (int axis = 0; axis < 3; ++axis)
                if (static_cast<float>(mesh.points[a][axis]) != static_cast<float>(back.points[b][axis]))
                    ++wrong;
            if (colours && mesh.colours[a] != back.colours[b]) ++wrong_colour;
        }
    CHECK(wrong == 0);
    CHECK(wrong_colour == 0);
}

}  // namespace

TEST_CASE("Every format reads back as what was written, to the float32 and the colour") {
    const TriangleMesh mesh = coloured_cast();
    compare(mesh, encode(mesh, CastFormat::ply_binary, "cast"), "a.ply", true);
    compare(mesh, encode(mesh, CastFormat::ply_big_endian, "cast"), "b.ply", true);
    compare(mesh, encode(mesh, CastFormat::ply_ascii, "cast"), "c.ply", true);
    compare(mesh, encode(mesh, CastFormat::stl_binary, "solid as a rock"), "d.stl", false);
    compare(mesh, encode(mesh, CastFormat::stl_ascii, "cast"), "e.stl", false);
    compare(mesh, encode(mesh, CastFormat::obj, "cast"), "f.obj", true);
}

TEST_CASE("A binary STL of ours never begins with the word of a text one, and titles stay on one line") {
    const TriangleMesh mesh = coloured_cast();
    CHECK(encode(mesh, CastFormat::stl_binary, "solid").substr(0, 5) != "solid");
    CHECK(encode(mesh, CastFormat::ply_ascii, "two\nlines").find("comment two lines\n") != std::string::npos);
}

TEST_CASE("The extension names the format") {
    CHECK(*format_of("a/b.PLY") == CastFormat::ply_binary);
    CHECK(*format_of("b.stl") == CastFormat::stl_binary);
    CHECK(*format_of("b.obj") == CastFormat::obj);
    CHECK(!format_of("b.step").ok());
}
