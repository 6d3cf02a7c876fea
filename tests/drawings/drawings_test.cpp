// The drawings of the documents: all there, the same every time, no word cut, on another or off the page; and
// in the documents.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdlib>
#include <filesystem>
#include <iterator>
#include <set>

#include "assets/drawings/drawings.hpp"
#include "assets/drawings/section.hpp"
#include "assets/drawings/specimen.hpp"
#include "engine/base/file.hpp"
#include "engine/base/parallel.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;

namespace {

const std::vector<drawings::Drawing>& all() {
    static const std::vector<drawings::Drawing> drawn = [] {
        set_thread_count(1);  // the program takes all there are
        auto made = drawings::all_drawings();
        set_thread_count(0);
        if (!made) throw std::runtime_error(made.fault().message);
        return std::move(made).value();
    }();
    return drawn;
}

std::string bytes_of(const std::filesystem::path& path) {
    const auto bytes = FileBytes::read(path);
    REQUIRE(bytes);
    return std::string(bytes->text());
}

}  // namespace

TEST_CASE("the program writes every drawing, the same bytes as in memory, on any number of threads") {
    const tests::TemporaryFolder folder;
    const std::string command =
        "\"" ARCHWRIGHT_BINARY_DIR "/archwright-drawings\" \"" + (folder.path() / "new").string() + "\"";
    REQUIRE(std::system(command.c_str()) == 0);
    std::set<std::string> names;
    for (const drawings::Drawing& drawing : all()) {
        INFO(drawing.name);
        CHECK(names.insert(drawing.name).second);
        const auto png = picture::encode_png(drawing.image);
        REQUIRE(png);
        CHECK(bytes_of(folder.path() / "new" / (drawing.name + ".png")) == *png);
    }
    const std::filesystem::directory_iterator files(folder.path() / "new");
    CHECK(static_cast<std::size_t>(std::distance(begin(files), end(files))) == names.size());
}

TEST_CASE("a wrong call of the drawings' program is refused, and a place that cannot be written") {
    const std::string program = "\"" ARCHWRIGHT_BINARY_DIR "/archwright-drawings\"";
    CHECK(std::system((program + " 2>/dev/null").c_str()) != 0);
    CHECK(std::system((program + " --help 2>/dev/null").c_str()) != 0);
    CHECK(std::system((program + " /dev/null/nowhere 2>/dev/null").c_str()) != 0);
}

TEST_CASE("no word of a drawing is cut, off the page, or on another") {
    for (const drawings::Drawing& drawing : all()) {
        INFO(drawing.name);
        CHECK(drawing.shortened.empty());
        CHECK(drawing.written.size() > 8);
        CHECK(drawing.image.width == 1400);
        for (std::size_t i = 0; i < drawing.texts.size(); ++i) {
            const picture::Box& a = drawing.texts[i];
            INFO(drawing.written[i]);
            CHECK((a.x >= 0.0 && a.y >= 0.0 && a.right() <= drawing.whole.right() &&
                   a.bottom() <= drawing.whole.bottom()));
            for (std::size_t j = i + 1; j < drawing.texts.size(); ++j) {
                INFO(drawing.written[j]);
                // boxes have room for accents and descenders: the letters themselves are lower
                const double air = 0.2 * a.h;
                picture::Box low = drawing.texts[j];
                low.cut_top(air);
                low.cut_bottom(air);
                CHECK_FALSE(low.meets(a));
            }
        }
    }
}

TEST_CASE("every drawing stands in the documents, at its size, and a page shows it") {
    const std::filesystem::path docs = std::filesystem::path(ARCHWRIGHT_SOURCE_DIR) / "docs";
    std::string pages;
    for (const auto& entry : std::filesystem::directory_iterator(docs))
        if (entry.path().extension() == ".md") pages += bytes_of(entry.path());
    constexpr std::size_t most_bytes = 165'000;
    for (const drawings::Drawing& drawing : all()) {
        INFO(drawing.name << ": archwright-drawings docs/pictures makes it anew");
        CHECK(pages.find("(pictures/" + drawing.name + ".png)") != std::string::npos);
        const std::string png = bytes_of(docs / "pictures" / (drawing.name + ".png"));
        CHECK(png.size() < most_bytes);
        REQUIRE(png.size() > 24);
        // ISO/IEC 15948: width and height at 16 and 20, most significant byte first
        const auto number = [&](std::size_t at) {
            int value = 0;
            for (std::size_t k = 0; k < 4; ++k) value = value << 8 | static_cast<unsigned char>(png[at + k]);
            return value;
        };
        CHECK(number(16) == drawing.image.width);
        CHECK(number(20) == drawing.image.height);
    }
}

TEST_CASE("what a drawing tells is what was asked") {
    const auto tells = [](const char* name, const std::string& words) {
        for (const drawings::Drawing& drawing : all())
            if (drawing.name == name)
                return std::count(drawing.written.begin(), drawing.written.end(), words) > 0;
        return false;
    };
    CHECK(tells("balance_angles", "\u03b2 = 5.0\u00b0 inverted"));
    CHECK(tells("balance_platform", "F = 9.0\u00b0 everted"));
    CHECK(tells("balance_platform", "platform, tilted F \u2212 I = 4.0\u00b0 everted"));
    CHECK(tells("balance_pour", "15.0\u00b0 inverted"));
    CHECK(tells("skive", "depth 4.0 mm"));
    CHECK(tells("skive", "16.0 mm"));
    CHECK(tells("trim_rule", "medial flange 20 mm"));
}

TEST_CASE("sections of a surface lie on it") {
    const auto specimen = drawings::make_specimen();
    REQUIRE(specimen);
    const auto made = drawings::make(*specimen);
    REQUIRE(made);
    const surface::SplineSurface& surface = made->surfaced.carpet.surface;
    for (const drawings::Plane& plane :
         {drawings::Plane::frontal(20.0), drawings::Plane::sagittal(5.0),
          drawings::Plane{{130.0, -30.0}, {140.0, 20.0}, drawings::Plane::View::behind}}) {
        const auto line = drawings::longest(drawings::section(surface, plane));
        REQUIRE(line.size() > 20);
        for (std::size_t k = 0; k < line.size(); k += 20) {
            const Vec2& p = line[k];
            // back to space: the plane's point over this place across
            const Vec2 way = plane.b - plane.a;
            const double t = plane.view == drawings::Plane::View::behind ? (p.x() - plane.a.y()) / way.y()
                                                                         : (p.x() - plane.a.x()) / way.x();
            const Vec2 plan = plane.a + t * way;
            const Vec3 q(plan.x(), plan.y(), p.y());
            double nearest = 1e300;
            for (double u = 0.1; u < 1.0; u += 0.2)
                for (double v = 0.1; v < 1.0; v += 0.2) {
                    Vec2 uv(u * surface.u.length, v * surface.v.length);
                    nearest = std::min(nearest, surface.project(q, uv, 40));
                }
            CHECK(nearest < 0.05);  // facets of some 0.8 mm
        }
    }
}
