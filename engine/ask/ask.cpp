#include "engine/ask/ask.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "engine/ask/search.hpp"
#include "engine/base/text.hpp"
#include "engine/build/flex_subject.hpp"
#include "engine/build/stages.hpp"

namespace archwright::ask {

namespace {

/// The whole device is built and run so often at most; a miss of this share is not worth another time.
constexpr int most_runs = 6;
constexpr double good_share = 0.003, nearer_share = 0.6;
/// Changes that are asked for, as shares.
constexpr double least_relative = -0.95, most_relative = 20.0;

Fault wrong_question(std::string message) {
    return Fault{FaultKind::usage, "ask", std::move(message), std::nullopt};
}

flex::BenchSetting setting_of(const Question& question, const Target& target) {
    flex::BenchSetting setting;
    setting.element_mm = question.element_mm;
    setting.support = question.support;
    setting.deflections = question.deflections;
    setting.moved = target.moved;
    setting.load = target.load;
    setting.sensitivity = false;
    setting.further = false;
    return setting;
}

Outcome<flex::BenchResult> on_bench(flex::Bench& bench, const Question& question, const Target& target,
                                    Progress& progress) {
    auto result = bench.run(target.load_case, setting_of(question, target), &progress);
    if (!result) return result;
    if (!result->gives || !(result->stiffness > 0.0))
        return flex::bench_fault(target.load_case, "it gives by less than " +
                                                       rounded(flex::least_deflection, 2) + " " +
                                                       flex::units(target.load_case).deflection +
                                                       ": there is no stiffness to ask for.");
    return result;
}

/// The device with its walls so, whole, on the bench under every target.
struct Run {
    std::vector<double> values;
    std::vector<flex::BenchResult> results;
    Built built;
    Eigen::VectorXd log_stiffness;
};

Outcome<Run> run_whole(const Built& built, const std::optional<double>& body_mass_kg,
                       const Question& question, Progress& progress) {
    Run run;
    run.built = built;
    run.log_stiffness.resize(static_cast<Eigen::Index>(question.targets.size()));
    flex::Bench bench(build::bench_subject(*built.surfaced, *built.shelled, body_mass_kg));
    for (std::size_t t = 0; t < question.targets.size(); ++t) {
        auto result = on_bench(bench, question, question.targets[t], progress);
        if (!result) return result.fault();
        run.log_stiffness[static_cast<Eigen::Index>(t)] = std::log(result->stiffness);
        run.results.push_back(std::move(*result));
    }
    return run;
}

double wanted_stiffness(const Target& target, const flex::BenchResult& before) {
    switch (target.kind) {
        case Target::Kind::relative:
            return (1.0 + target.value) * target.reference.value_or(before.stiffness);
        case Target::Kind::stiffness:
            return target.value;
        case Target::Kind::deflection:
            return (before.load - before.preload) / target.value;
    }
    return 0.0;
}

/// Checks of the wall that the walls found brought on.
std::vector<std::string> new_checks(const std::vector<Check>& before, const std::vector<Check>& after) {
    std::vector<std::string> told;
    for (const Check& check : after) {
        if (check.verdict == Verdict::pass || !check.id.starts_with("wall.")) continue;
        const bool known = std::any_of(before.begin(), before.end(), [&](const Check& other) {
            return other.id == check.id && other.verdict >= check.verdict;
        });
        if (!known)
            told.push_back(check.title + (check.verdict == Verdict::stop ? " (stop): " : " (look): ") +
                           check.message);
    }
    return told;
}

std::string target_words(const AnsweredTarget& answered) {
    const flex::LoadUnits unit = flex::units(answered.target.load_case);
    return std::string(flex::title(answered.target.load_case)) + ", " + flex::bench_figure(answered.wanted) +
           " " + unit.stiffness;
}

void tell_limits(Answer& answer, bool alone) {
    for (const AnsweredTarget& target : answer.targets) {
        if (target.met || !target.reach) continue;
        const auto [low, high] = *target.reach;
        const std::string between = "between " + flex::bench_figure(low) + " and " +
                                    flex::bench_figure(high) + " " +
                                    flex::units(target.target.load_case).stiffness;
        if (target.wanted < low || target.wanted > high)
            answer.limited.push_back(target_words(target) +
                                     " cannot be reached: these walls within their "
                                     "limits give " +
                                     between + ".");
        else
            answer.limited.push_back(target_words(target) + " was missed, though these walls alone reach " +
                                     between +
                                     (alone ? ": what touches the ground changes abruptly there."
                                            : "; the targets cannot be met together."));
    }
    for (const AnsweredWall& wall : answer.walls)
        if (wall.at_least || wall.at_most)
            answer.limited.push_back(
                "The wall \"" + wall.name + "\" stands at its " + (wall.at_least ? "least, " : "greatest, ") +
                rounded(wall.at_least ? wall.least : wall.most, 2) + " " + wall.unit + ".");
}

}  // namespace

Outcome<Done> check_question(const Question& question) {
    if (question.targets.empty())
        return wrong_question("Say what the device is to do: a stiffness or a deflection under a load.");
    if (question.targets.size() > most_targets)
        return wrong_question(std::to_string(question.targets.size()) + " targets are too many; at most " +
                              std::to_string(most_targets) + ".");
    if (question.walls.empty())
        return wrong_question("Say which walls may change: the base, stations, columns or regions.");
    for (const Target& target : question.targets) {
        const std::string of = std::string(flex::title(target.load_case)) + ": ";
        if (target.kind == Target::Kind::relative) {
            if (!(target.value >= least_relative && target.value <= most_relative))
                return wrong_question(of + "a change of " + exact(100.0 * target.value) +
                                      " % is none to ask for: choose " + exact(100.0 * least_relative) +
                                      " to " + exact(100.0 * most_relative) + ".");
            if (target.reference && !(*target.reference > 0.0))
                return wrong_question(of + "what it is measured against has no stiffness.");
        } else if (!(target.value > 0.0 && target.value <= 1e6)) {
            return wrong_question(of + exact(target.value) + " is none to ask for: give more than 0.");
        }
        if (!target.moved.allFinite() || target.moved.norm() > 100.0)
            return wrong_question(of + "the load is moved too far: at most 100 mm.");
    }
    return flex::check_support(question.support);
}

Outcome<double> reference_stiffness(const build::Device& device, const std::optional<double>& body_mass_kg,
                                    const Target& target, const Question& question, Progress& progress) {
    flex::Bench bench(build::bench_subject(*device.surfaced, *device.shelled, body_mass_kg));
    Question far = question;
    if (far.deflections == flex::Deflections::automatic) far.deflections = flex::Deflections::large;
    const auto result = on_bench(bench, far, target, progress);
    if (!result) return result.fault();
    return result->stiffness;
}

Outcome<Answer> ask(const Built& built, const design::FootDesign& foot,
                    const std::optional<double>& body_mass_kg, const Question& given, const Rebuild& rebuild,
                    Progress& progress) {
    if (const auto good = check_question(given); !good) return good.fault();
    auto asked = asked_walls(given, foot.wall, built.shelled->material);
    if (!asked) return asked.fault();
    Question question = given;
    const bool thin = std::any_of(asked->begin(), asked->end(), [](const AskedWall& wall) {
        return wall.kind != design::WallZone::Kind::scale && wall.low < flex::thin_wall_mm;
    });
    const bool against = std::any_of(question.targets.begin(), question.targets.end(),
                                     [](const Target& target) { return target.reference.has_value(); });
    if (question.deflections == flex::Deflections::automatic && (thin || against))
        question.deflections = flex::Deflections::large;
    std::optional<Progress::Stretch> part;
    part.emplace(progress, "The device as it is on the bench", 0.0, 0.15);
    auto before = run_whole(built, body_mass_kg, question, progress);
    if (!before) return before.fault();
    if (question.deflections == flex::Deflections::automatic) {
        const bool far = std::any_of(before->results.begin(), before->results.end(), [](const auto& result) {
            return result.deflections == flex::Deflections::large;
        });
        question.deflections = far ? flex::Deflections::large : flex::Deflections::small;
        if (far) before = run_whole(built, body_mass_kg, question, progress);
        if (!before) return before.fault();
    }

    Answer answer;
    const auto count = static_cast<Eigen::Index>(question.targets.size());
    Eigen::VectorXd wanted(count);
    for (Eigen::Index t = 0; t < count; ++t) {
        AnsweredTarget one;
        one.target = question.targets[t];
        one.load = before->results[t].load;
        one.preload = before->results[t].preload;
        one.before = before->results[t].stiffness;
        one.wanted = wanted_stiffness(one.target, before->results[t]);
        wanted[t] = std::log(one.wanted);
        answer.targets.push_back(std::move(one));
    }
    const flex::BenchSubject subject = build::bench_subject(*built.surfaced, *built.shelled, body_mass_kg);
    auto trial = Trial::of(built, foot, subject, question.element_mm, nullptr);
    if (!trial) return trial.fault();
    std::vector<Loading> loadings;
    for (std::size_t t = 0; t < question.targets.size(); ++t) {
        const Target& target = question.targets[t];
        loadings.push_back({target.load_case, answer.targets[t].load, answer.targets[t].preload,
                            question.support,
                            flex::place_load(*subject.rule, trial->built_body()->middle.model,
                                             target.load_case, target.moved),
                            question.deflections == flex::Deflections::large});
    }
    Search search(*trial, foot.wall, *asked, loadings);
    std::vector<double> values;
    for (const AskedWall& one : *asked) values.push_back(std::clamp(one.now, one.low, one.high));
    part.reset();
    part.emplace(progress, "Trial walls on the bench", 0.15, 0.8);
    auto tried = search.at(values, nullptr, &progress);
    if (!tried) return tried.fault();

    // trial walls against the whole device, as the logarithm of their ratio
    Eigen::VectorXd off = Eigen::VectorXd::Zero(count);
    std::vector<double> now;
    for (const AskedWall& one : *asked) now.push_back(one.now);
    if (now == values) off = before->log_stiffness - tried->log_stiffness;
    std::optional<Run> best;
    const auto missed = [&](const Run& run) { return (run.log_stiffness - wanted).cwiseAbs().maxCoeff(); };
    double last_missed = 1e300;
    int runs = 1;
    for (int round = 0; round < most_runs; ++round) {
        auto found = search.meet(wanted - off, std::move(*tried), &progress);
        if (!found) return found.fault();
        tried = std::move(found);
        part.reset();
        part.emplace(progress, "The device built with those walls", 0.8, 1.0);
        const std::vector<double> written = as_written(*asked, tried->values);
        if (best && best->values == written) break;  // at its limits, or nothing finer can be said
        auto whole = rebuild(written_wall(foot.wall, *asked, written), progress);
        if (!whole) {
            Fault fault = whole.fault();
            if (fault.kind == FaultKind::cancelled) return fault;
            if (best) break;
            fault.message = "The walls that would do it cannot be built. " + fault.message;
            return fault;
        }
        auto run = run_whole(*whole, body_mass_kg, question, progress);
        if (!run) {
            if (best && run.fault().kind != FaultKind::cancelled) break;
            return run.fault();
        }
        ++runs;
        run->values = written;
        // half of a correction that has not brought it much nearer: two walls that are as good must not take
        // turns
        const bool nearer = missed(*run) < nearer_share * last_missed;
        last_missed = missed(*run);
        off += (nearer ? 1.0 : 0.5) * (run->log_stiffness - tried->log_stiffness - off);
        if (!best || missed(*run) < missed(*best)) best = std::move(*run);
        if (missed(*best) <= good_share) break;
        part.reset();
        part.emplace(progress, "Trial walls on the bench", 0.8, 0.9);
    }

    answer.wall = written_wall(foot.wall, *asked, best->values);
    const auto set = settings(answer.wall, *asked);
    for (std::size_t i = 0; i < asked->size(); ++i) {
        const AskedWall& one = (*asked)[i];
        AnsweredWall told;
        told.name = one.name;
        told.parameter = set[i].first;
        told.value = set[i].second;
        told.unit = one.kind == design::WallZone::Kind::scale ? "times the wall below" : "mm";
        told.before = one.now;
        told.after = best->values[i];
        told.least = one.low;
        told.most = one.high;
        told.at_least = told.after <= one.low + 5e-4;
        told.at_most = told.after >= one.high - 5e-4;
        answer.walls.push_back(std::move(told));
    }
    answer.met = true;
    for (Eigen::Index t = 0; t < count; ++t) {
        AnsweredTarget& one = answer.targets[t];
        const flex::BenchResult& result = best->results[t];
        one.found = result.stiffness;
        one.deflection = result.curve.back().deflection;
        one.large = result.large;
        one.deflections = result.deflections;
        one.met = std::abs(one.found / one.wanted - 1.0) <= met_share;
        answer.met = answer.met && one.met;
        if (one.met) continue;
        auto reach = search.reach(static_cast<std::size_t>(t), *tried, &progress);
        if (!reach && reach.fault().kind == FaultKind::cancelled) return reach.fault();
        if (reach) one.reach = {std::exp(reach->first + off[t]), std::exp(reach->second + off[t])};
    }
    tell_limits(answer, count == 1);
    answer.notes = new_checks(built.shelled->checks, best->built.shelled->checks);
    answer.trials = search.trials();
    answer.runs = runs;
    answer.results = std::move(best->results);
    return answer;
}

Rebuild rebuild_shell(const Built& built, const design::FootDesign& foot,
                      std::shared_ptr<const design::Materials> materials) {
    return [built, foot, materials = std::move(materials)](const design::Wall& wall,
                                                           Progress& progress) -> Outcome<Built> {
        design::FootDesign changed = foot;
        changed.wall = wall;
        auto shelled = build::shell_stage(*built.received, *built.surfaced, changed, *materials, progress);
        if (!shelled) return shelled.fault();
        return Built{built.received, built.surfaced,
                     std::make_shared<const build::Shelled>(std::move(*shelled))};
    };
}

Outcome<Answer> ask(build::Workbench& workbench, const design::Job& job, Side side, const Question& question,
                    Progress& progress) {
    const std::optional<design::FootDesign>& foot = job.foot(side);
    if (!foot) return wrong_question(std::string("The job has no ") + word(side) + " foot.");
    const auto device = workbench.shape(job, side, progress);
    if (!device) return device.fault();
    const Rebuild rebuild = [&](const design::Wall& wall, Progress& within) -> Outcome<Built> {
        design::Job changed = job;
        changed.foot(side)->wall = wall;
        const auto again = workbench.shape(changed, side, within);
        if (!again) return again.fault();
        return Built{again->received, again->surfaced, again->shelled};
    };
    return ask({device->received, device->surfaced, device->shelled}, *foot, job.order.body_mass_kg, question,
               rebuild, progress);
}

}  // namespace archwright::ask
