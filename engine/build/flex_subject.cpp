#include "engine/build/flex_subject.hpp"

namespace archwright::build {

flex::BenchSubject bench_subject(const Surfaced& surfaced, const Shelled& shelled,
                                 const std::optional<double>& body_mass_kg) {
    flex::BenchSubject subject;
    subject.shell = &shelled.shell;
    subject.rule = &surfaced.rule;
    const design::Material& material = shelled.material;
    const double scale = material.calibration ? material.calibration->modulus_scale : 1.0;
    subject.lamina =
        flex::Lamina::isotropic(scale * material.modulus_mpa.value, material.poisson_ratio.value);
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
