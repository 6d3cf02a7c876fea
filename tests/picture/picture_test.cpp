// Pictures: colours that read, a renderer against closed forms, sheets that say which side they are.
#include <algorithm>
#include <catch2/catch.hpp>
#include <numbers>
#include <numeric>

#include "engine/base/parallel.hpp"
#include "engine/picture/board.hpp"
#include "engine/picture/renderer.hpp"
#include "engine/picture/sheet.hpp"
#include "tests/picture/synthetic.hpp"

using namespace archwright;
using namespace archwright::picture;

namespace {

struct Shown {
    TriangleMesh cast = synthetic::foot();
    synthetic::Device device = synthetic::device(cast, 150.0, 14.0);
    PictureInput input(Side side) const {
        PictureInput in;
        in.side = side;
        in.case_code = "WREN-0001";
        in.title = "Revision B";
        in.cast = &cast;
        in.shell = &device.shell;
        in.shell_mesh = &device.mesh;
        in.base_wall_mm = 3.2;
        in.landmarks[foot::LandmarkId::heel_centre] = {};
        return in;
    }
};

PictureSettings small() {
    PictureSettings settings;
    settings.width = 1280;
    settings.height = 800;
    return settings;
}

}  // namespace

TEST_CASE("the colour maps step evenly, and grey prints of them read") {
    for (const ColourMap* map :
         {&ColourMap::wall(), &ColourMap::height(), &ColourMap::deviation(), &ColourMap::utilisation()}) {
        std::vector<double> steps;
        int rising = 0, falling = 0;
        for (std::size_t i = 0; i + 4 < 256; i += 4) {
            const Vec3 a = to_oklab(map->steps()[i]), b = to_oklab(map->steps()[i + 4]);
            steps.push_back((b - a).norm());
            (b.x() > a.x() ? rising : falling) += 1;
        }
        const double mean =
            std::accumulate(steps.begin(), steps.end(), 0.0) / static_cast<double>(steps.size());
        if (map == &ColourMap::wall())
            for (const double step : steps) CHECK(step == Approx(mean).epsilon(0.1));
        if (map != &ColourMap::deviation()) CHECK(std::min(rising, falling) == 0);
    }
}

TEST_CASE("text stands out from every ground it is written on") {
    for (const bool dark : {false, true}) {
        const Theme& t = theme(dark);
        for (const Colour& ground : {t.panel, t.head, t.board}) {
            for (const Colour& text : {t.text, t.soft, t.faint, t.pass}) CHECK(contrast(text, ground) >= 4.5);
            CHECK(contrast(t.text, ground) >= 9.5);
        }
        CHECK(contrast(t.look, t.look_fill) >= 4.5);
        CHECK(contrast(t.stop, t.stop_fill) >= 4.5);
        CHECK(contrast(t.on_accent, t.accent) >= 4.5);
    }
    CHECK(contrast(Colour::hex(0xFFFFFF), Colour::hex(0x000000)) == Approx(21.0));  // WCAG 2.1
}

TEST_CASE("a sphere's silhouette and depth are those of a sphere") {
    constexpr double radius = 40.0, scale = 5.0;
    constexpr int size = 500;
    const TriangleMesh ball = synthetic::sphere(Vec3(7.0, -3.0, 11.0), radius, 180);
    Camera camera(Side::right, -Vec3::UnitZ(), Vec3::UnitX(), 0.0);
    camera.pin(Vec3(7.0, -3.0, 11.0), Vec2(size / 2.0, size / 2.0), scale);
    Image image(size, size, Colour::hex(0xFFFFFF));
    Scene scene;
    Body body;
    body.mesh = &ball;
    body.shader = [](const Fragment&) { return Colour::hex(0x000000); };
    scene.bodies.push_back(body);
    std::vector<double> depth;
    render(scene, camera, image, &depth);
    double covered = 0.0;
    for (const std::uint32_t pixel : image.pixels) covered += 1.0 - static_cast<double>(pixel & 255) / 255.0;
    CHECK(covered == Approx(std::numbers::pi * radius * radius * scale * scale).epsilon(2e-3));
    REQUIRE(depth.size() == image.pixels.size());
    double worst = 0.0;
    for (int y = 0; y < size; ++y)
        for (int x = 0; x < size; ++x) {
            const double dx = (x + 0.5 - size / 2.0) / scale, dy = (y + 0.5 - size / 2.0) / scale;
            const double r2 = dx * dx + dy * dy;
            const double z = depth[static_cast<std::size_t>(y * size + x)];
            if (r2 < 0.8 * radius * radius) {
                REQUIRE(std::isfinite(z));
                worst = std::max(worst, std::abs(z + std::sqrt(radius * radius - r2)));
            }
            if (r2 > 1.01 * radius * radius) REQUIRE_FALSE(std::isfinite(z));
        }
    CHECK(worst < 0.03);  // the chord of 180 rings is 0.006 mm
}

