// The programs of the views, in GLSL 3.30. Light and print are those of engine/picture (lighting.cpp,
// plan_print.cpp), so that screen and sheet look alike.
#pragma once

namespace archwright::editor::view::shaders {

inline constexpr const char* mesh_vertex = R"(
layout(location = 0) in vec3 p;
layout(location = 1) in vec3 n;
layout(location = 2) in float a;
uniform mat4 clip;
uniform float hand, lift;
uniform float nearer;  // of the depth's range
out vec3 at, normal;
out float value;
void main() {
    vec3 q = vec3(p.xy, p.z + lift);
    at = vec3(q.x, hand * q.y, q.z);
    normal = vec3(n.x, hand * n.y, n.z);
    value = a;
    gl_Position = clip * vec4(q, 1.0);
    gl_Position.z -= nearer * gl_Position.w;
}
)";

// kind 0: clay, 1: glass, 2: map, 3: plain
inline constexpr const char* mesh_fragment = R"(
in vec3 at, normal;
in float value;
out vec4 pixel;
uniform vec3 eye, right, up, forward, colour, board;
uniform float kind, ground, faded, orthographic;
uniform vec2 range;
uniform float iso, iso_offset, by_height;
uniform float limit, limit_side, hatch;  // hatched where (value - limit) * limit_side > 0; pixels along a row
uniform vec3 stop;
uniform sampler2D map;
float lit(vec3 n, float facing) {
    vec3 sky = normalize(up - 0.35 * forward);
    vec3 key = normalize(-0.62 * right + 0.62 * up - 0.62 * forward);
    vec3 left = normalize(-right - 0.25 * forward);
    vec3 fill = normalize(right - 0.15 * up - 0.3 * forward);
    float wrapped = max(0.0, (dot(n, key) + 0.30) / 1.30);
    float light = 0.40 + 0.16 * (0.5 + 0.5 * dot(n, sky)) + 0.52 * wrapped * wrapped;
    light += 0.084 * max(0.0, dot(n, fill)) + 0.08 * max(0.0, dot(n, left));
    light += 0.07 * pow(max(0.0, dot(n, normalize(key - forward))), 36.0);
    float edge = min(1.0, facing / 0.38);
    return light * (0.74 + 0.26 * edge * (2.0 - edge));
}
void main() {
    vec3 n = normalize(normal);
    vec3 view = orthographic > 0.5 ? -forward : normalize(eye - at);
    if (dot(n, view) < 0.0) n = -n;
    float facing = clamp(dot(n, view), 0.0, 1.0);
    float light = lit(n, facing);
    if (kind > 0.5 && kind < 1.5) {
        float alpha = 0.03 + 0.74 * pow(1.0 - facing, 1.9);
        pixel = vec4(colour * (0.5 + 0.5 * light), alpha);
        return;
    }
    vec3 c = colour * light;
    if (kind < 0.5) c *= mix(0.80, 1.0, smoothstep(0.0, 26.0, at.z - ground));
    if (kind > 1.5 && kind < 2.5) {
        float v = by_height > 0.5 ? at.z - ground : value;
        float t = clamp((v - range.x) / (range.y - range.x), 0.0, 1.0);
        vec3 m = texture(map, vec2((t * 255.0 + 0.5) / 256.0, 0.5)).rgb;
        float slope = fwidth(v) / max(length(fwidth(at)), 1e-5);
        c = m * clamp(0.22 + 0.86 * light, 0.78, 1.12);
        if (iso > 0.0 && v < range.y) {
            float f = (v + iso_offset) / iso;
            float w = fwidth(f);
            float k = 1.0 - smoothstep(0.0, 1.1, abs(fract(f - 0.5) - 0.5) / max(w, 1e-6));
            k *= (1.0 - smoothstep(0.3, 0.6, w)) * smoothstep(0.11, 0.225, slope / iso);
            c = mix(c, mix(vec3(0.06, 0.08, 0.10), vec3(1.0), step(0.52, t)), 0.30 * k);
        }
        if ((v - limit) * limit_side > 0.0) {
            float d = abs(fract((gl_FragCoord.x + gl_FragCoord.y) / hatch) - 0.5) * hatch * 0.7071;
            c = mix(mix(c, stop, 0.6), vec3(1.0), 0.9 * (1.0 - smoothstep(0.10, 0.18, d / hatch)));
        }
    }
    if (kind > 2.5) c = colour * (0.30 + 0.80 * light);
    if (faded > 0.0) {
        float grey = dot(c, vec3(0.3, 0.6, 0.1));
        c = mix(c, mix(vec3(grey), board, 0.45), faded);
    }
    pixel = vec4(c, 1.0);
}
)";

