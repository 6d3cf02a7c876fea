#include "engine/build/carried_place.hpp"

namespace archwright::build {

namespace {

Vec3 heel_of(const Received& received) {
    const auto found = received.standing.landmarks.find(foot::LandmarkId::heel_centre);
    return found == received.standing.landmarks.end() ? Vec3::Zero() : found->second.position;
}

}  // namespace

Vec3 carried_place(const Vec3& place, const Received& from, const Received& to) {
    const Vec3 lying =
        from.balance.rotation.transpose() * (from.standing.frame.to_design(place) - heel_of(from));
    return to.standing.frame.to_scan(to.balance.rotation * lying + heel_of(to));
}

}  // namespace archwright::build
