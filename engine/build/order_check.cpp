#include "engine/build/order_check.hpp"

#include <algorithm>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/build/cautions.hpp"
#include "engine/design/wall_map.hpp"
#include "engine/design/words.hpp"

namespace archwright::build {

namespace {

using design::FootDesign, design::Order;
using foot::Balance;

/// Gathers what contradicts; nothing is kept of what does not.
class Looks {
  public:
    Check& add(const char* id, const char* title, double figure, double limit, const char* unit,
               std::string message) {
        Check check = named_check(id, title);
        check.verdict = Verdict::look;
        check.figure = figure;
        check.limit = limit;
        check.unit = unit;
        check.message = std::move(message);
        all_.push_back(std::move(check));
        return all_.back();
    }
    std::vector<Check> take() { return std::move(all_); }

  private:
    std::vector<Check> all_;
};

std::string mm(double value) {
    return exact(value) + " mm";
}

/// "a", "a and b", "a, b and c".
std::string listed(const std::vector<std::string>& parts) {
    std::string text;
    for (std::size_t i = 0; i < parts.size(); ++i)
        text += (i == 0 ? "" : i + 1 == parts.size() ? " and " : ", ") + parts[i];
    return text;
}

void shoe(const design::Job& job, const FootDesign& foot, Looks& looks) {
    const Order& order = job.order;
    const design::Trim& trim = foot.trim;
    const double deepest = std::max({trim.cup_medial_mm, trim.cup_posterior_mm, trim.cup_lateral_mm});
    if (deepest >= order_limit::deep_cup_mm &&
        (order.footwear == Order::Footwear::dress || order.footwear == Order::Footwear::sandal))
        looks.add("order.deep_cup", "Deep cup in a shallow shoe", deepest, order_limit::deep_cup_mm, "mm",
                  "The order asks for a cup of " + mm(deepest) + " (deep from " +
                      mm(order_limit::deep_cup_mm) + " on) in a " + design::title_of(order.footwear) +
                      ": a deep cup is wide and lifts the heel's sides out of a shallow shoe. Ask for a "
                      "shallower cup, or ask which shoe is meant.");

    const auto first = foot.landmarks.find(foot::LandmarkId::first_head_border);
    const auto fifth = foot.landmarks.find(foot::LandmarkId::fifth_head_border);
    const auto heel = foot.landmarks.find(foot::LandmarkId::heel_centre);
    if (order.insole_ball_mm && order.insole_outline.empty() && heel != foot.landmarks.end() &&
        first != foot.landmarks.end() && fifth != foot.landmarks.end() &&
        foot.cast.unit.by != design::StatedBy::nobody) {
        // breadth across the axis: the 5th head lies behind the 1st
        const Vec3 between = first->second.position - fifth->second.position;
        const Vec3 axis =
            (0.5 * (first->second.position + fifth->second.position) - heel->second.position).normalized();
        const double heads = mm_per(foot.cast.unit.value) * (between - axis * between.dot(axis)).norm();
        const double asked = heads + 2 * trim.width_allowance_mm;
        const double doubt = 1.96 * std::hypot(first->second.sd_mm, fifth->second.sd_mm);
        if (asked > *order.insole_ball_mm)
            looks.add(
                "order.shell_over_insole", "Shell wider than the insole", asked, *order.insole_ball_mm, "mm",
                "The borders of the 1st and 5th metatarsal heads lie " + rounded(heads, 1) +
                    " mm apart across the foot (+- " + rounded(doubt, 1) + " mm by the landmarks); with " +
                    mm(std::abs(trim.width_allowance_mm)) +
                    (trim.width_allowance_mm < 0 ? " less" : " more") + " on each side the shell comes to " +
                    rounded(asked, 1) + " mm, " + rounded(asked - *order.insole_ball_mm, 1) +
                    " mm more than the insole's " + mm(*order.insole_ball_mm) +
                    " at the ball. Lower trim.width_allowance_mm (1 to 2 mm a side inside the insole are "
                    "usual), check both landmarks, or ask for a wider shoe.");
    }
}

void skives(const FootDesign& foot, Looks& looks) {
    struct Side {
        const char* word;
        const surface::Skive& skive;
        double cup_mm;
        double inverted_deg;  ///< of the balance, towards the side the skive lifts
    };
    const double heel = foot.balance.method == Balance::Method::heel_bisection ? foot.balance.heel_deg
                        : foot.balance.method == Balance::Method::inverted_pour
                            ? foot.balance.pour_deg.value_or(0.0)
                            : 0.0;
    const Side sides[] = {
        {"medial", foot.dress.medial_skive, foot.trim.cup_medial_mm, std::max(0.0, heel)},
        {"lateral", foot.dress.lateral_skive, foot.trim.cup_lateral_mm, std::max(0.0, -heel)}};
    std::vector<std::string> shallow, strong;
    double least = 0, least_strong = 0;
    for (const Side& side : sides) {
        const double depth = side.skive.depth_mm;
        if (depth <= 0) continue;
        if (side.cup_mm < order_limit::skive_cup_mm) {
            if (shallow.empty() || side.cup_mm < least) least = side.cup_mm;
            shallow.push_back("a " + std::string(side.word) + " skive of " + mm(depth) + " with a " +
                              side.word + " cup of " + mm(side.cup_mm));
        } else if (depth + side.inverted_deg > order_limit::strong_skive &&
                   side.cup_mm < order_limit::strong_skive_cup_mm) {
            if (strong.empty() || side.cup_mm < least_strong) least_strong = side.cup_mm;
            strong.push_back("a " + std::string(side.word) + " skive of " + mm(depth) +
                             (side.inverted_deg > 0 ? " and a heel " + inclination(heel) : std::string()) +
                             " with a " + side.word + " cup of " + mm(side.cup_mm));
        }
    }
    if (!shallow.empty())
        looks.add("order.skive_cup", "Skive with a shallow cup", least, order_limit::skive_cup_mm, "mm",
                  "The order asks for " + listed(shallow) + ": a skive wants " +
                      mm(order_limit::skive_cup_mm) +
                      " or more on its side, or the heel slides off it. Deepen the cup there, or leave the "
                      "skive out.");
    if (!strong.empty())
        looks.add("order.strong_skive_cup", "Strong skive, usual cup", least_strong,
                  order_limit::strong_skive_cup_mm, "mm",
                  "The order asks for " + listed(strong) +
                      ": where mm of skive and degrees of the heel come to "
                      "more than " +
                      exact(order_limit::strong_skive) + " together, " +
                      mm(order_limit::strong_skive_cup_mm) +
                      " and more are usual on that side. Deepen the cup "
                      "there, or ask for less.");
}

void balance(const FootDesign& foot, Looks& looks) {
    const Balance& asked = foot.balance;
    if (asked.method == Balance::Method::inverted_pour && foot.dress.arch_fill_mm <= 0)
        looks.add(
            "order.pour_arch_fill", "Inverted pour without arch fill", foot.dress.arch_fill_mm, 0, "mm",
            "The order asks for an inverted pour" +
                (asked.pour_deg ? " of " + exact(*asked.pour_deg) + " degrees" : std::string()) +
                " and for no arch fill (0 mm): the pour raises the arch, and it is refilled afterwards. Set "
                "dress.arch_fill_mm, or confirm that the arch is to stay as poured.");

    std::vector<std::string> unused;
    double most = 0;
    const auto note = [&](bool useless, const char* name, double value, const std::string& needs) {
        if (!useless || value == 0) return;
        if (std::abs(value) > std::abs(most)) most = value;
        unused.push_back(std::string(name) + " is " + exact(value) + " but counts only with " + needs);
    };
    note(asked.method != Balance::Method::heel_bisection, "balance.heel_deg", asked.heel_deg,
         "balance.method = heel_bisection");
    note(asked.method != Balance::Method::malleolar, "balance.malleolar_deg", asked.malleolar_deg.value_or(0),
         "balance.method = malleolar");
    note(asked.method != Balance::Method::inverted_pour, "balance.pour_deg", asked.pour_deg.value_or(0),
         "balance.method = inverted_pour");
    note(asked.forefoot != Balance::Forefoot::platform, "balance.intrinsic_deg", asked.intrinsic_deg,
         "balance.forefoot = platform");
    if (!unused.empty())
        looks.add("order.balance_unused", "Angle asked that nothing uses", most, 0, "degrees",
                  "The order asks for an angle that the way of balancing (" +
                      std::string(design::title_of(asked.method)) + ", forefoot " +
                      design::title_of(asked.forefoot) + ") leaves out: " + listed(unused) +
                      ". Choose that way, or set the angle to 0 (none).");
}

void trim_line(const FootDesign& foot, Looks& looks) {
    const design::Trim& trim = foot.trim;
    // the bow is whole half-way between the heads, where the two distances have their mean
    const double behind = 0.5 * (trim.distal_first_mm + trim.distal_fifth_mm) - trim.distal_bow_mm;
    if (behind < 0)
        looks.add("order.distal_past_heads", "Distal edge in front of the heads", behind, 0, "mm",
                  "The distal edge is asked " + mm(trim.distal_first_mm) + " behind the 1st and " +
                      mm(trim.distal_fifth_mm) + " behind the 5th metatarsal head with a bow of " +
                      mm(trim.distal_bow_mm) + ": half-way it runs " + rounded(-behind, 1) +
                      " mm in front of the line between the two heads. Lower trim.distal_bow_mm or raise the "
                      "distances (5 to 10 mm are usual).");

    std::vector<std::string> low;
    double lowest = trim.distal_height_mm;
    const auto note = [&](const char* word, double border) {
        if (border >= trim.distal_height_mm) return;
        lowest = std::min(lowest, border);
        low.push_back("the " + std::string(word) + " of " + mm(border));
    };
    note("medial flange", trim.medial_flange_mm);
    note("lateral border", trim.lateral_border_mm);
    if (!low.empty())
        looks.add(
            "order.border_rises", "Border that rises towards the toes", trim.distal_height_mm, lowest, "mm",
            "The borders are asked " + mm(trim.distal_height_mm) +
                " high where they meet the distal edge, higher than " + listed(low) +
                ": the line would rise towards the toes. Lower trim.distal_height_mm, or raise that border.");
}

void lateral_border(const FootDesign& foot, Looks& looks) {
    const surface::LateralScallop& scallop = foot.trim.lateral_scallop;
    const surface::LateralFlange& flange = foot.trim.lateral_flange;
    if (!(flange.height_mm > 0.0)) return;
    if (flange.height_mm < foot.trim.lateral_border_mm)
        looks.add("order.flange_height", "Lateral flange lower than its border", flange.height_mm,
                  foot.trim.lateral_border_mm, "mm",
                  "The lateral flange is ordered " + mm(flange.height_mm) +
                      " high, lower than the border's " + mm(foot.trim.lateral_border_mm) +
                      ": it would lower it. Raise the flange, or leave it out.");
    if (flange.from >= flange.to)
        looks.add("order.flange_ends", "Lateral flange that ends before it begins", flange.from, flange.to,
                  "",
                  "The lateral flange begins at " + exact(flange.from) + " of the border and ends at " +
                      exact(flange.to) + ": set trim.lateral_flange.from below trim.lateral_flange.to.");
    if (!(scallop.depth_mm > 0.0)) return;
    looks.add("order.scallop_flange", "Scallop in a lateral flange", scallop.depth_mm, 0.0, "mm",
              "The order raises the lateral border to a flange of " + mm(flange.height_mm) +
                  " and cuts a scallop of " + mm(scallop.depth_mm) +
                  " into it. Ask which of the two is meant, or place them apart.");
}

void posts(const FootDesign& foot, Looks& looks) {
    const feature::RearfootPost& rear = foot.posts.rearfoot;
    if (rear.on && foot.posts.flat_contact.on)
        looks.add("order.flat_contact", "Flat contact beside a rearfoot post",
                  foot.posts.flat_contact.diameter_mm, 0.0, "mm",
                  "The order asks for a flat contact of " + mm(foot.posts.flat_contact.diameter_mm) +
                      " and for a rearfoot post, whose floor is flat already: the post is made. Switch "
                      "posts.flat_contact off.");
    if (!rear.on || !(rear.motion_deg > 0.0)) return;
    const double room = 0.5 * rear.width_mm - std::abs(rear.hinge_mm);
    constexpr double least_face_mm = 6.0;
    if (room < least_face_mm)
        looks.add("order.post_hinge", "Hinge of the rearfoot post", room, least_face_mm, "mm",
                  "The two faces of the rearfoot post meet " + mm(std::abs(rear.hinge_mm)) + " to the " +
                      (rear.hinge_mm > 0 ? "medial" : "lateral") + " side of the heel centre; the post is " +
                      mm(rear.width_mm) + " wide, so one of them is " + rounded(std::max(0.0, room), 1) +
                      " mm broad. Set posts.rearfoot.hinge_mm nearer to 0, or widen the post.");
}

void insensate(const design::Job& job, const FootDesign& foot, Looks& looks) {
    if (!job.order.insensate_foot) return;
    std::vector<std::string> hard;
    double sharpest = order_limit::soft_blend_mm;
    const auto note = [&](const std::string& what, double blend) {
        if (blend >= order_limit::soft_blend_mm) return;
        sharpest = std::min(sharpest, blend);
        hard.push_back(what);
    };
    if (foot.rim.kind == surface::Rim::Kind::square) note("a square rim", 0);
    for (const design::WallRegion& region : foot.wall.regions)
        note("the wall region \"" + region.name + "\", blended over " + mm(region.blend_mm), region.blend_mm);
    for (const auto& [column, name] :
         {std::pair{&foot.wall.medial_column, "medial"}, std::pair{&foot.wall.lateral_column, "lateral"}})
        if (column->on)
            note(std::string("the ") + name + " column of the wall, blended over " + mm(column->blend_mm),
                 column->blend_mm);
    if (foot.dress.medial_skive.depth_mm > 0)
        note("a medial skive, rounded over " + mm(foot.dress.medial_skive.blend_mm),
             foot.dress.medial_skive.blend_mm);
    if (foot.dress.lateral_skive.depth_mm > 0)
        note("a lateral skive, rounded over " + mm(foot.dress.lateral_skive.blend_mm),
             foot.dress.lateral_skive.blend_mm);
    const surface::FirstRayCutout& cutout = foot.trim.first_ray_cutout;
    if (cutout.length_mm > 0)
        note("a first-ray cut-out with corners of " + mm(cutout.radius_mm), cutout.radius_mm);
    for (const feature::Feature& f : foot.features) {
        constexpr double steep = 1.0;  // 45 degrees; the flank's steepest slope is 15/8 of rise over breadth
        if (!f.on) continue;
        if (f.kind == feature::Feature::Kind::aperture) {
            hard.push_back("the aperture \"" + f.name + "\", with an edge all round");
            continue;
        }
        double rise = f.relief() ? f.depth_mm : f.height_mm;
        for (const feature::GrooveStation& station : f.stations) rise = std::max(rise, station.depth_mm);
        const bool flanked = f.kind != feature::Feature::Kind::metatarsal_dome;
        if (flanked && 15.0 / 8.0 * rise > steep * f.flank_mm)
            hard.push_back("\"" + f.name + "\", " + mm(rise) + " over a flank of " + mm(f.flank_mm) + " (" +
                           rounded(15.0 / 8.0 * rise / steep, 1) + " mm would be under 45 degrees)");
    }
    if (!hard.empty())
        looks.add(
            "order.insensate_edges", "Hard edges under a foot without feeling", sharpest,
            order_limit::soft_blend_mm, "mm",
            "This foot has lost feeling, and the order asks for " + listed(hard) +
                ": edges that it would not tell of. Blend over " + mm(order_limit::soft_blend_mm) +
                " or more, broaden flanks, round the rim, unless the prescriber confirms this very edge.");
}

// Whose material is ordered, and which.
std::vector<std::pair<std::string, std::string>> part_materials(const FootDesign& foot) {
    std::vector<std::pair<std::string, std::string>> all;
    for (const feature::Feature& f : foot.features)
        if (f.on && f.part.asked()) all.emplace_back("the part of \"" + f.name + "\"", f.part.material);
    const feature::Posts& posts = foot.posts;
    if (posts.rearfoot.on && posts.rearfoot.part.asked())
        all.emplace_back("the rearfoot post", posts.rearfoot.part.material);
    if (posts.forefoot.on && posts.forefoot.part.asked())
        all.emplace_back("the forefoot post", posts.forefoot.part.material);
    return all;
}

void insensate_parts(const design::Job& job, const FootDesign& foot, std::vector<Check>& checks) {
    if (!job.order.insensate_foot) return;
    std::vector<std::string> parts;
    for (const feature::Feature& f : foot.features)
        if (f.on && (f.seat() || f.stuck_on()))
            parts.push_back((f.seat() ? "a plug in \"" : "the edge of \"") + f.name +
                            (f.seat() ? "\"" : "\", stuck on"));
    if (parts.empty()) return;
    Check check = named_check("order.insensate_parts", "Plugs and edges under a foot without feeling");
    check.verdict = Verdict::stop;
    check.message =
        "This foot has lost feeling, and the order puts " + listed(parts) +
        " under it: what comes loose, hardens or stands proud there would not be noticed. Make it "
        "one solid with the shell (part.material), or sign with the prescriber's explicit order.";
    checks.push_back(std::move(check));
}

void body_mass(const design::Job& job, const FootDesign& foot, const design::Material& material,
               Looks& looks) {
    const std::vector<design::MassLimit>& limits = material.mass_limits;
    if (limits.empty()) return;
    const char *id = "order.body_mass_wall", *title = "Wall for the body mass";
    auto walls = design::asked_walls(foot.wall, design::WallLimits::of(material));
    for (auto& scaled : design::scaled_walls(foot.wall)) walls.push_back(std::move(scaled));
    const auto thinnest = std::min_element(walls.begin(), walls.end(),
                                           [](const auto& a, const auto& b) { return a.second < b.second; });
    const auto origin = [](const design::MassLimit& limit) {
        return " (the laboratory's own limit: " + limit.source + "; " + design::title(limit.mark) + ")";
    };
    if (!job.order.body_mass_kg) {
        looks.add(id, title, thinnest->second, limits.back().wall_mm, "mm",
                  material.name +
                      " has the laboratory's limits of body mass, and the order states none. Set "
                      "order.body_mass_kg.");
        return;
    }
    const double mass = *job.order.body_mass_kg;
    const auto enough = std::find_if(limits.begin(), limits.end(), [&](const design::MassLimit& limit) {
        return limit.body_mass_kg >= mass;
    });
    if (enough == limits.end()) {
        looks.add(id, title, mass, limits.back().body_mass_kg, "kg",
                  "The order states " + exact(mass) + " kg; the laboratory's limits for " + material.name +
                      " end at " + exact(limits.back().body_mass_kg) + " kg with " +
                      mm(limits.back().wall_mm) + origin(limits.back()) +
                      ". Take another material, or ask who answers for it.");
        return;
    }
    if (thinnest->second < enough->wall_mm)
        looks.add(id, title, thinnest->second, enough->wall_mm, "mm",
                  "The thinnest wall asked is " + mm(thinnest->second) + " (" + thinnest->first + "); for " +
                      exact(mass) + " kg in " + material.name + " the laboratory asks for " +
                      mm(enough->wall_mm) + ", which serves up to " + exact(enough->body_mass_kg) + " kg" +
                      origin(*enough) + ". Thicken it there, or take another material.");
}

}  // namespace

std::vector<Check> check_order(const design::Job& job, Side side, const design::Material& material) {
    if (!job.foot(side)) return {};
    const FootDesign& foot = *job.foot(side);
    Looks looks;
    shoe(job, foot, looks);
    skives(foot, looks);
    balance(foot, looks);
    trim_line(foot, looks);
    lateral_border(foot, looks);
    posts(foot, looks);
    insensate(job, foot, looks);
    body_mass(job, foot, material, looks);
    std::vector<Check> checks = looks.take();
    insensate_parts(job, foot, checks);
    if (checks.empty()) {
        checks.push_back(named_check("order.contradictions", "Order against itself"));
        checks.back().message = "Nothing in the order contradicts itself, its shoe or its material.";
    }
    return checks;
}

std::vector<Check> first_checks(const design::Job& job, Side side, const design::Materials& materials) {
    std::vector<Check> checks = cautions(job.order);
    if (!job.foot(side)) return checks;
    const FootDesign& foot = *job.foot(side);
    const auto material = materials.find(foot.material);
    if (!material) {
        Check unknown = named_check("order.material", "Material");
        unknown.verdict = Verdict::stop;
        unknown.signable = false;
        unknown.message = "For the shell, " + material.fault().message + ".";
        checks.push_back(std::move(unknown));
    }
    for (const auto& [whose, key] : part_materials(foot))
        if (const auto found = materials.find(key); !found) {
            Check unknown = named_check("order.part_material", "Material of a part");
            unknown.verdict = Verdict::stop;
            unknown.signable = false;
            unknown.message = "For " + whose + ", " + found.fault().message + ".";
            checks.push_back(std::move(unknown));
        }
    // what hangs on the material alone is left out with it
    const auto own = check_order(job, side, material ? *material : design::Material{});
    checks.insert(checks.end(), own.begin(), own.end());
    if (material) {
        const auto wall = design::check_wall(foot.wall, *material);
        checks.insert(checks.end(), wall.begin(), wall.end());
    }
    return checks;
}

}  // namespace archwright::build
