#include "engine/mark/ground.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <unordered_map>

#include "engine/base/parallel.hpp"
#include "engine/mark/lab.hpp"

namespace archwright::mark {

namespace {

constexpr double blur_mm = 0.6;        // standard deviation: half a pencil line
constexpr double ground_mm = 10.0;     // of the first window: wide against ink
constexpr double finer_mm = 7.0;       // of those after it, which ink no longer pulls: narrow against light
constexpr double stroke_mm = 6.0;      // what is dark over a wider window than this is shade
constexpr double cluster_mm = 3.0;     // plaster is summed in cells of this size
constexpr double blend_mm = 3.0;       // between the fits of neighbouring cells
constexpr double window_sigmas = 2.7;  // standard deviations at which a window ends
constexpr double kept = 2.2;           // standard deviations within which a point counts as plaster
constexpr int passes = 4;
constexpr double slope_prior = 0.02;  // ridge of slopes against the window's weight
constexpr double scarce = 0.15;       // share of plaster below which a window is doubled
constexpr double colour_floor = 0.3;  // variance no camera is better than, CIELAB squared
constexpr double normal_scale = 0.4;  // change of normal that counts like ground_mm of way
constexpr int unknowns = 7;           // constant, three of place, three of normal
using Row = Eigen::Matrix<double, unknowns, 1>;
using Fit = Eigen::Matrix<double, unknowns, 3>;

constexpr std::size_t grain = 2048;

std::vector<Vec3> evened(const Skin& skin, std::vector<Vec3> colour) {
    const auto weight = [](double d2) { return std::exp(-d2 / (2.0 * blur_mm * blur_mm)); };
    // one pass over the nearest neighbours spreads by less than the blur on a fine mesh: as often as it takes
    double spread = 0.0, whole = 0.0;
    for (std::size_t i = 0; i < skin.size(); i += 16) {
        const auto p = static_cast<std::int32_t>(i);
        double sum = skin.area(p), moment = 0.0;
        for (const std::int32_t q : skin.neighbours(p)) {
            const double d2 = (skin.place(p) - skin.place(q)).squaredNorm();
            sum += skin.area(q) * weight(d2);
            moment += skin.area(q) * weight(d2) * 0.5 * d2;
        }
        if (sum > 0.0) {
            spread += moment / sum;
            whole += 1.0;
        }
    }
    const double once = whole > 0.0 ? spread / whole : 0.0;
    const int times =
        once > 0.0 ? std::clamp(static_cast<int>(std::lround(blur_mm * blur_mm / once)), 1, 12) : 1;
    std::vector<Vec3> next(colour.size());
    for (int k = 0; k < times; ++k) {
        parallel_for(colour.size(), grain, [&](std::size_t begin, std::size_t end) {
            for (std::size_t i = begin; i < end; ++i) {
                const auto p = static_cast<std::int32_t>(i);
                double sum = skin.area(p);
                Vec3 mean = sum * colour[i];
                for (const std::int32_t q : skin.neighbours(p)) {
                    const double w = skin.area(q) * weight((skin.place(p) - skin.place(q)).squaredNorm());
                    sum += w;
                    mean += w * colour[static_cast<std::size_t>(q)];
                }
                next[i] = sum > 0.0 ? Vec3(mean / sum) : colour[i];
            }
        });
        colour.swap(next);
    }
    return colour;
}

/// Plaster summed over a small piece of the surface that faces one way.
struct Cluster {
    Vec3 place = Vec3::Zero(), normal = Vec3::Zero(), colour = Vec3::Zero();
    double weight = 0.0, whole = 0.0;  ///< area of plaster, and with ink
};

/// Cells of a grid, by their integer coordinates.
class Cells {
  public:
    explicit Cells(double size) : size_(size) {}
    static std::int64_t key(std::int64_t x, std::int64_t y, std::int64_t z) {
        constexpr std::int64_t offset = 1 << 20, bits = 21;
        return ((x + offset) << (2 * bits)) | ((y + offset) << bits) | (z + offset);
    }
    std::array<std::int64_t, 3> of(const Vec3& p) const {
        return {static_cast<std::int64_t>(std::floor(p.x() / size_)),
                static_cast<std::int64_t>(std::floor(p.y() / size_)),
                static_cast<std::int64_t>(std::floor(p.z() / size_))};
    }
    void put(const Vec3& p, std::int32_t item) {
        const auto c = of(p);
        cells_[key(c[0], c[1], c[2])].push_back(item);
    }
    /// Calls visit(item) for everything in the cells within `radius`, in a fixed order.
    template <class Visit>
    void near(const Vec3& p, double radius, Visit&& visit) const {
        const auto low = of(p - Vec3::Constant(radius)), high = of(p + Vec3::Constant(radius));
        for (std::int64_t x = low[0]; x <= high[0]; ++x)
            for (std::int64_t y = low[1]; y <= high[1]; ++y)
                for (std::int64_t z = low[2]; z <= high[2]; ++z)
                    if (const auto at = cells_.find(key(x, y, z)); at != cells_.end())
                        for (const std::int32_t item : at->second) visit(item);
    }

