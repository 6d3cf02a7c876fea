#include "engine/scan/receive_as.hpp"

namespace archwright::scan {

namespace {

Vec3 mirrored(const Vec3& p) {
    return {p.x(), -p.y(), p.z()};
}  // the mirror of engine/foot/frame.hpp

}  // namespace

Outcome<Reception> receive_as(Side side, const TriangleMesh& cleaned,
                              const std::optional<LengthUnit>& declared, const Stated& stated,
                              Progress* progress) {
    if (side == Side::right) return receive(cleaned, declared, stated, progress);
    TriangleMesh mesh = cleaned;
    for (Vec3& p : mesh.points) p = mirrored(p);
    mesh.flip();
    Stated seen = stated;
    if (seen.up) seen.up = mirrored(*seen.up);
    if (seen.toes) seen.toes = mirrored(*seen.toes);
    if (seen.side) seen.side = other(*seen.side);
    auto received = receive(mesh, declared, seen, progress);
    if (!received) return received;
    Reception& r = *received;
    r.up.value = mirrored(r.up.value);
    r.toes.value = mirrored(r.toes.value);
    for (Cue& cue : r.side_cues) {
        cue.value = -cue.value;
        cue.vote = -cue.vote;
    }
    r.side = propose_side(r.side_cues);
    for (Hole& hole : r.sole.holes) hole.centre = mirrored(hole.centre);
    r.rim.centre = mirrored(r.rim.centre);
    r.rim.normal = mirrored(r.rim.normal);
    for (Check& check : r.checks) {
        const Check again = check_side(r.side, stated.side);
        if (check.id == again.id)
            check = again;
        else if (check.where)
            check.where = mirrored(*check.where);
    }
    return received;
}

}  // namespace archwright::scan