TEST_CASE("a sheet says its side in letter and words, and cuts no text") {
    const Shown shown;
    for (const Side side : {Side::left, Side::right}) {
        for (const bool dark : {false, true}) {
            const PictureInput input = shown.input(side);
            PictureSettings settings = small();
            settings.dark = dark;
            const auto picture = draw_sheet(input, settings);
            if (!picture.ok()) FAIL(picture.fault().message);
            CHECK(picture->image.width == 1280);
            CHECK(picture->image.height == 800);
            for (const std::string& text : picture->shortened) FAIL_CHECK("cut to fit: " << text);
            const auto& written = picture->written;
            const auto has = [&](const char* text) {
                return std::count(written.begin(), written.end(), text) > 0;
            };
            CHECK(has(side == Side::left ? "L" : "R"));
            CHECK_FALSE(has(side == Side::left ? "R" : "L"));
            for (const char* word : {"lateral", "medial", "heel", "toes", "WREN-0001"}) CHECK(has(word));
        }
    }
}

TEST_CASE("the pixels do not depend on the number of threads") {
    const Shown shown;
    const PictureInput input = shown.input(Side::left);
    std::vector<std::uint32_t> first;
    for (const int threads : {1, 2, 8}) {
        set_thread_count(threads);
        const auto image = compose(input, small());
        REQUIRE(image.ok());
        if (first.empty()) first = image->pixels;
        CHECK(image->pixels == first);
    }
    set_thread_count(0);
}

TEST_CASE("every view draws by itself; a word that is no view is named") {
    const Shown shown;
    const PictureInput input = shown.input(Side::right);
    for (const std::string& view : view_words()) {
        PictureSettings settings = small();
        settings.views = {view};
        INFO(view);
        CHECK(compose(input, settings).ok());
    }
    PictureSettings settings = small();
    settings.views = {"sideways"};
    const auto image = compose(input, settings);
    REQUIRE_FALSE(image.ok());
    CHECK(image.fault().message.find("sideways") != std::string::npos);
    CHECK_FALSE(compose(PictureInput{}, small()).ok());  // nothing to draw
}

TEST_CASE("parts of their own are drawn on the shell, and the device stands on what lies lowest") {
    const Shown shown;
    PictureInput input = shown.input(Side::right);
    PictureSettings settings = small();
    settings.views = {"shell"};
    const auto bare = compose(input, settings);
    const double ground = Subject(input).ground();
    const Vec3 middle = shown.device.mesh.mesh.box().centre();
    const TriangleMesh above = synthetic::sphere(middle + Vec3(0, 0, 6), 8.0, 12),
                       below = synthetic::sphere(Vec3(middle.x(), middle.y(), ground - 4.0), 6.0, 12);
    input.parts = {&above};
    CHECK(Subject(input).ground() == ground);
    const auto with = compose(input, settings);
    REQUIRE((bare.ok() && with.ok()));
    std::size_t changed = 0;
    for (std::size_t k = 0; k < bare->pixels.size(); ++k) changed += bare->pixels[k] != with->pixels[k];
    CHECK(changed > 400);
    CHECK(changed < bare->pixels.size() / 4);  // the shell stays where it was
    input.parts = {&above, &below};
    CHECK(Subject(input).ground() == Approx(ground - 10.0));
    CHECK(compose(input, settings).ok());
}

TEST_CASE("the wall drawn in a section is the true distance in space") {
    const Shown shown;
    const PictureInput input = shown.input(Side::right);
    const Subject subject(input);
    REQUIRE_FALSE(subject.cuts().empty());
    for (const SectionCut& cut : subject.cuts())
        for (const WallFigure& figure : wall_figures(subject, cut, 12.0)) {
            CHECK(figure.wall_mm == Approx((figure.foot_side - figure.underside).norm()).margin(1e-9));
            // no place of the underside is nearer
            double nearest = 1e300;
            for (std::size_t i = shown.device.mesh.foot_side_points;
                 i < shown.device.mesh.foot_side_points + shown.device.mesh.underside_points; ++i)
                nearest = std::min(nearest, (shown.device.mesh.mesh.points[i] - figure.foot_side).norm());
            CHECK(figure.wall_mm <= nearest + 1e-9);
        }
}

TEST_CASE("the scale bar is the longest that fits") {
    CHECK(scale_bar_mm(2.0, 124.0) == 50.0);
    CHECK(scale_bar_mm(4.0, 124.0) == 20.0);
    CHECK(scale_bar_mm(10.0, 124.0) == 10.0);
    CHECK(scale_bar_mm(50.0, 124.0) == 10.0);
}
