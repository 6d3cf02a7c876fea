// Inside engine/solid only: the library's shape behind Solid, and the wall around its failures.
#pragma once

#include <Standard_Failure.hxx>
#include <TopoDS_Solid.hxx>
#include <exception>
#include <gp_Pnt.hxx>
#include <mutex>
#include <string>

#include "engine/base/outcome.hpp"
#include "engine/solid/solid.hpp"

namespace archwright::solid {

struct Solid::Body {
    TopoDS_Solid shape;
};

Solid make_solid(const TopoDS_Solid& shape);

inline Vec3 to_vec(const gp_Pnt& p) {
    return {p.X(), p.Y(), p.Z()};
}
inline gp_Pnt to_pnt(const Vec3& p) {
    return {p.x(), p.y(), p.z()};
}

/// Settings that hold for the whole process: messages silenced, STEP parameters loaded. Runs once.
void prepare_library();

/// STEP reading and writing keep their settings and counters in process-wide statics: one at a time.
std::mutex& file_lane();

/// Calls `work`, turning whatever the library throws (Standard_Failure is not a std::exception) into a fault
/// that says what was being done. `work` returns an Outcome.
template <class Work>
auto guarded(FaultKind kind, const std::string& stage, const std::string& doing, Work&& work)
    -> decltype(work()) {
    const auto fault = [&](const char* reason) {
        return Fault{kind,
                     stage,
                     doing + " failed in the geometry library" +
                         (reason != nullptr && *reason != '\0' ? ": " + std::string(reason) : std::string()) +
                         ".",
                     {}};
    };
    try {
        prepare_library();
        return work();
    } catch (const Standard_Failure& failure) {
        return fault(failure.GetMessageString());
    } catch (const std::exception& failure) {
        return fault(failure.what());
    }
}

}  // namespace archwright::solid