  private:
    double size_;
    std::unordered_map<std::int64_t, std::vector<std::int32_t>> cells_;
};

Row row_of(const Vec3& place, const Vec3& normal, const Cluster& about) {
    Row row;
    row[0] = 1.0;
    row.segment<3>(1) = (place - about.place) / ground_mm;
    row.segment<3>(4) = (normal - about.normal) / normal_scale;
    return row;
}

/// Which cluster each point belongs to: a cell, and the side it faces.
struct Clustering {
    std::vector<std::int32_t> of_point;
    std::vector<Cluster> clusters;  ///< places and normals of the whole
};

Clustering clustering(const Skin& skin) {
    Clustering made;
    made.of_point.resize(skin.size());
    std::unordered_map<std::int64_t, std::int32_t> number;
    const Cells grid(cluster_mm);
    for (std::size_t i = 0; i < skin.size(); ++i) {
        const auto p = static_cast<std::int32_t>(i);
        const auto c = grid.of(skin.place(p));
        Eigen::Index axis = 0;
        skin.normal(p).cwiseAbs().maxCoeff(&axis);
        const std::int64_t facing = 2 * axis + (skin.normal(p)[axis] < 0.0 ? 1 : 0);
        // the cell's key leaves three bits at its top
        const std::int64_t key = Cells::key(c[0], c[1], 8 * c[2] + facing);
        const auto [at, fresh] = number.try_emplace(key, static_cast<std::int32_t>(made.clusters.size()));
        if (fresh) made.clusters.emplace_back();
        made.of_point[i] = at->second;
        Cluster& cluster = made.clusters[static_cast<std::size_t>(at->second)];
        cluster.place += skin.area(p) * skin.place(p);
        cluster.normal += skin.area(p) * skin.normal(p);
        cluster.whole += skin.area(p);
    }
    for (Cluster& cluster : made.clusters) {
        if (!(cluster.whole > 0.0)) continue;
        cluster.place /= cluster.whole;
        cluster.normal.normalize();
    }
    return made;
}

/// How much a cluster tells of another: near, and facing the same way.
double kinship(const Cluster& a, const Cluster& b, double sigma) {
    const double facing = a.normal.dot(b.normal);
    if (!(facing > 0.0)) return 0.0;
    return facing * std::exp(-(a.place - b.place).squaredNorm() / (2.0 * sigma * sigma));
}

/// The plaster's colour round each cluster as a linear function of place and normal.
std::vector<Fit> fits_of(const std::vector<Cluster>& clusters, const Cells& cells, double window_mm) {
    std::vector<Fit> fits(clusters.size(), Fit::Zero());
    parallel_for(clusters.size(), 64, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) {
            double sigma = window_mm;
            for (int attempt = 0; attempt < 3; ++attempt, sigma *= 2.0) {
                Eigen::Matrix<double, unknowns, unknowns> normal =
                    Eigen::Matrix<double, unknowns, unknowns>::Zero();
                Fit right = Fit::Zero();
                double weight = 0.0, whole = 0.0;
                cells.near(clusters[i].place, window_sigmas * sigma, [&](std::int32_t other) {
                    const Cluster& c = clusters[static_cast<std::size_t>(other)];
                    const double w = kinship(clusters[i], c, sigma);
                    whole += w * c.whole;
                    if (!(c.weight > 0.0) || !(w > 0.0)) return;
                    weight += w * c.weight;
                    const Row row = row_of(c.place, c.normal, clusters[i]);
                    normal.noalias() += (w * c.weight) * row * row.transpose();
                    right.noalias() += (w * c.weight) * row * c.colour.transpose();
                });
                if (weight < scarce * whole && attempt < 2) continue;
                if (!(weight > 0.0)) break;
                for (int k = 1; k < unknowns; ++k) normal(k, k) += slope_prior * weight;
                fits[i] = normal.ldlt().solve(right);
                break;
            }
        }
    });
    return fits;
}

