// Pictures of one number a node, and the few filters that examination needs. Lengths are in nodes.
#pragma once

#include <cstddef>
#include <cstdint>
#include <vector>

namespace archwright::examine {

/// nu x nv numbers; node (i, j) at index i * nv + j.
template <class T>
struct Raster {
    int nu = 0, nv = 0;
    std::vector<T> a;

    Raster() = default;
    Raster(int nu_, int nv_, T value = T{})
        : nu(nu_), nv(nv_), a(static_cast<std::size_t>(nu_) * static_cast<std::size_t>(nv_), value) {}

    std::size_t size() const { return a.size(); }
    std::size_t index(int i, int j) const { return static_cast<std::size_t>(i) * nv + j; }
    bool has(int i, int j) const { return i >= 0 && j >= 0 && i < nu && j < nv; }
    T& at(int i, int j) { return a[index(i, j)]; }
    const T& at(int i, int j) const { return a[index(i, j)]; }
};
using Image = Raster<float>;
using Mask = Raster<char>;

/// Value between nodes, bilinear; the border's value beyond it.
float between(const Image& image, double i, double j);

/// Gaussian blur, standard deviation in nodes, cut at 3.5 of them; the border's value goes on beyond it.
Image blurred(const Image& image, double sigma);
/// Gaussian blur that sees the mask's nodes alone (normalised convolution, H. Knutsson and C.-F. Westin
/// 1993); 0 where none is within reach.
Image blurred(const Image& image, const Mask& mask, double sigma);

/// Distance in nodes to the nearest node that is not set, and which it is (P. Felzenszwalb and
/// D. Huttenlocher 2012, exact). Beyond the image nothing is set when `ends`, else everything is.
struct Distance {
    Raster<float> to;
    std::vector<std::int32_t> nearest;  ///< index of the nearest node not set; -1 beyond the image or none
};
Distance distance_inside(const Mask& mask, bool ends = true);

/// Greatest absolute value within a square of this half side, in nodes.
Image greatest_near(const Image& image, int reach);

/// Nodes not in the mask take the value of the nearest one that is.
void fill_nearest(Image& image, const Mask& mask);

Mask grown(const Mask& mask, double radius);
Mask shrunk(const Mask& mask, double radius);

/// Connected parts (8 neighbours), numbered from 0 in the order of their first node; -1 where not set.
struct Labels {
    Raster<std::int32_t> of;
    std::vector<std::size_t> sizes;
};
Labels parts_of(const Mask& mask);

/// Median of the image at the mask's nodes (0 for none), and of the absolute values times 1.4826: the robust
/// standard deviation of what lies round 0.
double median_in(const Image& image, const Mask& mask);
double robust_sd(const Image& image, const Mask& mask);

}  // namespace archwright::examine
