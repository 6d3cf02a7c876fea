#include "engine/picture/renderer.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <memory>

#include "engine/base/parallel.hpp"
#include "engine/picture/ground.hpp"

namespace archwright::picture {

namespace {

constexpr int tile = 32;  ///< pixels along a tile's side
constexpr int grid = 3;   ///< samples along a pixel's side
constexpr int tile_samples = tile * grid;
constexpr int none = -1;
constexpr float far_away = std::numeric_limits<float>::infinity();
/// Nearer to the eye than this part of the distance to the target nothing is drawn.
constexpr double nearest_w = 0.02;

/// A corner on the page.
struct Corner {
    double x = 0.0, y = 0.0;  ///< pixels
    float depth = 0.0f;       ///< z / w
    float w = 1.0f;
};

/// Flat arrays of everything drawn. A corner below `points` belongs to a body's point; the rest to strokes.
struct Drawn {
    struct Face {
        std::array<std::int32_t, 3> corner;
        std::int32_t owner;  ///< body index, or bodies + stroke index
    };
    std::vector<Corner> corners;
    std::vector<Vec3> normals;             ///< of points, drawing's frame
    std::vector<std::size_t> first_point;  ///< of each body
    std::vector<Face> faces;
};

void add_body(const Body& body, std::int32_t owner, const Camera& camera, Drawn& drawn) {
    const TriangleMesh& mesh = *body.mesh;
    const std::size_t first = drawn.corners.size();
    drawn.first_point.push_back(first);
    drawn.corners.resize(first + mesh.points.size());
    const std::vector<Vec3> normals = mesh.point_normals();
    drawn.normals.resize(first + mesh.points.size());
    parallel_for(mesh.points.size(), 4096, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) {
            const Vec3 at = camera.project(mesh.points[i]);
            drawn.corners[first + i] = {at.x(), at.y(), static_cast<float>(at.z()),
                                        static_cast<float>(camera.w(mesh.points[i]))};
            drawn.normals[first + i] = camera.turned(normals[i]);
        }
    });
    const std::size_t last = std::min(body.last, mesh.triangles.size());
    for (std::size_t i = body.first; i < last; ++i) {
        const Triangle& t = mesh.triangles[i];
        const auto base = static_cast<std::int32_t>(first);
        drawn.faces.push_back({{base + t[0], base + t[1], base + t[2]}, owner});
    }
}

/// Two triangles a segment, on the page, a little longer than the segment so that joints close.
void add_stroke(const Stroke& stroke, std::int32_t owner, const Camera& camera, Drawn& drawn) {
    const std::size_t count = stroke.points.size();
    const std::size_t segments = count < 2 ? 0 : stroke.closed ? count : count - 1;
    for (std::size_t i = 0; i < segments; ++i) {
        const Vec3 &p = stroke.points[i], &q = stroke.points[(i + 1) % count];
        const Vec3 a = camera.project(p), b = camera.project(q);
        Vec2 along = (b - a).head<2>();
        const double length = along.norm();
        if (!(length > 0.0)) continue;
        along *= 0.5 * stroke.width / length;
        const Vec2 over(-along.y(), along.x());
        const auto base = static_cast<std::int32_t>(drawn.corners.size());
        const auto corner = [&](const Vec3& c, const Vec2& at, double w) {
            drawn.corners.push_back(
                {at.x(), at.y(), static_cast<float>(c.z() - stroke.forward), static_cast<float>(w)});
        };
        const Vec2 from = a.head<2>() - 0.6 * along, to = b.head<2>() + 0.6 * along;
        corner(a, from + over, camera.w(p));
        corner(a, from - over, camera.w(p));
        corner(b, to + over, camera.w(q));
        corner(b, to - over, camera.w(q));
        drawn.faces.push_back({{base, base + 1, base + 2}, owner});
        drawn.faces.push_back({{base + 2, base + 1, base + 3}, owner});
    }
}

/// Which faces touch which tile, in order.
struct Bins {
    int across = 0, down = 0;
    std::vector<std::size_t> start;
    std::vector<std::int32_t> faces;
};

struct Span {
    int x0, x1, y0, y1;  ///< tiles, inclusive; empty when x1 < x0
};

