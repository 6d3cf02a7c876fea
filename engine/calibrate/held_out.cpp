#include "engine/calibrate/held_out.hpp"

#include <cmath>
#include <vector>

namespace archwright::calibrate {

namespace {

/// Squares over noise of the device's readings when its own modulus is e^own times the others'.
double left_of(const FitInput& all, int device, const Fit& others, double own) {
    double sum = 0.0;
    const auto series = [&](const FitLoading& one, const std::vector<double>& load,
                            const std::vector<double>& measured, bool slide, double noise) {
        std::vector<double> left;
        double mean = 0.0;
        for (std::size_t i = 0; i < load.size(); ++i) {
            const Response::At at = others.at(*one.response, load[i], std::exp(own));
            left.push_back(measured[i] - (slide ? at.slide_mm : at.deflection_mm));
            mean += left.back() / static_cast<double>(load.size());
        }
        for (const double mm : left) sum += (mm - mean) * (mm - mean) / (noise * noise);
    };
    for (const FitLoading& one : all.loadings) {
        if (one.device != device) continue;
        series(one, one.load, one.deflection, false, others.noise_mm);
        series(one, one.slide_load, one.slide, true, others.slide_noise_mm);
    }
    return sum;
}

}  // namespace

Outcome<HeldOut> hold_out(const FitInput& all, int device, bool spread) {
    FitInput input = all;
    input.loadings.clear();
    for (FitLoading one : all.loadings) {
        if (one.device == device) continue;
        if (one.device > device) --one.device;
        input.loadings.push_back(std::move(one));
    }
    --input.devices;
    input.spread = spread;
    const auto others = fit(input);
    if (!others) return others.fault();
    // by golden section: the table is smooth, but not convex everywhere
    const double golden = 0.5 * (std::sqrt(5.0) - 1.0);
    double low = std::log(least_scale), high = std::log(most_scale);
    for (int i = 0; i < 60; ++i) {
        const double a = high - golden * (high - low), b = low + golden * (high - low);
        if (left_of(all, device, *others, a) < left_of(all, device, *others, b))
            high = b;
        else
            low = a;
    }
    const double own = 0.5 * (low + high), step = 0.01;
    const double bend =
        (left_of(all, device, *others, own + step) + left_of(all, device, *others, own - step) -
         2.0 * left_of(all, device, *others, own)) /
        (step * step);
    HeldOut held;
    held.share = std::expm1(own);
    const double expected = std::log1p(others->prediction_share), normal = 1.96;
    const double noise = bend > 0.0 ? normal * std::sqrt(2.0 / bend) : 0.0;
    held.within = std::expm1(std::hypot(expected, noise));
    held.inside = std::abs(own) <= std::hypot(expected, noise);
    return held;
}

}  // namespace archwright::calibrate