/// The plaster's colour at every point: the fits of the clusters round it, blended.
std::vector<Vec3> ground_at(const Skin& skin, const std::vector<Cluster>& clusters,
                            const std::vector<Fit>& fits, const Cells& cells,
                            const std::vector<std::int32_t>& of_point) {
    std::vector<Vec3> ground(skin.size());
    parallel_for(skin.size(), grain, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) {
            const auto p = static_cast<std::int32_t>(i);
            Cluster here;
            here.place = skin.place(p);
            here.normal = skin.normal(p);
            Vec3 sum = Vec3::Zero();
            double weight = 0.0;
            cells.near(here.place, 2.0 * blend_mm, [&](std::int32_t other) {
                const auto c = static_cast<std::size_t>(other);
                const double w = kinship(here, clusters[c], blend_mm);
                if (!(w > 0.0)) return;
                sum += w * (fits[c].transpose() * row_of(here.place, here.normal, clusters[c]));
                weight += w;
            });
            const auto own = static_cast<std::size_t>(of_point[i]);
            ground[i] = weight > 0.0
                            ? Vec3(sum / weight)
                            : Vec3(fits[own].transpose() * row_of(here.place, here.normal, clusters[own]));
        }
    });
    return ground;
}

/// Mean of a colour over stroke_mm round each cluster, ink and all.
std::vector<Vec3> means_of(const Skin& skin, const Clustering& made, const Cells& cells,
                           const std::vector<Vec3>& colour) {
    std::vector<Vec3> sum(made.clusters.size(), Vec3::Zero());
    for (std::size_t i = 0; i < colour.size(); ++i)
        sum[static_cast<std::size_t>(made.of_point[i])] +=
            skin.area(static_cast<std::int32_t>(i)) * colour[i];
    std::vector<Vec3> mean(made.clusters.size(), Vec3::Zero());
    parallel_for(mean.size(), 64, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) {
            double weight = 0.0;
            cells.near(made.clusters[i].place, window_sigmas * stroke_mm, [&](std::int32_t other) {
                const auto c = static_cast<std::size_t>(other);
                const double w = kinship(made.clusters[i], made.clusters[c], stroke_mm);
                mean[i] += w * sum[c];
                weight += w * made.clusters[c].whole;
            });
            if (weight > 0.0) mean[i] /= weight;
        }
    });
    return mean;
}

double median_of(std::vector<double> values) {
    if (values.empty()) return 0.0;
    const auto at = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), at, values.end());
    return *at;
}

}  // namespace

