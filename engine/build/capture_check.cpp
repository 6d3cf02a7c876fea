#include "engine/build/capture_check.hpp"

#include <cmath>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"

namespace archwright::build {

Check check_capture(const design::Capture& capture, const foot::Balance& asked, const foot::Balanced& done) {
    using Forefoot = design::Capture::Forefoot;
    Check check = named_check("balance.capture", "Balance against capture");
    check.unit = "degrees";
    check.limit = tolerance::capture_conflict_deg;
    const bool platform = asked.forefoot == foot::Balance::Forefoot::platform;
    const double limit = tolerance::capture_conflict_deg;
    const auto stop = [&](double figure, const std::string& message) {
        check.verdict = Verdict::stop;
        check.figure = figure;
        check.message += (check.message.empty() ? "" : " ") + message;
    };
    const std::string turned = inclination(done.inversion_deg);
    if (capture.forefoot == Forefoot::corrected) {
        if (platform && std::abs(asked.intrinsic_deg) > 0.0)
            stop(asked.intrinsic_deg,
                 "The forefoot was corrected when the cast was taken; the platform would "
                 "correct it by " +
                     rounded(std::abs(asked.intrinsic_deg), 1) + " degrees once more.");
        if (std::abs(done.inversion_deg) > limit)
            stop(done.inversion_deg,
                 (check.message.empty()
                      ? "The forefoot was corrected when the cast was taken; the balance turns the cast "
                      : "Besides, the balance turns the cast ") +
                     turned + ", and the correction is undone by as much.");
    }
    if (capture.forefoot == Forefoot::pronated_on_purpose) {
        if (done.inversion_deg > limit)
            stop(done.inversion_deg, "The cast was taken pronated on purpose; the balance turns it " +
                                         turned + " and undoes that.");
        if (platform && done.platform_deg)
            stop(*done.platform_deg,
                 (check.message.empty()
                      ? "The cast was taken pronated on purpose; the platform brings the forefoot to "
                      : "Besides, the platform brings the forefoot to ") +
                     inclination(*done.platform_deg) + " and works on a forefoot that was moved.");
    }
    if (capture.forefoot == Forefoot::unknown && (platform || std::abs(done.inversion_deg) > limit))
        check.verdict = Verdict::look;
    if (check.verdict == Verdict::stop)
        check.message += " Ask who took the cast, or sign with the reason.";
    else
        check.message = capture.forefoot == Forefoot::unknown
                            ? "The job does not say what was done to the forefoot when the cast was taken "
                              "(capture.forefoot)."
                            : "The balance does not work against the way the cast was taken.";
    return check;
}

}  // namespace archwright::build
