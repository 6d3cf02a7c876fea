// The words that stand for choices in jobs and commands, and the trade's words for them on screens and
// sheets.
#pragma once

#include <array>
#include <optional>
#include <string_view>

#include "engine/design/job.hpp"

namespace archwright::design {

template <class E>
struct Word {
    E value;
    const char* key;    ///< in jobs and commands
    const char* title;  ///< for people
};

/// All words of a choice, in order. Specialised below for every choice of a job.
template <class E>
inline constexpr std::array<Word<E>, 0> words{};

template <>
inline constexpr std::array<Word<StatedBy>, 3> words<StatedBy>{{
    {StatedBy::nobody, "nobody", "not stated"},
    {StatedBy::proposed, "proposed", "proposed by the program"},
    {StatedBy::person, "person", "stated by a person"},
}};
template <>
inline constexpr std::array<Word<LengthUnit>, 4> words<LengthUnit>{{
    {LengthUnit::millimetre, "mm", "millimetres"},
    {LengthUnit::centimetre, "cm", "centimetres"},
    {LengthUnit::inch, "in", "inches"},
    {LengthUnit::metre, "m", "metres"},
}};
template <>
inline constexpr std::array<Word<Side>, 2> words<Side>{{
    {Side::right, "right", "right foot"},
    {Side::left, "left", "left foot"},
}};
template <>
inline constexpr std::array<Word<foot::Landmark::Source>, 2> words<foot::Landmark::Source>{{
    {foot::Landmark::Source::suggested, "suggested", "suggested by the program"},
    {foot::Landmark::Source::set, "set", "set by a person"},
}};
template <>
inline constexpr std::array<Word<Mark::Kind>, 3> words<Mark::Kind>{{
    {Mark::Kind::spot, "spot", "spot"},
    {Mark::Kind::line, "line", "line"},
    {Mark::Kind::area, "area", "area"},
}};
template <>
inline constexpr auto words<examine::Finding::Kind> = [] {
    std::array<Word<examine::Finding::Kind>, examine::kind_words.size()> all{};
    for (std::size_t i = 0; i < all.size(); ++i)
        all[i] = {static_cast<examine::Finding::Kind>(i), examine::kind_words[i].key,
                  examine::kind_words[i].title};
    return all;
}();
template <>
inline constexpr std::array<Word<Answer::Is>, 2> words<Answer::Is>{{
    {Answer::Is::foot, "foot", "the foot's own shape"},
    {Answer::Is::fault, "fault", "a fault of the cast"},
}};
template <>
inline constexpr std::array<Word<Mark::Meaning>, 8> words<Mark::Meaning>{{
    {Mark::Meaning::plantar_fascia, "plantar_fascia", "plantar fascia"},
    {Mark::Meaning::lesion, "lesion", "lesion"},
    {Mark::Meaning::pain, "pain", "painful spot"},
    {Mark::Meaning::bone, "bone", "bony prominence"},
    {Mark::Meaning::heel_bisection, "heel_bisection", "heel bisection"},
    {Mark::Meaning::malleolus, "malleolus", "malleolus"},
    {Mark::Meaning::trim, "trim", "trim line"},
    {Mark::Meaning::other, "other", "other"},
}};
template <>
inline constexpr std::array<Word<foot::Balance::Method>, 4> words<foot::Balance::Method>{{
    {foot::Balance::Method::as_it_stands, "as_it_stands", "as it stands"},
    {foot::Balance::Method::heel_bisection, "heel_bisection", "by the heel bisection"},
    {foot::Balance::Method::malleolar, "malleolar", "by the malleolar line"},
    {foot::Balance::Method::inverted_pour, "inverted_pour", "inverted pour"},
}};
template <>
inline constexpr std::array<Word<foot::Balance::Second>, 3> words<foot::Balance::Second>{{
    {foot::Balance::Second::medial_malleolus, "medial_malleolus", "medial malleolus"},
    {foot::Balance::Second::navicular, "navicular", "navicular tuberosity"},
    {foot::Balance::Second::fifth_base, "fifth_base", "base of the 5th metatarsal"},
}};
template <>
inline constexpr std::array<Word<foot::Balance::Forefoot>, 2> words<foot::Balance::Forefoot>{{
    {foot::Balance::Forefoot::as_it_is, "as_it_is", "as it is"},
    {foot::Balance::Forefoot::platform, "platform", "platform under the metatarsal heads"},
}};
template <>
inline constexpr std::array<Word<WallZone::Kind>, 3> words<WallZone::Kind>{{
    {WallZone::Kind::wall, "wall", "a wall in mm"},
    {WallZone::Kind::scale, "scale", "times the wall below"},
    {WallZone::Kind::rigidity, "rigidity", "times the base's rigidity"},
}};
template <>
inline constexpr std::array<Word<feature::Feature::Kind>, 6> words<feature::Feature::Kind>{{
    {feature::Feature::Kind::groove, "groove", "groove"},
    {feature::Feature::Kind::cavity, "cavity", "cavity"},
    {feature::Feature::Kind::pad, "pad", "pad"},
    {feature::Feature::Kind::metatarsal_dome, "metatarsal_dome", "metatarsal dome"},
    {feature::Feature::Kind::metatarsal_bar, "metatarsal_bar", "metatarsal bar"},
    {feature::Feature::Kind::aperture, "aperture", "aperture"},
}};
template <>
inline constexpr std::array<Word<feature::Feature::Underside>, 2> words<feature::Feature::Underside>{{
    {feature::Feature::Underside::follows, "follows", "underside follows, wall kept"},
    {feature::Feature::Underside::stays, "stays", "underside stays"},
}};
template <>
inline constexpr std::array<Word<surface::Rim::Kind>, 3> words<surface::Rim::Kind>{{
    {surface::Rim::Kind::square, "square", "square"},
    {surface::Rim::Kind::bevelled, "bevelled", "bevelled"},
    {surface::Rim::Kind::rounded, "rounded", "rounded"},
}};
template <>
inline constexpr std::array<Word<Order::Footwear>, 8> words<Order::Footwear>{{
    {Order::Footwear::unknown, "unknown", "not stated"},
    {Order::Footwear::athletic, "athletic", "athletic shoe"},
    {Order::Footwear::walking, "walking", "walking shoe"},
    {Order::Footwear::work, "work", "work shoe"},
    {Order::Footwear::dress, "dress", "dress shoe"},
    {Order::Footwear::sandal, "sandal", "sandal"},
    {Order::Footwear::boot, "boot", "boot"},
    {Order::Footwear::other, "other", "other"},
}};
template <>
inline constexpr std::array<Word<Order::Activity>, 4> words<Order::Activity>{{
    {Order::Activity::unknown, "unknown", "not stated"},
    {Order::Activity::low, "low", "mostly seated"},
    {Order::Activity::moderate, "moderate", "standing and walking"},
    {Order::Activity::high, "high", "heavy work or sport"},
}};
template <>
inline constexpr std::array<Word<Capture::Method>, 7> words<Capture::Method>{{
    {Capture::Method::unknown, "unknown", "not stated"},
    {Capture::Method::supine_non_weight_bearing, "supine_non_weight_bearing", "non-weight-bearing, supine"},
    {Capture::Method::prone_non_weight_bearing, "prone_non_weight_bearing", "non-weight-bearing, prone"},
    {Capture::Method::suspended, "suspended", "suspended, held by the lesser toes"},
    {Capture::Method::semi_weight_bearing, "semi_weight_bearing", "semi-weight-bearing"},
    {Capture::Method::foam, "foam", "foam impression"},
    {Capture::Method::direct_scan, "direct_scan", "direct scan of the foot"},
}};
template <>
inline constexpr std::array<Word<Capture::Reference>, 4> words<Capture::Reference>{{
    {Capture::Reference::unknown, "unknown", "not stated"},
    {Capture::Reference::subtalar_neutral, "subtalar_neutral", "subtalar neutral"},
    {Capture::Reference::malleolar, "malleolar", "malleolar reference"},
    {Capture::Reference::other, "other", "other"},
}};
template <>
inline constexpr std::array<Word<Capture::Forefoot>, 4> words<Capture::Forefoot>{{
    {Capture::Forefoot::unknown, "unknown", "not stated"},
    {Capture::Forefoot::as_found, "as_found", "left as found"},
    {Capture::Forefoot::corrected, "corrected", "corrected at capture"},
    {Capture::Forefoot::pronated_on_purpose, "pronated_on_purpose", "taken pronated on purpose"},
}};
template <>
inline constexpr std::array<Word<Capture::Dampness>, 3> words<Capture::Dampness>{{
    {Capture::Dampness::unknown, "unknown", "not stated"},
    {Capture::Dampness::dry, "dry", "dry"},
    {Capture::Dampness::damp, "damp", "damp"},
}};

template <>
inline constexpr std::array<Word<Cover::Kind>, 3> words<Cover::Kind>{{
    {Cover::Kind::cover, "cover", "top cover"},
    {Cover::Kind::underlay, "underlay", "underlay of the cover"},
    {Cover::Kind::extension, "extension", "extension"},
}};
template <>
inline constexpr std::array<Word<Cover::Length>, 3> words<Cover::Length>{{
    {Cover::Length::shell, "shell", "length of the shell"},
    {Cover::Length::sulcus, "sulcus", "to the sulcus"},
    {Cover::Length::full, "full", "full length, to the toes' end"},
}};

template <>
inline constexpr std::array<Word<Lettering::Style>, 2> words<Lettering::Style>{{
    {Lettering::Style::engraved, "engraved", "engraved"},
    {Lettering::Style::raised, "raised", "raised"},
}};

/// The key written in jobs for a choice.
template <class E>
constexpr const char* key_of(E value) {
    for (const Word<E>& w : words<E>)
        if (w.value == value) return w.key;
    return "";
}

/// The trade's words for a choice.
template <class E>
constexpr const char* title_of(E value) {
    for (const Word<E>& w : words<E>)
        if (w.value == value) return w.title;
    return "";
}

template <class E>
constexpr std::optional<E> from_key(std::string_view key) {
    for (const Word<E>& w : words<E>)
        if (key == w.key) return w.value;
    return std::nullopt;
}

}  // namespace archwright::design
