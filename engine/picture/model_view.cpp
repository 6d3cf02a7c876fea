#include "engine/picture/model_view.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>

#include "engine/picture/board.hpp"
#include "engine/picture/crease.hpp"
#include "engine/picture/renderer.hpp"

namespace archwright::picture {

namespace {

/// Field of the long lens, degrees.
constexpr double lens = 23.0;

/// Unit vector towards which the eye looks: `turn` from medial towards the toes, `lift` above the ground.
Vec3 looking(double side_sign, double turn_degrees, double lift_degrees) {
    const double turn = turn_degrees * 3.14159265358979323846 / 180.0;
    const double lift = lift_degrees * 3.14159265358979323846 / 180.0;
    // from the eye to the middle; the eye stands medial, +y of a right foot
    return -Vec3(std::sin(turn) * std::cos(lift), side_sign * std::cos(turn) * std::cos(lift),
                 std::sin(lift));
}

/// Points that span a mesh's triangles: every seventh is plenty for a frame.
std::vector<Vec3> corners_of(const TriangleMesh& mesh) {
    std::vector<Vec3> points;
    for (std::size_t i = 0; i < mesh.triangles.size(); i += 7)
        points.push_back(mesh.points[mesh.triangles[i][0]]);
    return points;
}

/// More of a cast than this above the ground is leg, mm.
constexpr double leg_mm = 130.0;

/// The triangles of a mesh that lie below a height.
TriangleMesh below(const TriangleMesh& mesh, double height) {
    TriangleMesh out;
    out.points = mesh.points;
    for (const Triangle& t : mesh.triangles)
        if (std::max({mesh.points[t[0]].z(), mesh.points[t[1]].z(), mesh.points[t[2]].z()}) < height)
            out.triangles.push_back(t);
    return out;
}

Box3 shown_box(const TriangleMesh& mesh, const Box3& also) {
    Box3 box = also;
    for (const Triangle& t : mesh.triangles) box.add(mesh.points[t[0]]);
    return box;
}

/// Where the side words stand: beyond what is shown, on the ground; from below only the two ends.
std::vector<std::pair<const char*, Vec3>> word_places(const Box3& box, double ground, bool from_below) {
    const double away = 16.0;
    const Vec3 middle = box.centre();
    std::vector<std::pair<const char*, Vec3>> places{
        {"toes", {box.high.x() + away, middle.y(), ground}},
        {"heel", {box.low.x() - away, middle.y(), ground}},
    };
    if (!from_below) {
        places.push_back({"medial", {middle.x(), box.high.y() + away, ground}});
        places.push_back({"lateral", {middle.x(), box.low.y() - away, ground}});
    }
    return places;
}

/// The axes as a small tripod.
void draw_axes(Canvas& canvas, const Vec2& at, const Theme& theme, const Camera& camera) {
    const Type type{type::small, Weight::semibold, theme.ink, Align::centre};
    const struct {
        Vec3 way;
        const char* name;
    } axes[] = {{Vec3::UnitX(), "x"}, {Vec3::UnitY(), "y"}, {Vec3::UnitZ(), "z"}};
    for (const auto& axis : axes) {
        const Vec3 way = camera.turned(axis.way);
        const Vec2 page(way.dot(camera.right()), -way.dot(camera.up()));
        canvas.line(at, at + 24.0 * page, {theme.soft, 1.5, 1.0, {}, true});
        canvas.write_middle(axis.name, at + 33.0 * page, 20.0, type);
    }
}

}  // namespace

void draw_model(Canvas& canvas, const Box& box, const Theme& theme, const Subject& subject, ModelView view) {
    canvas.fill(box, theme.board);
    if (view != ModelView::on_foot ? !subject.has_shell() : !subject.has_shell() && !subject.has_cast()) {
        canvas.write_middle(view != ModelView::on_foot ? "No shell yet." : "No cast and no shell yet.",
                            box.centre(), box.w - 24.0,
                            {type::body, Weight::regular, theme.faint, Align::centre});
        return;
    }
    const double s = canvas.scale();
    const double hand = handed(subject.side());
    const bool from_below = view == ModelView::on_foot;
    const bool underside = view == ModelView::below;
    // seen from below with the toes to the right, -y of the drawing's frame is the top, of either foot
    Camera camera = underside ? Camera(subject.side(), Vec3::UnitZ(), -Vec3::UnitY(), 0.0)
                              : Camera(subject.side(),
                                       from_below ? looking(hand, -24.0, -34.0) : looking(hand, 38.0, 36.0),
                                       Vec3::UnitZ(), lens);
    const int w = std::max(1, static_cast<int>(std::lround(box.w * s)));
    const int h = std::max(1, static_cast<int>(std::lround(box.h * s)));
    // a leg above the ankle would only make the foot small
    TriangleMesh cast_shown;
    if (from_below && subject.has_cast()) cast_shown = below(subject.cast(), subject.ground() + leg_mm);
    const Box3 extent =
        cast_shown.triangles.empty() ? subject.shell_box() : shown_box(cast_shown, subject.shell_box());
    const std::vector<std::pair<const char*, Vec3>> places =
        word_places(extent, subject.ground(), from_below);
    std::vector<Vec3> frame = corners_of(cast_shown);
    for (const auto& place : places) frame.push_back(place.second);
    if (subject.has_shell())
        for (const Vec3& p : corners_of(subject.shell())) frame.push_back(p);
    for (const TriangleMesh* part : subject.input().parts)
        for (const Vec3& p : corners_of(*part)) frame.push_back(p);
    const Box pixels{0.0, 0.0, static_cast<double>(w), static_cast<double>(h)};
    camera.fit(frame, pixels, s * 30.0);

    Scene scene;
    const Light light(camera);
    const MapScale walls = wall_scale(subject);
    if (!cast_shown.triangles.empty()) {
        Body cast;
        cast.mesh = &cast_shown;
        cast.colour = theme.dark ? Colour::hex(0xD3DADD) : Colour::hex(0x4E5A62);
        cast.glass = subject.has_shell();
        if (!cast.glass) cast.colour = theme.cast;
        scene.bodies.push_back(std::move(cast));
    }
    // walls and floors of posts and letters have edges; the rest is smooth
    TriangleMesh outside_mesh;
    if (subject.has_shell()) {
        outside_mesh = creased(subject.shell(), subject.foot_side().last, subject.shell().triangles.size());
        Body foot_side;
        foot_side.mesh = &subject.shell();
        foot_side.values = &subject.walls();
        foot_side.last = subject.foot_side().last;
        foot_side.shader = [&](const Fragment& f) { return walls.colour(f.value) * light.on_map(f); };
        Body rest;
        rest.mesh = &outside_mesh;
        // the outside wears the ink blue of the house, paler where it turns away
        const Colour outside = theme.dark ? Colour::hex(0x5E93BC) : Colour::hex(0x4F86AE);
        // straight from below every flank of a letter is dark, whichever way it faces: letters can be read
        rest.shader = [&light, outside, underside](const Fragment& f) {
            const double turned = underside ? 0.45 + 0.55 * f.facing * f.facing : 1.0;
            return outside * (turned * (0.30 + 0.80 * light.on(f)));
        };
        scene.bodies.push_back(std::move(foot_side));
        scene.bodies.push_back(std::move(rest));
        // parts of their own are foam beside the shell's blue and the colours of its wall
        const Colour foam = theme.foam();
        for (const TriangleMesh* mesh : subject.input().parts) {
            Body part;
            part.mesh = mesh;
            part.shader = [&light, foam](const Fragment& f) { return foam * (0.30 + 0.80 * light.on(f)); };
            scene.bodies.push_back(std::move(part));
        }
        for (const auto* edge : {&subject.foot_edge(), &subject.under_edge()})
            scene.strokes.push_back({*edge, true, Colour::hex(0x14202A), 1.4 * s, 0.5});
        for (const auto* edges : {&subject.hole_edges(), &subject.lower_edges()})
            for (const std::vector<Vec3>& edge : *edges)
                scene.strokes.push_back({edge, true, Colour::hex(0x14202A), 1.4 * s, 0.5});
    }
    const Ground ground{subject.ground(), theme.board, theme.grid_10, theme.grid_50,
                        theme.dark ? Colour::hex(0x000000) : Colour::hex(0x3C4A55)};
    if (view == ModelView::alone) scene.ground = &ground;
    Image picture(w, h, theme.board);
    render(scene, camera, picture);
    canvas.place(picture, box);

    const Type words{type::small, Weight::regular, theme.soft, Align::centre};
    Labels labels(box.inset(6.0));
    const Vec2 tripod(box.x + 46.0, box.bottom() - 44.0);
    draw_axes(canvas, tripod, theme, camera);
    labels.keep_off({tripod.x() - 42.0, tripod.y() - 42.0, 84.0, 84.0});
    for (const auto& [text, place] : places) {
        const Vec2 at = Vec2(box.x, box.y) + camera.project(place).head<2>() / s;
        const Box plate = plate_box(canvas, at, text, words);
        if (!labels.free(plate)) continue;
        draw_plate(canvas, plate, text, words, theme);
        labels.keep_off(plate);
    }
    draw_side_letter(canvas, {box.right() - 36.0, box.bottom() - 36.0}, theme, subject.side());
}

}  // namespace archwright::picture