Span tiles_of(const Drawn& drawn, const Drawn::Face& face, int across, int down) {
    double x0 = 1e300, x1 = -1e300, y0 = 1e300, y1 = -1e300;
    for (const std::int32_t c : face.corner) {
        const Corner& corner = drawn.corners[static_cast<std::size_t>(c)];
        if (!(corner.w > nearest_w)) return {0, -1, 0, -1};
        x0 = std::min(x0, corner.x);
        x1 = std::max(x1, corner.x);
        y0 = std::min(y0, corner.y);
        y1 = std::max(y1, corner.y);
    }
    if (!(x1 >= 0.0 && y1 >= 0.0 && x0 < across * tile && y0 < down * tile)) return {0, -1, 0, -1};
    const auto held = [](double v, int count) {
        return static_cast<int>(std::clamp(v / tile, 0.0, static_cast<double>(count - 1)));
    };
    return {held(x0, across), held(x1, across), held(y0, down), held(y1, down)};
}

Bins bin(const Drawn& drawn, int width, int height) {
    Bins bins;
    bins.across = (width + tile - 1) / tile;
    bins.down = (height + tile - 1) / tile;
    bins.start.assign(static_cast<std::size_t>(bins.across * bins.down) + 1, 0);
    std::vector<Span> spans(drawn.faces.size());
    parallel_for(spans.size(), 8192, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i)
            spans[i] = tiles_of(drawn, drawn.faces[i], bins.across, bins.down);
    });
    const auto each = [&](auto&& act) {
        for (std::size_t i = 0; i < spans.size(); ++i)
            for (int y = spans[i].y0; y <= spans[i].y1; ++y)
                for (int x = spans[i].x0; x <= spans[i].x1; ++x)
                    act(static_cast<std::size_t>(y * bins.across + x), static_cast<std::int32_t>(i));
    };
    each([&](std::size_t t, std::int32_t) { ++bins.start[t + 1]; });
    for (std::size_t t = 1; t < bins.start.size(); ++t) bins.start[t] += bins.start[t - 1];
    bins.faces.resize(bins.start.back());
    std::vector<std::size_t> next(bins.start.begin(), bins.start.end() - 1);
    each([&](std::size_t t, std::int32_t face) { bins.faces[next[t]++] = face; });
    return bins;
}

/// Nearest face and its depth at every sample of a tile.
struct Buffer {
    std::vector<std::int32_t> face = std::vector<std::int32_t>(tile_samples * tile_samples);
    std::vector<float> depth = std::vector<float>(tile_samples * tile_samples);

    void clear() {
        std::fill(face.begin(), face.end(), none);
        std::fill(depth.begin(), depth.end(), far_away);
    }
};

/// Barycentric weights on the page as affine functions of the pixel.
struct Plane {
    double ax, ay, a0, bx, by, b0;  ///< weights of the first two corners: ax x + ay y + a0, ...
    bool sound;

    Plane(const Corner& p, const Corner& q, const Corner& r) {
        const double twice = (q.x - p.x) * (r.y - p.y) - (q.y - p.y) * (r.x - p.x);
        sound = std::abs(twice) > 1e-12;
        const double f = sound ? 1.0 / twice : 0.0;
        ax = (q.y - r.y) * f;
        ay = (r.x - q.x) * f;
        a0 = (q.x * r.y - r.x * q.y) * f;
        bx = (r.y - p.y) * f;
        by = (p.x - r.x) * f;
        b0 = (r.x * p.y - p.x * r.y) * f;
    }
};

/// Faces overlap their neighbours by this share of themselves: a sample on a common edge must not fall
/// through between them by a rounding.
constexpr double overlap = 1e-9;

