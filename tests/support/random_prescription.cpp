#include "tests/support/random_prescription.hpp"

#include <cmath>

#include "engine/base/text.hpp"

namespace archwright::tests {

namespace {

void balance(generator::Random& random, foot::Balance& b, std::string& words) {
    const double what = random.uniform();
    if (what < 0.4) {
        b.method = foot::Balance::Method::heel_bisection;
        b.heel_deg = random.between(-4.0, 4.0);
        words += "; heel " + rounded(b.heel_deg, 1) + " deg";
    } else if (what < 0.5) {
        b.method = foot::Balance::Method::inverted_pour;
        b.pour_deg = random.between(10.0, 25.0);
        words += "; pour " + rounded(*b.pour_deg, 1) + " deg";
    }
    if (random.uniform() < 0.3) b.heel_height_mm = random.between(2.0, 20.0);
    if (random.uniform() < 0.4) {
        b.forefoot = foot::Balance::Forefoot::platform;
        b.intrinsic_deg = random.between(-4.0, 4.0);
        b.platform_length_mm = random.between(8.0, 16.0);
        b.platform_blend_mm = random.between(20.0, 50.0);
        words += "; platform " + rounded(b.intrinsic_deg, 1) + " deg";
    }
}

void dress(generator::Random& random, surface::Dress& d, std::string& words) {
    const auto sometimes = [&](double chance, double& value, double low, double high, const char* name) {
        if (random.uniform() >= chance) return;
        value = random.between(low, high);
        words += std::string("; ") + name + " " + rounded(value, 1);
    };
    sometimes(0.5, d.arch_fill_mm, 1.0, 6.0, "arch fill");
    sometimes(0.4, d.lateral_expansion_mm, 1.0, 4.0, "lateral expansion");
    sometimes(0.4, d.heel_expansion_medial_mm, 1.0, 4.0, "heel expansion, medial");
    sometimes(0.4, d.heel_expansion_lateral_mm, 1.0, 4.0, "heel expansion, lateral");
    sometimes(0.3, d.heel_expansion_posterior_mm, 1.0, 3.0, "heel expansion, posterior");
    sometimes(0.3, d.cover_mm, 1.5, 3.0, "cover");
    const bool medial = random.uniform() < 0.5;
    sometimes(0.5, (medial ? d.medial_skive : d.lateral_skive).depth_mm, 2.0, 6.0,
              medial ? "medial skive" : "lateral skive");
    if (random.uniform() < 0.2) {
        surface::SmoothZone zone;
        zone.name = "smooth";
        const Vec2 at{random.between(20.0, 90.0), random.between(-20.0, 10.0)};
        for (int k = 0; k < 6; ++k) {
            const double a = 1.0472 * k;
            zone.outline.push_back(at + Vec2(18.0 * std::cos(a), 12.0 * std::sin(a)));
        }
        d.smooth.push_back(zone);
        words += "; smoothed zone";
    }
}

void trim(generator::Random& random, design::Trim& t, std::string& words) {
    if (random.uniform() < 0.3) {
        t.first_ray_cutout.length_mm = random.between(8.0, 35.0);
        words += "; first-ray cut-out " + rounded(t.first_ray_cutout.length_mm, 1);
    }
    if (random.uniform() < 0.2) {
        t.lateral_flange.height_mm = random.between(12.0, 20.0);
        words += "; lateral flange " + rounded(t.lateral_flange.height_mm, 1);
    } else if (random.uniform() < 0.3) {
        t.lateral_scallop.depth_mm = random.between(3.0, 9.0);
        words += "; scallop " + rounded(t.lateral_scallop.depth_mm, 1);
    }
    if (random.uniform() < 0.3) {
        t.controls.push_back({random.between(0.3, 0.8), random.uniform() < 0.5, random.between(-3.0, 3.0)});
        words += "; a control point";
    }
}

// Reliefs and pads about a foot, overlapping now and then.
void features(generator::Random& random, std::vector<feature::Feature>& list, std::string& words) {
    using feature::Feature;
    const int count = static_cast<int>(random.between(1.0, 5.0));
    for (int k = 0; k < count; ++k) {
        Feature f;
        f.kind = static_cast<Feature::Kind>(random.next() % 5);
        f.name = "f" + std::to_string(k);
        const Vec2 at{random.between(10.0, 95.0), random.between(-20.0, 15.0)};
        f.points = {at};
        f.depth_mm = random.between(0.5, 3.0);
        f.height_mm = random.between(1.0, 4.0);
        f.width_mm = random.between(8.0, 24.0);
        f.length_mm = random.between(8.0, 30.0);
        f.turn_deg = random.between(-60.0, 60.0);
        f.flank_mm = random.between(4.0, 10.0);
        f.underside = random.uniform() < 0.5 ? Feature::Underside::follows : Feature::Underside::stays;
        if (f.kind == Feature::Kind::groove)
            f.points.push_back(at + Vec2{random.between(20.0, 40.0), random.between(-8.0, 8.0)});
        if (f.kind == Feature::Kind::metatarsal_dome || f.kind == Feature::Kind::metatarsal_bar) {
            f.points.clear();
            f.behind_mm = random.between(8.0, 20.0);
            f.length_mm = random.between(20.0, 35.0);
            f.width_mm = random.between(20.0, 40.0);
        }
        static const char* const kinds[] = {"groove", "cavity", "pad", "dome", "bar"};
        words += std::string("; ") + kinds[static_cast<int>(f.kind)] + " " +
                 rounded(f.relief() ? f.depth_mm : f.height_mm, 1) +
                 (f.underside == Feature::Underside::stays ? " stays" : "");
        list.push_back(f);
    }
}

// A post under the heel, under the front, or a flat contact.
void posts(generator::Random& random, feature::Posts& asked, std::string& words) {
    if (random.uniform() < 0.4) {
        feature::RearfootPost& rear = asked.rearfoot;
        rear.on = true;
        rear.angle_deg = random.between(-3.0, 5.0);
        rear.height_mm = random.between(1.5, 6.0);
        rear.width_mm = random.between(30.0, 38.0);
        rear.flare_deg = random.between(-8.0, 8.0);
        if (random.uniform() < 0.5) rear.motion_deg = random.between(1.0, 4.0);
        words += "; rearfoot post " + rounded(rear.angle_deg, 1) + " deg, motion " +
                 rounded(rear.motion_deg, 1) + ", " + rounded(rear.height_mm, 1);
    } else if (random.uniform() < 0.3) {
        asked.flat_contact.on = true;
        words += "; flat contact";
    }
    if (random.uniform() < 0.25) {
        asked.forefoot.on = true;
        asked.forefoot.length_mm = random.between(12.0, 18.0);
        words += "; forefoot post";
    }
}

}  // namespace

std::string prescribe_in_full(generator::Random& random, design::FootDesign& foot) {
    std::string words = prescribe(random, foot);
    features(random, foot.features, words);
    posts(random, foot.posts, words);
    if (random.uniform() < 0.2) {
        feature::Feature hole;
        hole.kind = feature::Feature::Kind::aperture;
        hole.name = "hole";
        hole.points = {Vec2{random.between(40.0, 90.0), random.between(-15.0, 10.0)}};
        hole.width_mm = random.between(6.0, 14.0);
        hole.length_mm = random.between(6.0, 20.0);
        words += "; aperture " + rounded(hole.width_mm, 1) + " x " + rounded(hole.length_mm, 1);
        foot.features.push_back(hole);
    }
    return words;
}

std::string prescribe(generator::Random& random, design::FootDesign& foot) {
    std::string words;
    balance(random, foot.balance, words);
    dress(random, foot.dress, words);
    trim(random, foot.trim, words);
    return words;
}

}  // namespace archwright::tests
