#include "engine/mesh/predicates.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace archwright {

namespace {

// Half an ulp of 1, the rounding unit of Shewchuk's bounds.
constexpr double unit = 0.5 * std::numeric_limits<double>::epsilon();

/// x + y without loss: high is the rounded sum, low what rounding dropped (Knuth).
inline void two_sum(double a, double b, double& high, double& low) {
    high = a + b;
    const double b_part = high - a;
    const double a_part = high - b_part;
    low = (a - a_part) + (b - b_part);
}

/// a * b without loss (Dekker, Veltkamp's split; fused multiply-add is not on every processor we run on).
inline void two_product(double a, double b, double& high, double& low) {
    constexpr double splitter = 134217729.0;  // 2^27 + 1
    high = a * b;
    const double ca = splitter * a;
    const double a_high = ca - (ca - a);
    const double a_low = a - a_high;
    const double cb = splitter * b;
    const double b_high = cb - (cb - b);
    const double b_low = b - b_high;
    low = a_low * b_low - (((high - a_high * b_high) - a_low * b_high) - a_high * b_low);
}

/// A number held exactly as a sum of doubles that do not overlap, smallest first, zeros left out; at most N.
template <int N>
struct Expansion {
    std::array<double, N> term;
    int size = 0;

    void push(double value) {
        if (value != 0.0) term[static_cast<std::size_t>(size++)] = value;
    }
    /// Adds a double (Shewchuk's grow-expansion). Room for one more term is needed.
    void add(double value) {
        double sum = value;
        int kept = 0;
        for (int i = 0; i < size; ++i) {
            double high = 0.0;
            double low = 0.0;
            two_sum(sum, term[static_cast<std::size_t>(i)], high, low);
            if (low != 0.0) term[static_cast<std::size_t>(kept++)] = low;
            sum = high;
        }
        size = kept;
        push(sum);
    }
    int sign() const {  // the last term outweighs all others together
        if (size == 0) return 0;
        return term[static_cast<std::size_t>(size - 1)] > 0.0 ? 1 : -1;
    }
};

using Difference = Expansion<2>;

Difference difference(double a, double b) {
    double high = 0.0;
    double low = 0.0;
    two_sum(a, -b, high, low);
    Difference result;
    result.push(low);
    result.push(high);
    return result;
}

/// Adds sign * x * y to `sum`.
template <int N, int A, int B>
void add_product(Expansion<N>& sum, const Expansion<A>& x, const Expansion<B>& y, double sign) {
    for (int i = 0; i < x.size; ++i)
        for (int j = 0; j < y.size; ++j) {
            double high = 0.0;
            double low = 0.0;
            two_product(sign * x.term[static_cast<std::size_t>(i)], y.term[static_cast<std::size_t>(j)], high,
                        low);
            sum.add(low);
            sum.add(high);
        }
}

/// a * d - b * c. Four products of at most 2 terms by 2, twice: 16 terms.
Expansion<16> minor(const Difference& a, const Difference& b, const Difference& c, const Difference& d) {
    Expansion<16> result;
    add_product(result, a, d, 1.0);
    add_product(result, b, c, -1.0);
    return result;
}

int orient2d_exact(const Vec2& a, const Vec2& b, const Vec2& c) {
    return minor(difference(a.x(), c.x()), difference(a.y(), c.y()), difference(b.x(), c.x()),
                 difference(b.y(), c.y()))
        .sign();
}

// The determinant of the rows a - d, b - d, c - d. Three times 2 by 16 terms, each product two: 192.
int determinant_exact(const Vec3& a, const Vec3& b, const Vec3& c, const Vec3& d) {
    std::array<std::array<Difference, 3>, 3> m;
    for (int k = 0; k < 3; ++k) {
        const auto column = static_cast<std::size_t>(k);
        m[0][column] = difference(a[k], d[k]);
        m[1][column] = difference(b[k], d[k]);
        m[2][column] = difference(c[k], d[k]);
    }
    Expansion<192> sum;
    add_product(sum, m[0][2], minor(m[1][0], m[1][1], m[2][0], m[2][1]), 1.0);
    add_product(sum, m[1][2], minor(m[2][0], m[2][1], m[0][0], m[0][1]), 1.0);
    add_product(sum, m[2][2], minor(m[0][0], m[0][1], m[1][0], m[1][1]), 1.0);
    return sum.sign();
}

inline int sign_of(double value) {
    return value > 0.0 ? 1 : value < 0.0 ? -1 : 0;
}

}  // namespace

int orient2d(const Vec2& a, const Vec2& b, const Vec2& c) {
    constexpr double bound = (3.0 + 16.0 * unit) * unit;  // Shewchuk's ccwerrboundA
    const double left = (a.x() - c.x()) * (b.y() - c.y());
    const double right = (a.y() - c.y()) * (b.x() - c.x());
    const double determinant = left - right;
    if (std::abs(determinant) > bound * (std::abs(left) + std::abs(right))) return sign_of(determinant);
    return orient2d_exact(a, b, c);
}

int orient3d(const Vec3& a, const Vec3& b, const Vec3& c, const Vec3& d) {
    constexpr double bound = (7.0 + 56.0 * unit) * unit;  // Shewchuk's o3derrboundA
    const double adx = a.x() - d.x(), ady = a.y() - d.y(), adz = a.z() - d.z();
    const double bdx = b.x() - d.x(), bdy = b.y() - d.y(), bdz = b.z() - d.z();
    const double cdx = c.x() - d.x(), cdy = c.y() - d.y(), cdz = c.z() - d.z();
    const double bc = bdx * cdy, cb = cdx * bdy;
    const double ca = cdx * ady, ac = adx * cdy;
    const double ab = adx * bdy, ba = bdx * ady;
    const double determinant = adz * (bc - cb) + bdz * (ca - ac) + cdz * (ab - ba);
    const double permanent = (std::abs(bc) + std::abs(cb)) * std::abs(adz) +
                             (std::abs(ca) + std::abs(ac)) * std::abs(bdz) +
                             (std::abs(ab) + std::abs(ba)) * std::abs(cdz);
    // The determinant is positive when d lies below a, b, c; ours counts the outward side.
    if (std::abs(determinant) > bound * permanent) return -sign_of(determinant);
    if (permanent == 0.0) return 0;  // every product has a factor that is exactly zero
    return -determinant_exact(a, b, c, d);
}

}  // namespace archwright
