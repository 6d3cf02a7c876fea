// Targets as text: what the command line and scripts say.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "engine/ask/question.hpp"

namespace archwright::ask {

/// "arch-press: +20%", "arch-press@220: 14N/mm", "arch-press by 5,-3: 6mm", "torsion: 90Nmm/deg", several
/// with
/// ";" between them. The load's key; after @ its force, N (torsion: N mm); after "by" how far it is moved
/// forward and medially, mm; then what is asked: a change in percent with its sign, a stiffness, or a
/// deflection, each with its unit. Fault (usage, stage "ask"): names the target and says what to write.
Outcome<std::vector<Target>> parse_targets(std::string_view text);

/// As text that parses to the same.
std::string print(const Target& target);

/// "base", "arch, base<=4, lateral_column>=2.4<=5": walls with commas between them, limits of their own in
/// mm.
Outcome<std::vector<WallChoice>> parse_walls(std::string_view text);

}  // namespace archwright::ask
