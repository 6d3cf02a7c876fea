#include "engine/build/workbench.hpp"

#include "engine/base/hash.hpp"
#include "engine/base/text.hpp"
#include "engine/build/capture_check.hpp"
#include "engine/build/cautions.hpp"
#include "engine/build/ground_check.hpp"
#include "engine/build/lettering_stage.hpp"
#include "engine/build/order_check.hpp"
#include "engine/build/part_stage.hpp"
#include "engine/build/repair_effect.hpp"
#include "engine/build/repair_stage.hpp"
#include "engine/build/stages.hpp"
#include "engine/design/fingerprint.hpp"
#include "engine/design/job_file.hpp"
#include "engine/design/statement.hpp"

namespace archwright::build {

namespace {

// Text of everything a stage reads; equal text, equal result.
class Key {
  public:
    Key& add(const std::string& text) {
        text_ += text;
        text_ += '\n';
        return *this;
    }
    Key& add(double value) { return add(exact(value)); }
    Key& add(int value) { return add(std::to_string(value)); }
    Key& add(const Vec3& p) { return add(p.x()).add(p.y()).add(p.z()); }
    Key& add(const Vec2& p) { return add(p.x()).add(p.y()); }
    Key& add(const std::optional<Vec3>& p) { return p ? add(*p) : add("none"); }
    std::string hash() const { return sha256(text_); }

