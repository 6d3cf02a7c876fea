// state: a person says what must never be guessed. landmark: a person says where something is.
#include "engine/base/text.hpp"
#include "engine/build/state_cast.hpp"
#include "engine/design/command_apply.hpp"
#include "exporters/command/job_in_hand.hpp"

namespace archwright::exporters::command {

namespace {

std::string place_text(const Vec3& p) {
    return exact(p.x()) + "," + exact(p.y()) + "," + exact(p.z());
}

}  // namespace

Exit run_state(Console& console, const StateOptions& options) {
    design::Command command{"state", {}};
    if (options.side) command.with("side", word(*options.side));
    if (options.unit) command.with("unit", word(*options.unit));
    if (options.up) command.with("up", place_text(*options.up));
    if (options.toes) command.with("toes", place_text(*options.toes));
    if (options.inside_out) command.with("inside_out", *options.inside_out ? "yes" : "no");
    command.with("by", options.by);
    design::Surroundings around;
    around.cast = [&](design::Job& job, Side side,
                      const design::CastWords& words) -> Outcome<design::CastAnswer> {
        const auto cast = cast_in_hand(job, side, options.job, options.reading, console.progress());
        if (!cast) return cast.fault();
        return build::state_cast(job, side, words, **cast, console.progress());
    };
    return change_job(console, options.job, options.foot, options.reading, {command}, std::move(around));
}

Exit run_landmark(Console& console, const LandmarkOptions& options) {
    design::Command command{options.place ? "landmark set" : "landmark confirm", {}};
    command.with("name", options.name);
    if (options.place) command.with("place", place_text(*options.place));
    command.with("by", options.by);
    return change_job(console, options.job, options.foot, options.reading, {command}, {});
}

}  // namespace archwright::exporters::command
