#include "engine/flex/factor.hpp"

#include <cholmod.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

extern "C" void omp_set_max_active_levels(int);  // of OpenMP, which CHOLMOD is linked with

namespace archwright::flex {

namespace {

/// CHOLMOD shares every little loop of a factor out to four threads, whatever the machine has, and waits for
/// them hundreds of thousands of times: alone it takes half as long. OpenMP keeps this for each thread.
void one_thread() {
    omp_set_max_active_levels(0);
}

/// Of a held freedom, where its stiffness is none: any number will do.
constexpr double least_diagonal = 1e-6;

Fault no_memory_to_flex() {
    return Fault{FaultKind::internal, "flex",
                 "There is not enough memory to flex this shell. Take larger elements.", std::nullopt};
}

Fault gives_way(const cholmod_factor& factor, std::size_t size) {
    const auto* order = static_cast<const std::int32_t*>(factor.Perm);
    return Fault{FaultKind::input, "flex",
                 "The shell gives way without resistance at point " +
                     std::to_string(order[std::min(factor.minor, size - 1)] / 6) +
                     ": support it, or mesh it anew.",
                 std::nullopt};
}

}  // namespace

struct Factor::Inside {
    cholmod_common common{};
    cholmod_factor* factor = nullptr;
    cholmod_factor* indefinite = nullptr;
    bool past_definite = false;  ///< `indefinite` is what is solved by
    BlockPattern pattern;
    std::vector<double> values;
    std::vector<char> fixed;
    int count = 0;

    Inside() {
        cholmod_start(&common);
        common.print = 0;
        common.supernodal = CHOLMOD_SUPERNODAL;
        common.final_ll = 1;
        common.nmethods = 1;
        common.method[0].ordering = CHOLMOD_GIVEN;
        common.postorder = 1;
        common.quick_return_if_not_posdef = 1;
    }
    ~Inside() {
        if (factor != nullptr) cholmod_free_factor(&factor, &common);
        if (indefinite != nullptr) cholmod_free_factor(&indefinite, &common);
        cholmod_finish(&common);
    }
    Inside(const Inside&) = delete;
    Inside& operator=(const Inside&) = delete;

    void set(const Stiffness& stiffness, const std::vector<PointStiffness>& added,
             const std::vector<char>& held) {
        values = stiffness.values;
        fixed = held;
        for (const PointStiffness& spring : added)
            for (int c = 0; c < 6; ++c) {
                double* value = values.data() + pattern.place(spring.point, spring.point, c);
                for (int r = c; r < 6; ++r) value[r - c] += spring.block(r, c);
            }
        const auto& column = pattern.column();
        const auto& rows = pattern.rows();
        for (int c = 0; c < pattern.size(); ++c)
            for (std::int32_t at = column[c] + 1; at < column[c + 1]; ++at)
                if (fixed[c] || fixed[rows[at]]) values[at] = 0.0;
        // the diagonal stays: it is of its like; held ones may have been made negative by a state
        for (int c = 0; c < pattern.size(); ++c)
            if (fixed[c]) values[column[c]] = std::max(std::abs(values[column[c]]), least_diagonal);
    }

    cholmod_sparse matrix() {
        cholmod_sparse view{};
        view.nrow = view.ncol = static_cast<std::size_t>(pattern.size());
        view.nzmax = pattern.values();
        view.p = const_cast<std::int32_t*>(pattern.column().data());
        view.i = const_cast<std::int32_t*>(pattern.rows().data());
        view.x = values.data();
        view.stype = -1;
        view.itype = CHOLMOD_INT;
        view.xtype = CHOLMOD_REAL;
        view.dtype = CHOLMOD_DOUBLE;
        view.sorted = 1;
        view.packed = 1;
        return view;
    }

