#include "engine/build/flex_subject.hpp"

#include "engine/base/text.hpp"
#include "engine/base/units.hpp"

namespace archwright::build {

namespace {

double scale_of(const design::Material& material) {
    return material.calibration ? material.calibration->modulus_scale : 1.0;
}

flex::Lamina lamina_of(const design::Material& material) {
    return flex::Lamina::isotropic(scale_of(material) * material.modulus_mpa.value,
                                   material.poisson_ratio.value);
}

}  // namespace

flex::Sheet sheet_of(const design::Material& material) {
    if (!material.laminate) return flex::Sheet::of(lamina_of(material));
    const design::Laminate& stack = *material.laminate;
    const double scale = scale_of(material);
    flex::Laminate laminate;
    laminate.ply = {scale * stack.e1_mpa.value, scale * stack.e2_mpa.value, scale * stack.g12_mpa.value,
                    stack.nu12.value};
    // the file begins at the foot side, the theory below
    for (auto ply = stack.plies.rbegin(); ply != stack.plies.rend(); ++ply)
        laminate.plies.push_back({radians(ply->angle_deg), ply->thickness_mm});
    return flex::Sheet::of(laminate);
}

flex::BenchSubject bench_subject(const Surfaced& surfaced, const Shelled& shelled,
                                 const std::optional<double>& body_mass_kg) {
    flex::BenchSubject subject;
    subject.shell = &shelled.shell;
    subject.rule = &surfaced.rule;
    const design::Material& material = shelled.material;
    subject.lamina = lamina_of(material);
    if (material.laminate) subject.sheet = sheet_of(material);
    subject.strength_mpa = material.strength_mpa.value;
    if (body_mass_kg) subject.body_mass_kg = *body_mass_kg;
    for (const Part& part : shelled.parts) {
        if (part.kind != Part::Kind::post || part.body.posts.empty()) continue;
        surface::Post post = part.body.posts.front();
        for (Vec2& p : post.curve.control) p += part.origin;
        subject.stuck_posts.push_back(std::move(post));
    }
    return subject;
}

BenchWorth bench_worth(const Shelled& shelled, flex::LoadCase load, const std::string& caution) {
    BenchWorth worth{caution, {}};
    const std::optional<design::Calibration>& calibration = shelled.material.calibration;
    if (!calibration || calibration->devices == 0) return worth;  // a scale alone says nothing of its worth
    const std::string walls =
        rounded(calibration->wall_low_mm, 1) + " to " + rounded(calibration->wall_high_mm, 1) + " mm";
    // keys of loads stand apart by commas, and none is part of another
    if (calibration->loads.find(flex::key(load)) == std::string::npos) {
        worth.words += " (calibrated by " + calibration->loads + ", not by this load)";
        return worth;
    }
    if (!calibration->covers_wall(shelled.rigidity.base_mm)) {
        worth.words += " (calibrated on walls of " + walls + " only)";
        return worth;
    }
    worth.share = calibration->interval_percent / 100.0;
    const std::string comparison = "for comparison only";
    const std::string calibrated = "calibrated on " + std::to_string(calibration->devices) + " devices of " +
                                   walls + ", 95 % interval " + rounded(calibration->interval_percent, 0) +
                                   " %";
    if (const std::size_t at = worth.words.find(comparison); at != std::string::npos)
        worth.words.replace(at, comparison.size(), calibrated);
    else
        worth.words += ", " + calibrated;
    return worth;
}

}  // namespace archwright::build