/// Fills the samples a face covers. `beyond`, when given, hides what lies behind another buffer.
void fill(const Drawn& drawn, std::int32_t index, const Vec2& corner, const Buffer* beyond, Buffer& buffer) {
    const Drawn::Face& face = drawn.faces[static_cast<std::size_t>(index)];
    const Corner& p = drawn.corners[static_cast<std::size_t>(face.corner[0])];
    const Corner& q = drawn.corners[static_cast<std::size_t>(face.corner[1])];
    const Corner& r = drawn.corners[static_cast<std::size_t>(face.corner[2])];
    const Plane plane(p, q, r);
    if (!plane.sound) return;
    const auto sample = [&](double v, double from) { return (v - from) * grid - 0.5; };
    const auto low = [](double v) {
        return static_cast<int>(std::ceil(std::clamp(v, 0.0, double(tile_samples))));
    };
    const auto high = [](double v) {
        return static_cast<int>(std::floor(std::clamp(v, -1.0, tile_samples - 1.0)));
    };
    const int x0 = low(sample(std::min({p.x, q.x, r.x}), corner.x()));
    const int x1 = high(sample(std::max({p.x, q.x, r.x}), corner.x()));
    const int y0 = low(sample(std::min({p.y, q.y, r.y}), corner.y()));
    const int y1 = high(sample(std::max({p.y, q.y, r.y}), corner.y()));
    const double dz_a = static_cast<double>(p.depth) - r.depth, dz_b = static_cast<double>(q.depth) - r.depth;
    const double step = 1.0 / grid;
    for (int y = y0; y <= y1; ++y) {
        const double py = corner.y() + (y + 0.5) * step;
        const double px = corner.x() + (x0 + 0.5) * step;
        double a = plane.ax * px + plane.ay * py + plane.a0;
        double b = plane.bx * px + plane.by * py + plane.b0;
        std::size_t at = static_cast<std::size_t>(y * tile_samples + x0);
        for (int x = x0; x <= x1; ++x, ++at, a += plane.ax * step, b += plane.bx * step) {
            if (a < -overlap || b < -overlap || a + b > 1.0 + overlap) continue;
            const auto depth = static_cast<float>(r.depth + a * dz_a + b * dz_b);
            if (depth >= buffer.depth[at] || (beyond != nullptr && depth >= beyond->depth[at])) continue;
            buffer.depth[at] = depth;
            buffer.face[at] = index;
        }
    }
}

/// What a face looks like at a place of the page.
class Looks {
  public:
    Looks(const Scene& scene, const Camera& camera, const Drawn& drawn)
        : scene_(scene), camera_(camera), drawn_(drawn), light_(camera) {}

    bool glass(std::int32_t index) const {
        const auto owner = static_cast<std::size_t>(drawn_.faces[static_cast<std::size_t>(index)].owner);
        return owner < scene_.bodies.size() && scene_.bodies[owner].glass;
    }

    /// The face's colour over `behind`.
    Colour at(std::int32_t index, const Vec2& pixel, const Colour& behind) const {
        const Drawn::Face& face = drawn_.faces[static_cast<std::size_t>(index)];
        const auto owner = static_cast<std::size_t>(face.owner);
        if (owner >= scene_.bodies.size()) return scene_.strokes[owner - scene_.bodies.size()].colour;
        const Body& body = scene_.bodies[owner];
        const Fragment fragment = fragment_at(body, drawn_.first_point[owner], face, pixel);
        if (body.glass) {
            const double alpha = 0.03 + 0.74 * std::pow(1.0 - fragment.facing, 1.9);
            return mix(behind, body.colour * light_.on(fragment), std::min(alpha, 1.0));
        }
        return body.shader ? body.shader(fragment) : body.colour * light_.on(fragment);
    }

  private:
    Fragment fragment_at(const Body& body, std::size_t first, const Drawn::Face& face,
                         const Vec2& pixel) const {
        std::array<const Corner*, 3> corner;
        for (std::size_t k = 0; k < 3; ++k)
            corner[k] = &drawn_.corners[static_cast<std::size_t>(face.corner[k])];
        const Plane plane(*corner[0], *corner[1], *corner[2]);
        Vec3 weight(plane.ax * pixel.x() + plane.ay * pixel.y() + plane.a0,
                    plane.bx * pixel.x() + plane.by * pixel.y() + plane.b0, 0.0);
        weight[2] = 1.0 - weight[0] - weight[1];
        for (int k = 0; k < 3; ++k)  // perspective: weights on the page to weights in space
            weight[k] =
                std::max(weight[k], 0.0) / static_cast<double>(corner[static_cast<std::size_t>(k)]->w);
        weight /= weight.sum();
        Fragment fragment;
        fragment.position = Vec3::Zero();
        Vec3 normal = Vec3::Zero();
        for (int k = 0; k < 3; ++k) {
            const auto c = static_cast<std::size_t>(face.corner[static_cast<std::size_t>(k)]);
            fragment.position += weight[k] * body.mesh->points[c - first];
            normal += weight[k] * drawn_.normals[c];
            if (body.values != nullptr && c - first < body.values->size())
                fragment.value += weight[k] * (*body.values)[c - first];
        }
        const Vec3 eye = camera_.towards_eye(fragment.position);
        const double length = normal.norm();
        normal = length > 0.0 ? Vec3(normal / length) : eye;
        // by the sign of n . eye, not by winding: a foot turned over keeps its shade
        if (normal.dot(eye) < 0.0) normal = -normal;
        fragment.normal = normal;
        fragment.facing = std::clamp(normal.dot(eye), 0.0, 1.0);
        fragment.mm_per_pixel = camera_.w(fragment.position) / camera_.pixels_per_mm();
        return fragment;
    }