  private:
    std::string text_;
};

std::string received_key(const std::string& cast, const design::FootDesign& foot, Side side) {
    Key key;
    key.add(cast)
        .add(word(side))
        .add(static_cast<int>(foot.side.by))
        .add(foot.side.despite)
        .add(foot.side.code);
    const auto& unit = foot.cast.unit;
    key.add(word(unit.value)).add(static_cast<int>(unit.by)).add(unit.despite).add(unit.code);
    key.add(foot.cast.up)
        .add(foot.cast.toes)
        .add(foot.cast.inside_out ? (*foot.cast.inside_out ? 1 : 0) : -1);
    for (const auto& [id, landmark] : foot.landmarks)
        key.add(foot::key(id))
            .add(landmark.position)
            .add(landmark.sd_mm)
            .add(static_cast<int>(landmark.source));
    design::Job only;
    only.case_code = "KEY";
    only.right.emplace();
    only.right->balance = foot.balance;
    only.right->repairs = foot.repairs;
    if (!foot.repairs.empty()) only.right->marks = foot.marks;  // a repair keeps off some
    return key.add(design::write_job(only)).hash();
}

std::string examined_key(const std::string& received, const design::FootDesign& foot) {
    design::Job only;
    only.case_code = "KEY";
    only.right.emplace();
    only.right->marks = foot.marks;
    only.right->answers = foot.answers;
    only.right->calipers = foot.calipers;
    return Key().add(received).add(design::write_job(only)).hash();
}

std::string surfaced_key(const std::string& received, const design::FootDesign& foot) {
    // written out by the job's own writer, so that a parameter added to the trim is never forgotten here
    design::Job only;
    only.case_code = "KEY";
    only.right.emplace();
    only.right->trim = foot.trim;
    only.right->dress = foot.dress;
    if (!foot.dress.smooth.empty()) only.right->marks = foot.marks;  // some are never smoothed
    return Key().add(received).add(design::write_job(only)).hash();
}

std::string shelled_key(const std::string& surfaced, const design::FootDesign& foot) {
    design::Job only;
    only.case_code = "KEY";
    only.right.emplace();
    only.right->wall = foot.wall;
    only.right->features = foot.features;
    only.right->posts = foot.posts;
    only.right->marks = foot.marks;
    only.right->rim = foot.rim;
    only.right->material = foot.material;
    return Key().add(surfaced).add(design::write_job(only)).hash();
}

std::string lettered_key(const std::string& shelled, const design::FootDesign& foot,
                         const std::vector<std::string>& words) {
    design::Job only;
    only.case_code = "KEY";
    only.right.emplace();
    only.right->lettering = foot.lettering;
    Key key;
    key.add(shelled).add(design::write_job(only));
    for (const std::string& word : words) key.add(word);
    return key.hash();
}

std::string shoe_key(const std::string& shelled, const design::Order& order,
                     const std::optional<shoe::Drawing>& drawing) {
    design::Job only;
    only.case_code = "KEY";
    only.right.emplace();
    only.order.insole_length_mm = order.insole_length_mm;
    only.order.insole_ball_mm = order.insole_ball_mm;
    only.order.insole_heel_mm = order.insole_heel_mm;
    only.order.insole_outline = order.insole_outline;
    only.order.insole_side = order.insole_side;
    only.order.insole_clearance_mm = order.insole_clearance_mm;
    return Key().add(shelled).add(drawing ? drawing->sha256 : "no file").add(design::write_job(only)).hash();
}

void apply_sign_offs(std::vector<Check>& checks, const design::Job& job, Side side) {
    for (Check& check : checks) {
        if (check.verdict != Verdict::stop || !check.signable || !design::never_signed(check.id).empty())
            continue;
        if (const design::SignOff* sign = design::valid_sign_off(job, side, check.id)) {
            check.verdict = Verdict::look;
            check.message += " Signed by " + sign->by + ": " + sign->reason;
            if (!sign->second.empty()) check.message += " Second person: " + sign->second + ".";
        }
    }
}

template <class T>
void append(std::vector<Check>& all, const std::shared_ptr<const T>& stage) {
    if (stage) all.insert(all.end(), stage->checks.begin(), stage->checks.end());
}

}  // namespace

std::vector<Check> Workbench::first_checks(const design::Job& job, Side side) const {
    return setting_.materials ? build::first_checks(job, side, *setting_.materials) : std::vector<Check>{};
}

Outcome<std::shared_ptr<const CastFile>> Workbench::cast(const design::Job& job, Side side,
                                                         Progress& progress) {
    const std::optional<design::FootDesign>& foot = job.foot(side);
    if (!foot)
        return Fault{FaultKind::usage, "job", std::string("The job has no ") + word(side) + " foot.", {}};
    Foot& kept = feet_[side];
    const std::string cast_key = foot->cast.path + "\n" + foot->cast.sha256;
    if (!kept.cast.result || kept.cast.key != cast_key) {
        auto path = design::resolve(setting_.job_path, foot->cast.path, setting_.allow_outside);
        if (!path) return path.fault();
        auto cast = open_cast_of(foot->cast, *path, setting_.limits, progress);
        if (!cast) return cast.fault();
        kept = Foot{};
        kept.cast = {cast_key, std::move(*cast)};
    }
    return kept.cast.result;
}

Outcome<std::shared_ptr<const Received>> Workbench::receive(const design::Job& job, Side side,
                                                            Progress& progress) {
    const auto opened = cast(job, side, progress);
    if (!opened) return opened.fault();
    const std::optional<design::FootDesign>& foot = job.foot(side);
    Foot& kept = feet_[side];
    const std::string key = received_key(kept.cast.key, *foot, side);
    if (!kept.received.result || kept.received.key != key) {
        auto received =
            receive_stage(kept.cast.result, *foot, side, setting_.job_path.filename().string(), progress);
        if (!received) return received.fault();
        kept.received = {key, std::make_shared<Received>(std::move(*received))};
    }
    return kept.received.result;
}

Outcome<std::shared_ptr<const Examined>> Workbench::examine(const design::Job& job, Side side,
                                                            Progress& progress) {
    auto received = receive(job, side, progress);
    if (!received) return received.fault();
    const design::FootDesign& foot = *job.foot(side);
    Foot& kept = feet_[side];
    const std::string key = examined_key(kept.received.key, foot);
    if (!kept.examined.result || kept.examined.key != key) {
        auto examined = examine_stage(**received, foot, progress);
        if (!examined) return examined.fault();
        kept.examined = {key, std::make_shared<Examined>(std::move(*examined))};
    }
    return kept.examined.result;
}

Outcome<Examined> Workbench::weigh(const design::Job& job, Side side, Progress& progress) {
    auto received = receive(job, side, progress);
    if (!received) return received.fault();
    auto examined = examine(job, side, progress);
    if (!examined) return examined.fault();
    Examined weighed = **examined;
    const auto surfaced = surface(job, side, progress);
    if (!surfaced && surfaced.fault().kind == FaultKind::cancelled) return surfaced.fault();
    for (Examined::Call& call : weighed.calls) {
        const auto repair = proposed_repair(call, (*received)->standing.frame);
        if (!repair) {
            call.effect = "What it does to the device is not weighed: " + repair.fault().message;
            continue;
        }
        if (!surfaced) {
            call.effect = "What it does to the device is not known: " + surfaced.fault().message;
            continue;
        }
        const auto effect = repair_effect(**received, **surfaced, *job.foot(side), side, *repair, progress);
        if (!effect && effect.fault().kind == FaultKind::cancelled) return effect.fault();
        call.effect =
            effect ? sentence(*effect) : "What its repair does is not known: " + effect.fault().message;
    }
    return weighed;
}

Outcome<std::shared_ptr<const Surfaced>> Workbench::surface(const design::Job& job, Side side,
                                                            Progress& progress) {
    auto received = receive(job, side, progress);
    if (!received) return received.fault();
    const design::FootDesign& foot = *job.foot(side);
    Foot& kept = feet_[side];
    const std::string key = surfaced_key(kept.received.key, foot);
    if (!kept.surfaced.result || kept.surfaced.key != key) {
        auto surfaced = surface_stage(**received, foot, progress);
        if (!surfaced) return surfaced.fault();
        kept.surfaced = {key, std::make_shared<Surfaced>(std::move(*surfaced))};
    }
    return kept.surfaced.result;
}

Outcome<Device> Workbench::shape(const design::Job& job, Side side, Progress& progress) {
    auto received = receive(job, side, progress);
    if (!received) return received.fault();
    if (auto surfaced = surface(job, side, progress); !surfaced) return surfaced.fault();
    const design::FootDesign& foot = *job.foot(side);
    Foot& kept = feet_[side];
    const std::string shell_key = shelled_key(kept.surfaced.key, foot);
    if (!kept.shelled.result || kept.shelled.key != shell_key) {
        if (!setting_.materials) return Fault{FaultKind::internal, "job", "No materials were loaded.", {}};
        auto shelled = shell_stage(**received, *kept.surfaced.result, foot, *setting_.materials, progress);
        if (!shelled) return shelled.fault();
        kept.shelled = {shell_key, std::make_shared<Shelled>(std::move(*shelled))};
    }
    Device device;
    device.case_code = job.case_code;
    device.revision = job.revision();
    device.side = side;
    device.received = *received;
    device.surfaced = kept.surfaced.result;
    device.shelled = kept.shelled.result;
    if (foot.lettering.on) {
        const std::vector<std::string> words = letter_words(job, side);
        const std::string letters_key = lettered_key(shell_key, foot, words);
        if (!kept.lettered.result || kept.lettered.key != letters_key) {
            const Shelled& shelled = *device.shelled;
            auto lettered =
                letter_stage(with_stuck_on(shelled), shelled.mesh, ground_under(*device.surfaced, shelled),
                             shelled.material, foot.lettering, words, side, progress);
            if (!lettered) return lettered.fault();
            kept.lettered = {letters_key, std::make_shared<Lettered>(std::move(*lettered))};
        }
        device.lettered = kept.lettered.result;
    }
    device.checks = cautions(job.order);
    const std::vector<Check> order = check_order(job, side, device.shelled->material);
    device.checks.insert(device.checks.end(), order.begin(), order.end());
    device.checks.push_back(check_capture(job.capture, foot.balance, device.received->balance));
    append(device.checks, device.received);
    append(device.checks, device.surfaced);
    append(device.checks, device.shelled);
    append(device.checks, device.lettered);
    apply_sign_offs(device.checks, job, side);
    return device;
}

Outcome<Device> Workbench::build(const design::Job& job, Side side, Progress& progress) {
    auto device = shape(job, side, progress);
    if (!device) return device;
    auto examined = examine(job, side, progress);
    if (!examined) return examined.fault();
    device->examined = std::move(*examined);
    append(device->checks, device->examined);
    Foot& kept = feet_[side];
    if (!kept.proved.result || kept.proved.key != kept.shelled.key) {
        auto proved = prove_stage(*device->surfaced, *device->shelled, progress);
        if (!proved) return proved.fault();
        kept.proved = {kept.shelled.key, std::make_shared<Proved>(std::move(*proved))};
    }
    device->proved = kept.proved.result;
    std::vector<Check> proofs = device->proved->checks;
    heed_order(job.order, proofs);
    apply_sign_offs(proofs, job, side);
    device->checks.insert(device->checks.end(), proofs.begin(), proofs.end());
    if (!names_insole(job.order)) return device;
    // the file is small and bound by nothing in the job: it is read every time
    std::optional<shoe::Drawing> drawing;
    if (!job.order.insole_outline.empty()) {
        const auto path =
            design::resolve(setting_.job_path, job.order.insole_outline, setting_.allow_outside);
        if (!path) return path.fault();
        auto read = shoe::read_drawing(*path);
        if (!read) return read.fault();
        drawing = std::move(*read);
    }
    const std::string key = shoe_key(kept.shelled.key, job.order, drawing);
    if (!kept.shoe.result || kept.shoe.key != key) {
        auto fit = shoe_stage(whole_mesh(*device->shelled), job.order, drawing);
        if (!fit) return fit.fault();
        kept.shoe = {key, std::make_shared<ShoeFit>(std::move(*fit))};
    }
    device->shoe = kept.shoe.result;
    append(device->checks, device->shoe);
    return device;
}

}  // namespace archwright::build
