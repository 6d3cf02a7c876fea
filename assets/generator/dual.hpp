// A number that carries its own gradient (forward-mode differentiation in three variables).
#pragma once

#include <cmath>

#include "engine/base/vec.hpp"

namespace archwright::generator {

/// value + gradient with respect to x, y, z. The field of the foot is written once for double and Dual.
struct Dual {
    double v = 0.0;
    double x = 0.0, y = 0.0, z = 0.0;

    Dual() = default;
    Dual(double value) : v(value) {}  // NOLINT(google-explicit-constructor)
    Dual(double value, double dx, double dy, double dz) : v(value), x(dx), y(dy), z(dz) {}

    Vec3 gradient() const { return {x, y, z}; }
    /// The chain rule: a function of this number with value f and derivative d.
    Dual chain(double f, double d) const { return {f, d * x, d * y, d * z}; }
};

inline Dual operator+(const Dual& a, const Dual& b) {
    return {a.v + b.v, a.x + b.x, a.y + b.y, a.z + b.z};
}
inline Dual operator-(const Dual& a, const Dual& b) {
    return {a.v - b.v, a.x - b.x, a.y - b.y, a.z - b.z};
}
inline Dual operator-(const Dual& a) {
    return {-a.v, -a.x, -a.y, -a.z};
}
inline Dual operator*(const Dual& a, const Dual& b) {
    return {a.v * b.v, a.v * b.x + b.v * a.x, a.v * b.y + b.v * a.y, a.v * b.z + b.v * a.z};
}
inline Dual operator*(double a, const Dual& b) {
    return {a * b.v, a * b.x, a * b.y, a * b.z};
}
inline Dual operator*(const Dual& a, double b) {
    return b * a;
}
inline Dual operator+(const Dual& a, double b) {
    return {a.v + b, a.x, a.y, a.z};
}
inline Dual operator+(double a, const Dual& b) {
    return b + a;
}
inline Dual operator-(const Dual& a, double b) {
    return {a.v - b, a.x, a.y, a.z};
}
inline Dual operator-(double a, const Dual& b) {
    return {a - b.v, -b.x, -b.y, -b.z};
}

inline double value(double a) {
    return a;
}
inline double value(const Dual& a) {
    return a.v;
}
inline double chain(double, double f, double) {
    return f;
}
inline Dual chain(const Dual& a, double f, double d) {
    return a.chain(f, d);
}

/// Square root, sine and cosine of either kind of number.
template <class T>
T root(const T& a) {
    const double r = std::sqrt(value(a));
    return chain(a, r, 0.5 / r);
}
template <class T>
T sine(const T& a) {
    return chain(a, std::sin(value(a)), std::cos(value(a)));
}
template <class T>
T cosine(const T& a) {
    return chain(a, std::cos(value(a)), -std::sin(value(a)));
}

}  // namespace archwright::generator
