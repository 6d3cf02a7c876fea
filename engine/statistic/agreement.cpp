#include "engine/statistic/agreement.hpp"

#include <cmath>
#include <limits>

#include "engine/statistic/distribution.hpp"

namespace archwright::statistic {

Agreement agreement(std::span<const double> first, std::span<const double> second, double confidence) {
    Agreement out;
    const std::size_t n = std::min(first.size(), second.size());
    out.pairs = static_cast<int>(n);
    const auto count = static_cast<double>(n);
    double sum = 0.0, sum_one = 0.0, sum_two = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
        sum += first[i] - second[i];
        sum_one += first[i];
        sum_two += second[i];
    }
    const double mean = sum / count;
    double squares = 0.0, one = 0.0, two = 0.0, both = 0.0;
    for (std::size_t i = 0; i < n; ++i) {
        const double d = first[i] - second[i] - mean, a = first[i] - sum_one / count,
                     b = second[i] - sum_two / count;
        squares += d * d;
        one += a * a;
        two += b * b;
        both += a * b;
    }
    out.sd = std::sqrt(squares / (count - 1.0));
    const double t = student_t(confidence, count - 1.0);
    const double of_mean = t * out.sd / std::sqrt(count), of_limit = t * out.sd * std::sqrt(3.0 / count);
    const double way = normal_below(0.975) * out.sd;
    out.mean = {mean, mean - of_mean, mean + of_mean};
    out.low_limit = {mean - way, mean - way - of_limit, mean - way + of_limit};
    out.high_limit = {mean + way, mean + way - of_limit, mean + way + of_limit};
    out.correlation =
        one > 0.0 && two > 0.0 ? both / std::sqrt(one * two) : std::numeric_limits<double>::quiet_NaN();
    return out;
}

Repeatability repeatability(const std::vector<std::vector<double>>& groups) {
    Repeatability out;
    double squares = 0.0, sum = 0.0, count = 0.0;
    for (const std::vector<double>& group : groups) {
        if (group.size() < 2) continue;
        double mean = 0.0;
        for (const double value : group) mean += value;
        sum += mean;
        count += static_cast<double>(group.size());
        mean /= static_cast<double>(group.size());
        for (const double value : group) squares += (value - mean) * (value - mean);
        out.freedom += static_cast<double>(group.size() - 1);
        ++out.groups;
    }
    if (!(out.freedom > 0.0)) return out;
    out.mean = sum / count;
    out.tem = std::sqrt(squares / out.freedom);
    out.tem_percent = out.mean > 0.0 ? 100.0 * out.tem / out.mean : std::numeric_limits<double>::quiet_NaN();
    out.coefficient = normal_below(0.975) * std::sqrt(2.0) * out.tem;
    return out;
}

}  // namespace archwright::statistic
