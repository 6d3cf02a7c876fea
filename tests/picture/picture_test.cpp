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
        in.rigidity_n_mm2 = 1400.0 / (12.0 * (1.0 - 0.42 * 0.42));
        in.density_g_cm3 = 0.905;
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

namespace {

/// Rows of a matrix on linear sRGB.
using SeenBy = std::array<std::array<double, 3>, 3>;
// G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, A physiologically-based model for simulation of color
// vision deficiency, IEEE TVCG 15(6), 2009, table 1, severity 1.0
constexpr SeenBy usual_eye{{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}}};
constexpr SeenBy deuteranope{
    {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}}};
constexpr SeenBy protanope{
    {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}}};

/// The colour an eye sees, in OKLab. Channels to and from linear light: IEC 61966-2-1.
Vec3 seen(const Colour& colour, const SeenBy& eye) {
    const auto linear = [](double c) {
        return c <= 0.04045 ? c / 12.92 : std::pow((c + 0.055) / 1.055, 2.4);
    };
    const auto coded = [](double c) {
        c = std::clamp(c, 0.0, 1.0);
        return c <= 0.0031308 ? 12.92 * c : 1.055 * std::pow(c, 1.0 / 2.4) - 0.055;
    };
    const double rgb[3] = {linear(colour.r), linear(colour.g), linear(colour.b)};
    double out[3];
    for (std::size_t i = 0; i < 3; ++i)
        out[i] = coded(eye[i][0] * rgb[0] + eye[i][1] * rgb[1] + eye[i][2] * rgb[2]);
    return to_oklab({out[0], out[1], out[2]});
}

}  // namespace

TEST_CASE("the colour maps step evenly to every eye, and grey prints of them read") {
    const std::pair<const char*, SeenBy> eyes[] = {
        {"usual", usual_eye}, {"deuteranope", deuteranope}, {"protanope", protanope}};
    const std::pair<const char*, const ColourMap*> maps[] = {{"wall", &ColourMap::wall()},
                                                             {"height", &ColourMap::height()},
                                                             {"deviation", &ColourMap::deviation()},
                                                             {"utilisation", &ColourMap::utilisation()}};
    constexpr std::size_t apart = 4;
    for (const auto& [name, map] : maps)
        for (const auto& [eye, matrix] : eyes) {
            CAPTURE(name, eye);
            const bool two_sided = map == &ColourMap::deviation();
            std::vector<double> steps;
            int rising = 0, falling = 0;
            for (std::size_t i = 0; i + apart < 256; i += apart) {
                const Vec3 a = seen(map->steps()[i], matrix), b = seen(map->steps()[i + apart], matrix);
                (b.x() > a.x() ? rising : falling) += 1;
                // a step over the middle of a map of two arms is the chord of its turn
                if (!two_sided || i + apart <= 127 || i >= 128) steps.push_back((b - a).norm());
            }
            const double mean =
                std::accumulate(steps.begin(), steps.end(), 0.0) / static_cast<double>(steps.size());
            const auto [least, most] = std::minmax_element(steps.begin(), steps.end());
            // steps of a twentieth of a map are told apart (OKLab: about 0.02 is), and none is the double of
            // another
            CHECK(mean * 256.0 / apart / 20.0 > 0.02);
            const double uneven = eye == std::string("protanope") ? 0.22 : 0.10;
            CHECK(*least > (1.0 - uneven) * mean);
            CHECK(*most < (1.0 + uneven) * mean);
            if (!two_sided) CHECK(std::min(rising, falling) == 0);
            // equal amounts of opposite sign differ, from an eighth of the limit on
            if (two_sided)
                for (std::size_t i = 0; i <= 111; ++i)
                    CHECK((seen(map->steps()[i], matrix) - seen(map->steps()[255 - i], matrix)).norm() >
                          0.05);
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

TEST_CASE("the pixels do not depend on the number of threads", "[unsanitized]") {
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

TEST_CASE("maps that follow the wall say rigidity and mass by their closed forms, with their caution") {
    const Shown shown;
    PictureInput input = shown.input(Side::right);
    const auto of = [&](MapKind kind, double wall) { return of_wall(input, kind, wall); };
    CHECK(of(MapKind::rigidity, input.base_wall_mm) == Approx(1.0));
    CHECK(of(MapKind::rigidity, 2 * input.base_wall_mm) == Approx(8.0));
    // D = E t^3 / (12 (1 - nu^2)), E 1400 MPa, nu 0.42: 3824.7 N mm at 3 mm, 9065.9 at 4 mm
    CHECK(of(MapKind::bending, 3) == Approx(3824.7).epsilon(1e-5));
    CHECK(of(MapKind::bending, 4) == Approx(9065.9).epsilon(1e-5));
    CHECK(of(MapKind::mass, 3) == Approx(0.2715));  // 0.905 g/cm3, 0.3 cm
    CHECK_FALSE(of(MapKind::wall, 3));
    for (const char* view : {"rigidity", "bending"}) {
        PictureSettings settings = small();
        settings.views = {view};
        const auto picture = draw_sheet(input, settings);
        REQUIRE(picture.ok());
        const auto& all = picture->written;
        CHECK(std::find(all.begin(), all.end(), rigidity_caution) != all.end());
        CHECK(picture->shortened.empty());
    }
    // without base and material there is no figure to show, and the view says so
    input.base_wall_mm = input.rigidity_n_mm2 = input.density_g_cm3 = 0;
    for (const MapKind kind : {MapKind::rigidity, MapKind::bending, MapKind::mass})
        CHECK_FALSE(of_wall(input, kind, 3));
    PictureSettings settings = small();
    settings.views = {"mass"};
    CHECK(draw_sheet(input, settings).ok());
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