// the sole as its print, hill shading with contours
inline constexpr const char* print_fragment = R"(
in vec3 at, normal;
in float value;
out vec4 pixel;
uniform vec3 right, up, forward, colour;
uniform float ground, limit, line_width, by_height;
uniform vec2 range;
uniform sampler2D map;
float contour(float h, float step_mm, float width, float slope, float mm) {
    float rise = max(slope * mm, 1e-6);
    float away = abs(h / step_mm - floor(h / step_mm + 0.5)) * step_mm / rise;
    float crowded = clamp(1.5 - 3.0 * rise / step_mm, 0.0, 1.0);
    float even = clamp((slope - 0.004) / 0.012, 0.0, 1.0);
    return clamp(0.5 * width + 0.5 - away, 0.0, 1.0) * crowded * even;
}
uniform float mm_per_pixel;
void main() {
    float h = at.z - ground;
    if (h > limit) discard;
    vec3 n = normalize(normal);
    if (dot(n, forward) > 0.0) n = -n;
    float facing = clamp(-dot(n, forward), 0.0, 1.0);
    vec3 sun = normalize(-0.62 * right + 0.62 * up - 0.62 * forward);
    float light = clamp(dot(n, sun), 0.0, 1.0);
    float slope = length(n.xy) / max(abs(n.z), 1e-3);
    vec3 c;
    if (by_height > 0.5) {
        float t = clamp((h - range.x) / (range.y - range.x), 0.0, 1.0);
        c = texture(map, vec2((t * 255.0 + 0.5) / 256.0, 0.5)).rgb * clamp(0.72 + 0.46 * light, 0.78, 1.12);
    } else {
        float shade = 0.50 + 0.58 * light;
        c = colour * min(shade * (0.86 + 0.14 * min(1.0, facing / 0.4)), 1.12);
    }
    vec3 ink = by_height > 0.5 && h < 0.45 * range.y ? vec3(1.0) : vec3(0.078, 0.125, 0.165);
    float fine = contour(h, 2.0, 0.7 * line_width, slope, mm_per_pixel);
    float strong = contour(h, 10.0, 1.3 * line_width, slope, mm_per_pixel);
    pixel = vec4(mix(c, ink, max(0.22 * fine, 0.50 * strong)), 1.0);
}
)";

inline constexpr const char* ground_vertex = R"(
layout(location = 0) in vec2 p;
uniform mat4 clip;
uniform float ground;
out vec2 at;
void main() {
    at = p;
    gl_Position = clip * vec4(p, ground - 0.02, 1.0);
}
)";

inline constexpr const char* ground_fragment = R"(
in vec2 at;
out vec4 pixel;
uniform vec3 board, grid_10, grid_50, shadow_colour;
uniform vec2 middle;
uniform vec4 box;
uniform float amount;
uniform sampler2D shadow;
float grid(float s, float width) {
    vec2 f = at / s;
    vec2 d = abs(fract(f - 0.5) - 0.5) / fwidth(f);
    return 1.0 - smoothstep(width - 0.5, width + 0.5, min(d.x, d.y));
}
void main() {
    float r = length((at - middle) / vec2(1.25, 1.0));
    float fade = 1.0 - smoothstep(110.0, 235.0, r);
    vec3 c = mix(board, grid_10, 0.8 * grid(10.0, 0.5) * fade);
    c = mix(c, grid_50, grid(50.0, 0.6) * fade);
    vec2 u = (at - box.xy) / (box.zw - box.xy);
    float s = 0.0;
    if (all(greaterThan(u, vec2(0.0))) && all(lessThan(u, vec2(1.0)))) s = texture(shadow, u).r;
    c = mix(c, shadow_colour, amount * s * s);
    pixel = vec4(c, 1.0);
}
)";

inline constexpr const char* shadow_vertex = R"(
layout(location = 0) in vec3 p;
uniform vec4 box;
uniform float ground, lift;
out float h;
void main() {
    h = p.z + lift - ground;
    vec2 q = (p.xy - box.xy) / (box.zw - box.xy) * 2.0 - 1.0;
    gl_Position = vec4(q, 0.0, 1.0);
}
)";
inline constexpr const char* shadow_fragment = R"(
in float h;
out vec4 pixel;
void main() { pixel = vec4(vec3(exp(-max(h, 0.0) / 11.0)), 1.0); }
)";

inline constexpr const char* blur_vertex = R"(
layout(location = 0) in vec2 p;
out vec2 u;
void main() {
    u = p * 0.5 + 0.5;
    gl_Position = vec4(p, 0.0, 1.0);
}
)";
inline constexpr const char* blur_fragment = R"(
in vec2 u;
out vec4 pixel;
uniform sampler2D picture;
uniform vec2 way;
void main() {
    float s = 0.0, w = 0.0;
    for (int i = -8; i <= 8; ++i) {
        float k = exp(-float(i * i) / 28.0);
        s += k * texture(picture, u + way * float(i)).r;
        w += k;
    }
    pixel = vec4(vec3(s / w), 1.0);
}
)";

inline constexpr const char* line_vertex = R"(
layout(location = 0) in vec4 p;
layout(location = 1) in vec4 c;
out vec4 colour;
void main() {
    colour = c;
    gl_Position = p;
}
)";
inline constexpr const char* line_fragment = R"(
in vec4 colour;
out vec4 pixel;
void main() { pixel = colour; }
)";

}  // namespace archwright::editor::view::shaders