Outcome<InkField> ink_field(const Skin& skin, Progress* progress) {
    const std::size_t n = skin.size();
    const auto stopped = [&](double fraction) {
        return progress != nullptr && !progress->report("Looking for ink", fraction);
    };
    const Fault cancelled{FaultKind::cancelled, "marks", "Cancelled.", {}};
    std::vector<Vec3> raw(n);
    for (std::size_t i = 0; i < n; ++i) raw[i] = lab(skin.mesh().colours[i]);
    const std::vector<Vec3> colour = evened(skin, raw);
    if (stopped(0.2)) return cancelled;

    Clustering made = clustering(skin);
    Cells coarse(ground_mm), fine(2.0 * blend_mm);
    for (std::size_t c = 0; c < made.clusters.size(); ++c) {
        coarse.put(made.clusters[c].place, static_cast<std::int32_t>(c));
        fine.put(made.clusters[c].place, static_cast<std::int32_t>(c));
    }
    std::vector<std::uint8_t> plaster(n, 1);
    std::vector<Vec3> ground, off(n);
    for (int pass = 0; pass < passes; ++pass) {
        for (Cluster& cluster : made.clusters) {
            cluster.colour = Vec3::Zero();
            cluster.weight = 0.0;
        }
        for (std::size_t i = 0; i < n; ++i) {
            if (plaster[i] == 0) continue;
            Cluster& cluster = made.clusters[static_cast<std::size_t>(made.of_point[i])];
            const double area = skin.area(static_cast<std::int32_t>(i));
            cluster.colour += area * colour[i];
            cluster.weight += area;
        }
        for (Cluster& cluster : made.clusters)
            if (cluster.weight > 0.0) cluster.colour /= cluster.weight;
        ground =
            ground_at(skin, made.clusters, fits_of(made.clusters, coarse, pass == 0 ? ground_mm : finer_mm),
                      fine, made.of_point);
        for (std::size_t i = 0; i < n; ++i) off[i] = colour[i] - ground[i];
        const std::vector<Vec3> shade = means_of(skin, made, coarse, off);
        std::vector<double> distance(n);
        for (std::size_t i = 0; i < n; ++i)
            distance[i] = (off[i] - shade[static_cast<std::size_t>(made.of_point[i])]).norm();
        constexpr double normal_mad = 1.4826;
        const double scale = normal_mad * median_of(distance);
        for (std::size_t i = 0; i < n; ++i) plaster[i] = distance[i] < kept * scale ? 1 : 0;
        if (stopped(0.2 + 0.7 * (pass + 1) / passes)) return cancelled;
    }

    Mat3 spread = Mat3::Zero();
    double count = 0.0;
    for (std::size_t i = 0; i < n; ++i)
        if (plaster[i] != 0) {
            spread += off[i] * off[i].transpose();
            count += 1.0;
        }
    const Mat3 inverse = (spread / std::max(count, 1.0) + colour_floor * Mat3::Identity()).inverse();
    InkField field;
    field.strength.assign(n, 0.0);
    std::vector<double> squared(n);
    for (std::size_t i = 0; i < n; ++i) {
        squared[i] = off[i].dot(inverse * off[i]);
        if (off[i][0] < 0.0) field.strength[i] = std::sqrt(squared[i]);
    }
    // mottled places (skin between the toes) need more: their own spread against the whole cast's
    std::vector<double> sum(made.clusters.size(), 0.0), weight(made.clusters.size(), 0.0);
    double all = 0.0, whole = 0.0;
    for (std::size_t i = 0; i < n; ++i)
        if (plaster[i] != 0) {
            const auto c = static_cast<std::size_t>(made.of_point[i]);
            const double area = skin.area(static_cast<std::int32_t>(i));
            sum[c] += area * squared[i];
            weight[c] += area;
            all += area * squared[i];
            whole += area;
        }
    const double usual = whole > 0.0 ? all / whole : 1.0;
    std::vector<double> louder(made.clusters.size(), 1.0);
    parallel_for(made.clusters.size(), 64, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) {
            double s = 0.0, w = 0.0;
            coarse.near(made.clusters[i].place, 2.0 * ground_mm, [&](std::int32_t other) {
                const auto c = static_cast<std::size_t>(other);
                const double k = kinship(made.clusters[i], made.clusters[c], ground_mm);
                s += k * sum[c];
                w += k * weight[c];
            });
            if (w > 0.0 && usual > 0.0) louder[i] = std::max(1.0, std::sqrt(s / w / usual));
        }
    });
    field.off.resize(n);
    for (std::size_t i = 0; i < n; ++i) {
        constexpr double dark = 20.0;  // plaster in deep shadow: below it shares mean nothing
        field.strength[i] /= louder[static_cast<std::size_t>(made.of_point[i])];
        field.off[i] = (raw[i] - ground[i]) / std::max(ground[i][0], dark);
    }
    return field;
}

}  // namespace archwright::mark