    const Scene& scene_;
    const Camera& camera_;
    const Drawn& drawn_;
    Light light_;
};

/// Samples of one pixel that show the same faces: shaded once, at their middle.
struct Share {
    std::int32_t solid = none, glass = none;
    int count = 0;
    Vec2 sum = Vec2::Zero();
};

}  // namespace

void render(const Scene& scene, const Camera& camera, Image& image, std::vector<double>* depth) {
    Drawn drawn;
    for (std::size_t i = 0; i < scene.bodies.size(); ++i)
        add_body(scene.bodies[i], static_cast<std::int32_t>(i), camera, drawn);
    for (std::size_t i = 0; i < scene.strokes.size(); ++i)
        add_stroke(scene.strokes[i], static_cast<std::int32_t>(scene.bodies.size() + i), camera, drawn);
    const Bins bins = bin(drawn, image.width, image.height);
    const Looks looks(scene, camera, drawn);
    std::unique_ptr<GroundShader> ground;
    if (scene.ground != nullptr && camera.forward().z() < 0.0)
        ground = std::make_unique<GroundShader>(*scene.ground, scene.bodies, camera);
    if (depth != nullptr) depth->assign(image.pixels.size(), std::numeric_limits<double>::infinity());

    const auto draw_tile = [&](int tx, int ty, Buffer& solid, Buffer& glass) {
        const Vec2 corner(tx * tile, ty * tile);
        const auto t = static_cast<std::size_t>(ty * bins.across + tx);
        solid.clear();
        glass.clear();
        bool any_glass = false;
        for (std::size_t i = bins.start[t]; i < bins.start[t + 1]; ++i) {
            if (looks.glass(bins.faces[i]))
                any_glass = true;
            else
                fill(drawn, bins.faces[i], corner, nullptr, solid);
        }
        for (std::size_t i = bins.start[t]; any_glass && i < bins.start[t + 1]; ++i)
            if (looks.glass(bins.faces[i])) fill(drawn, bins.faces[i], corner, &solid, glass);

        for (int y = 0; y < tile && ty * tile + y < image.height; ++y)
            for (int x = 0; x < tile && tx * tile + x < image.width; ++x) {
                std::array<Share, grid * grid> shares;
                int used = 0;
                for (int s = 0; s < grid * grid; ++s) {
                    const int sx = x * grid + s % grid, sy = y * grid + s / grid;
                    const auto at = static_cast<std::size_t>(sy * tile_samples + sx);
                    int k = 0;
                    while (k < used &&
                           (shares[k].solid != solid.face[at] || shares[k].glass != glass.face[at]))
                        ++k;
                    if (k == used) shares[used++] = {solid.face[at], glass.face[at], 0, Vec2::Zero()};
                    ++shares[k].count;
                    shares[k].sum += corner + Vec2((sx + 0.5) / grid, (sy + 0.5) / grid);
                }
                std::uint32_t& pixel = image.at(tx * tile + x, ty * tile + y);
                if (depth != nullptr) {
                    const auto middle =
                        static_cast<std::size_t>((y * grid + 1) * tile_samples + x * grid + 1);
                    (*depth)[static_cast<std::size_t>(&pixel - image.pixels.data())] =
                        std::min(solid.depth[middle], glass.depth[middle]);
                }
                if (used == 1 && shares[0].solid == none && shares[0].glass == none && !ground) continue;
                const Colour before = Colour::hex(pixel);
                Colour sum;
                for (int k = 0; k < used; ++k) {
                    const Share& share = shares[k];
                    const Vec2 place = share.sum / share.count;
                    Colour colour = before;
                    if (share.solid != none)
                        colour = looks.at(share.solid, place, before);
                    else if (ground)
                        colour = ground->at(place, before);
                    if (share.glass != none) colour = looks.at(share.glass, place, colour);
                    sum = sum + colour * (static_cast<double>(share.count) / (grid * grid));
                }
                pixel = sum.packed();
            }
    };
    parallel_for(
        static_cast<std::size_t>(bins.across * bins.down), 4, [&](std::size_t begin, std::size_t end) {
            Buffer solid, glass;
            for (std::size_t i = begin; i < end; ++i)
                draw_tile(static_cast<int>(i) % bins.across, static_cast<int>(i) / bins.across, solid, glass);
        });
}

}  // namespace archwright::picture
