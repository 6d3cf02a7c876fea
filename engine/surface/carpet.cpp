#include "engine/surface/carpet.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "engine/base/parallel.hpp"
#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/surface/carpet_fit.hpp"
#include "engine/surface/patch.hpp"

namespace archwright::surface {

namespace {

Fault carpet_fault(FaultKind kind, std::string message, std::optional<Vec3> where = std::nullopt) {
    return {kind, "carpet", std::move(message), where};
}

Fault cancelled() {
    return carpet_fault(FaultKind::cancelled, "Cancelled while the carpet was laid.");
}

// Stretch and curvature of the surface inside the trim line, on a grid.
void examine_surface(const SplineSurface& surface, const Outline& trim, CarpetReport& report) {
    constexpr double apart_mm = 1.5;
    const int nu = std::max(2, static_cast<int>(surface.u.length / apart_mm)),
              nv = std::max(2, static_cast<int>(surface.v.length / apart_mm));
    struct Row {
        double low = 1e300, high = 0.0, curvature = 0.0;
        int turned = 0;
    };
    std::vector<Row> rows(static_cast<std::size_t>(nu));
    parallel_for(rows.size(), 4, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) {
            Row& row = rows[i];
            Vec3 before = Vec3::Zero();  // the neighbour's normal; zero: none
            for (int j = 0; j < nv; ++j) {
                const Vec2 uv(surface.u.length * (static_cast<double>(i) + 0.5) / nu,
                              surface.v.length * (j + 0.5) / nv);
                if (!trim.inside(uv)) {
                    before.setZero();
                    continue;
                }
                const SurfacePoint at = surface.first(uv);
                const double e = at.su.squaredNorm(), f = at.su.dot(at.sv), g = at.sv.squaredNorm();
                const double mean = 0.5 * (e + g), spread = std::hypot(0.5 * (e - g), f);
                row.low = std::min(row.low, std::sqrt(std::max(0.0, mean - spread)));
                row.high = std::max(row.high, std::sqrt(mean + spread));
                const Vec3 n = at.normal();
                if (before.dot(n) < 0.0) ++row.turned;
                before = n;
                row.curvature = std::max(row.curvature, -surface.curvatures(uv).k2);
            }
        }
    });
    report.stretch_low = 1e300;
    report.stretch_high = 0.0;
    for (const Row& row : rows) {
        report.stretch_low = std::min(report.stretch_low, row.low);
        report.stretch_high = std::max(report.stretch_high, row.high);
        report.curvature_max = std::max(report.curvature_max, row.curvature);
        report.flips += row.turned;
    }
}

// Why a carpet is not good enough, or empty.
std::string gate(const CarpetReport& report) {
    if (report.flips > 0) return "the surface turns over";
    if (report.fit_rms_mm > tolerance::fit_rms_stop_mm)
        return "it lies " + rounded(report.fit_rms_mm, 2) + " mm rms off the scan";
    if (report.method == "flattened" &&
        (report.stretch_low < tolerance::stretch_low || report.stretch_high > tolerance::stretch_high))
        return "it is stretched by " + rounded(report.stretch_low, 2) + " to " +
               rounded(report.stretch_high, 2);
    return {};
}

// Fits, finds the rule's own trim line and judges inside it. A fault here is a method that does not pass.
Outcome<Carpet> finish(Outcome<Start> start, const char* method, const TrimRule& rule,
                       const CarpetSettings& settings, Progress* progress) {
    if (!start) return start.fault();
    if (progress != nullptr && !progress->report("projecting", 0.45)) return cancelled();
    Carpet carpet = fit_carpet(std::move(start).value(), settings, progress);
    if (progress != nullptr && !progress->report("judging", 0.9)) return cancelled();
    carpet.report.method = method;
    const auto trim = find_trim(carpet.surface, rule);
    if (!trim) return trim.fault();
    auto report = assess(carpet, *trim);
    if (!report) return report.fault();
    carpet.report = std::move(report).value();
    if (const std::string why = gate(carpet.report); !why.empty())
        return carpet_fault(FaultKind::check,
                            "The carpet (" + std::string(method) + ") cannot be used: " + why +
                                ". Look at the cast for folds, double walls and loose pieces.",
                            carpet.report.fit_worst);
    return carpet;
}

}  // namespace

