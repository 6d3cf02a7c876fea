#include "engine/flex/factor.hpp"

#include <cholmod.h>

#include <algorithm>
#include <string>
#include <utility>

namespace archwright::flex {

struct Factor::Inside {
    cholmod_common common{};
    cholmod_factor* factor = nullptr;
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
        cholmod_finish(&common);
    }
    Inside(const Inside&) = delete;
    Inside& operator=(const Inside&) = delete;

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
    Inside& in = *inside_;
    in.values = stiffness.values;
    in.fixed = fixed;
    for (const PointStiffness& spring : added)
        for (int c = 0; c < 6; ++c) {
            double* value = in.values.data() + in.pattern.place(spring.point, spring.point, c);
            for (int r = c; r < 6; ++r) value[r - c] += spring.block(r, c);
        }
    const auto& column = in.pattern.column();
    const auto& rows = in.pattern.rows();
    for (int c = 0; c < in.pattern.size(); ++c)
        for (std::int32_t at = column[c] + 1; at < column[c + 1]; ++at)
            if (fixed[c] || fixed[rows[at]]) in.values[at] = 0.0;  // the diagonal stays: it is of its like

    const auto failed = [](FaultKind kind, const std::string& what) {
        return Fault{kind, "flex", what, std::nullopt};
    };
    cholmod_sparse matrix = in.matrix();
    if (in.factor == nullptr) {
        std::vector<std::int32_t> order = in.order();
        in.factor = cholmod_analyze_p(&matrix, order.data(), nullptr, 0, &in.common);
        if (in.factor == nullptr)
            return failed(FaultKind::internal,
                          "There is not enough memory to flex this shell. Take larger elements.");
    }
    const int good = cholmod_factorize(&matrix, in.factor, &in.common);
    ++in.count;
    if (!good || in.common.status < CHOLMOD_OK)
        return failed(FaultKind::internal,
                      "There is not enough memory to flex this shell. Take larger elements.");
    if (in.common.status == CHOLMOD_NOT_POSDEF || in.factor->minor < matrix.ncol) {
        const auto* order = static_cast<const std::int32_t*>(in.factor->Perm);
        const std::size_t at = std::min(in.factor->minor, matrix.ncol - 1);
        return failed(FaultKind::input, "The shell gives way without resistance at point " +
                                            std::to_string(order[at] / 6) + ": support it, or mesh it anew.");
    }
    return Done{};
}

Eigen::MatrixXd Factor::solve(const Eigen::MatrixXd& forces) const {
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
    cholmod_dense* solved = cholmod_solve(CHOLMOD_A, in.factor, &view, &in.common);
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