    /// Least-degree order of the points, spread over their freedoms.
    std::vector<std::int32_t> order() {
        const int points = pattern.points();
        std::vector<std::int32_t> first{0}, row;
        for (int p = 0; p < points; ++p) {
            row.push_back(p);
            for (const std::int32_t other : pattern.below(p)) row.push_back(other);
            first.push_back(static_cast<std::int32_t>(row.size()));
        }
        cholmod_sparse graph{};
        graph.nrow = graph.ncol = static_cast<std::size_t>(points);
        graph.nzmax = row.size();
        graph.p = first.data();
        graph.i = row.data();
        graph.stype = -1;
        graph.itype = CHOLMOD_INT;
        graph.xtype = CHOLMOD_PATTERN;
        graph.dtype = CHOLMOD_DOUBLE;
        graph.sorted = 1;
        graph.packed = 1;
        std::vector<std::int32_t> of_points(points);
        for (int p = 0; p < points; ++p) of_points[p] = p;
        cholmod_amd(&graph, nullptr, 0, of_points.data(), &common);  // failing, the points stay as they came
        std::vector<std::int32_t> of_freedoms;
        of_freedoms.reserve(6 * static_cast<std::size_t>(points));
        for (const std::int32_t p : of_points)
            for (int c = 0; c < 6; ++c) of_freedoms.push_back(freedom(p, c));
        return of_freedoms;
    }
};

Factor::Factor(const BlockPattern& pattern) : inside_(std::make_unique<Inside>()) {
    inside_->pattern = pattern;
}
Factor::~Factor() = default;
Factor::Factor(Factor&&) noexcept = default;
Factor& Factor::operator=(Factor&&) noexcept = default;

Outcome<Done> Factor::factor(const Stiffness& stiffness, const std::vector<PointStiffness>& added,
                             const std::vector<char>& fixed) {
    one_thread();
    Inside& in = *inside_;
    in.set(stiffness, added, fixed);
    cholmod_sparse matrix = in.matrix();
    in.past_definite = false;
    if (in.factor == nullptr) {
        std::vector<std::int32_t> order = in.order();
        in.factor = cholmod_analyze_p(&matrix, order.data(), nullptr, 0, &in.common);
        if (in.factor == nullptr) return no_memory_to_flex();
    }
    const int good = cholmod_factorize(&matrix, in.factor, &in.common);
    ++in.count;
    if (!good || in.common.status < CHOLMOD_OK) return no_memory_to_flex();
    if (in.common.status == CHOLMOD_NOT_POSDEF || in.factor->minor < matrix.ncol)
        return gives_way(*in.factor, matrix.ncol);
    return Done{};
}

Outcome<int> Factor::factor_any(const Stiffness& stiffness, const std::vector<PointStiffness>& added,
                                const std::vector<char>& fixed) {
    auto definite = factor(stiffness, added, fixed);
    if (definite) return 0;
    if (definite.fault().kind != FaultKind::input) return definite.fault();
    Inside& in = *inside_;
    cholmod_sparse matrix = in.matrix();
    in.common.supernodal = CHOLMOD_SIMPLICIAL;
    in.common.final_ll = 0;
    if (in.indefinite == nullptr) {
        std::vector<std::int32_t> order = in.order();
        in.indefinite = cholmod_analyze_p(&matrix, order.data(), nullptr, 0, &in.common);
    }
    const int good = in.indefinite != nullptr && cholmod_factorize(&matrix, in.indefinite, &in.common);
    in.common.supernodal = CHOLMOD_SUPERNODAL;
    in.common.final_ll = 1;
    ++in.count;
    if (!good || in.common.status < CHOLMOD_OK) return no_memory_to_flex();
    if (in.common.status == CHOLMOD_NOT_POSDEF || in.indefinite->minor < matrix.ncol)
        return gives_way(*in.indefinite, matrix.ncol);
    in.past_definite = true;
    // the diagonal of D stands first in every column
    const auto* column = static_cast<const std::int32_t*>(in.indefinite->p);
    const auto* value = static_cast<const double*>(in.indefinite->x);
    int negative = 0;
    for (std::size_t c = 0; c < matrix.ncol; ++c) negative += value[column[c]] < 0.0;
    return negative;
}

Eigen::MatrixXd Factor::solve(const Eigen::MatrixXd& forces) const {
    one_thread();
    Inside& in = *inside_;
    Eigen::MatrixXd right = forces;
    for (int c = 0; c < in.pattern.size(); ++c)
        if (in.fixed[c]) right.row(c).setZero();
    cholmod_dense view{};
    view.nrow = static_cast<std::size_t>(right.rows());
    view.ncol = static_cast<std::size_t>(right.cols());
    view.nzmax = view.nrow * view.ncol;
    view.d = view.nrow;
    view.x = right.data();
    view.xtype = CHOLMOD_REAL;
    view.dtype = CHOLMOD_DOUBLE;
    cholmod_dense* solved =
        cholmod_solve(CHOLMOD_A, in.past_definite ? in.indefinite : in.factor, &view, &in.common);
    if (solved == nullptr)  // no memory: the residual will tell
        return Eigen::MatrixXd::Zero(forces.rows(), forces.cols());
    Eigen::MatrixXd freedoms = Eigen::Map<const Eigen::MatrixXd>(static_cast<const double*>(solved->x),
                                                                 forces.rows(), forces.cols());
    cholmod_free_dense(&solved, &in.common);
    return freedoms;
}

int Factor::factored() const {
    return inside_->count;
}

double Factor::fill() const {
    return inside_->factor == nullptr ? 0.0 : static_cast<double>(inside_->factor->xsize);
}

}  // namespace archwright::flex