Outcome<CarpetReport> assess(const Carpet& carpet, const TrimLine& trim) {
    CarpetReport report;
    report.method = carpet.report.method;
    const CarpetEvidence& evidence = *carpet.evidence;
    const Outline outline(trim.curve);

    std::vector<char> inside(evidence.uv.size());
    parallel_for(inside.size(), 4096, [&](std::size_t begin, std::size_t end) {
        for (std::size_t i = begin; i < end; ++i) inside[i] = outline.inside(evidence.uv[i]);
    });
    double squares = 0.0;
    for (std::size_t i = 0; i < inside.size(); ++i) {
        if (!inside[i]) continue;
        ++report.points;
        squares += evidence.distance[i] * evidence.distance[i];
        if (evidence.distance[i] > report.fit_max_mm) {
            report.fit_max_mm = evidence.distance[i];
            report.fit_worst = evidence.position[i];
        }
    }
    if (report.points == 0)
        return carpet_fault(FaultKind::check, "There is no scanned surface inside the trim line.");
    report.fit_rms_mm = std::sqrt(squares / static_cast<double>(report.points));

    report.margin_mm = 1e300;
    Vec2 nearest = Vec2::Zero();
    for (const Vec2& q : evidence.border) {
        const double d = outline.inside(q) ? -outline.distance(q) : outline.distance(q);
        if (d < report.margin_mm) {
            report.margin_mm = d;
            nearest = q;
        }
    }
    report.margin_at = carpet.surface.point(nearest);
    for (std::size_t k = 0; k < evidence.holes.size(); ++k) {
        const Vec2& q = evidence.hole_places[k];
        if (outline.inside(q) ||
            outline.distance(q) < tolerance::trim_margin_mm + 0.5 * evidence.holes[k].diameter_mm)
            report.holes.push_back(evidence.holes[k]);
    }
    if (!report.holes.empty()) {
        double widest = 0.0;
        for (const HoleFilled& hole : report.holes) widest = std::max(widest, hole.diameter_mm);
        report.notes.push_back(std::to_string(report.holes.size()) +
                               " gaps of the scan were bridged by the fairest surface; the widest is " +
                               rounded(widest, 1) + " mm across.");
    }
    examine_surface(carpet.surface, outline, report);
    if (evidence.flattened_flips > 0)
        report.notes.push_back(
            std::to_string(evidence.flattened_flips) +
            " triangles were turned over in flattening; the surface inside the trim line has " +
            std::to_string(report.flips) + " such places.");
    if (report.margin_mm < tolerance::trim_margin_mm)
        return carpet_fault(FaultKind::check,
                            report.margin_mm < 0.0
                                ? "The trim line runs " + rounded(-report.margin_mm, 1) +
                                      " mm beyond the scanned surface at " + place(report.margin_at) +
                                      ". Lower the rule there, or scan further."
                                : "The scanned surface ends " + rounded(report.margin_mm, 1) +
                                      " mm beyond the trim line at " + place(report.margin_at) + "; " +
                                      rounded(tolerance::trim_margin_mm, 0) +
                                      " mm are needed. Lower the rule there, or scan further.",
                            report.margin_at);
    return report;
}

Outcome<Carpet> lay_carpet(const TriangleMesh& cast, const std::vector<char>& usable, const TrimRule& rule,
                           const CarpetSettings& settings, Progress* progress) {
    if (progress != nullptr && !progress->report("selecting the patch", 0.0)) return cancelled();
    std::vector<std::string> tried;
    std::optional<Fault> first;
    const auto note = [&](const Fault& trouble) {
        if (!first) first = trouble;
        tried.push_back(trouble.message);
    };
    if (!settings.only_gutter) {
        const auto patch = select_patch(cast, usable, rule);
        if (!patch) {
            note(patch.fault());
        } else {
            // a rough scan may fold when it is flattened: once more with more smoothing
            for (const int smoothing : {5, 25}) {
                if (progress != nullptr && !progress->report("flattening", 0.15)) return cancelled();
                auto carpet = finish(start_flattened(*patch, settings, smoothing), "flattened", rule,
                                     settings, progress);
                if (carpet) return carpet;
                if (carpet.fault().kind == FaultKind::cancelled) return carpet;
                note(carpet.fault());
            }
        }
    }
    if (!settings.allow_gutter && !settings.only_gutter) return *first;
    PatchSettings pieces;
    pieces.connected = false;
    const auto patch = select_patch(cast, usable, rule, pieces);
    if (!patch) return first ? *first : patch.fault();
    auto carpet = finish(start_gutter(*patch, rule, settings), "gutter", rule, settings, progress);
    if (!carpet) return first ? *first : carpet.fault();
    for (const std::string& why : tried) carpet->report.notes.push_back("Flattening was given up: " + why);
    return carpet;
}

}  // namespace archwright::surface
