#include "engine/build/flex_subject.hpp"

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

}  // namespace archwright::build
