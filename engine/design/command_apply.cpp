#include "engine/design/command_apply.hpp"

#include "engine/design/decisions.hpp"

#include <algorithm>
#include <array>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/design/answer.hpp"
#include "engine/design/asset_files.hpp"
#include "engine/design/command_label.hpp"
#include "engine/design/command_lists.hpp"
#include "engine/design/command_table.hpp"
#include "engine/design/job_file.hpp"
#include "engine/design/marks.hpp"
#include "engine/design/parameters.hpp"
#include "engine/design/reader.hpp"
#include "engine/design/statement.hpp"
#include "engine/design/wall_bands.hpp"
#include "engine/design/words.hpp"

namespace archwright::design {

namespace {

/// The command in work: a copy of the job that takes its place when all went well.
struct Work {
    const Command& command;
    Job job;
    Side side = Side::right;
    const Surroundings& around;
    Applied applied{};

    FootDesign& foot() { return *job.foot(side); }
    std::string value(std::string_view argument) const { return command.value(argument); }
    Fault wrong(std::string message) const {
        return Fault{FaultKind::usage, command.name, std::move(message), {}};
    }
};

Outcome<Done> known_material(const Work& work, const std::string& material) {
    if (!work.around.materials || material.empty()) return Done{};
    const auto known = work.around.materials->find(material);
    if (!known) return known.fault();
    return Done{};
}

Outcome<Done> run_set(Work& work) {
    std::string name = work.value("name");
    for (const Side each : {Side::left, Side::right})
        if (const std::string prefix = std::string(word(each)) + "."; name.starts_with(prefix))
            name.erase(0, prefix.size());
    const bool back = work.command.name == "reset";
    const std::string value = work.value("value");
    const auto done = of_case(name) ? (back ? reset(work.job, name) : set(work.job, name, value))
                                    : (back ? reset(work.foot(), name) : set(work.foot(), name, value));
    if (!done) return done.fault();
    if (name == "material")
        if (const auto known = known_material(work, work.foot().material); !known) return known.fault();
    work.applied.told.push_back(name + (back ? " back to its default" : " = " + value));
    return Done{};
}

Outcome<Done> run_state(Work& work) {
    CastWords words;
    if (const std::string* side = work.command.find("side")) words.side = from_key<Side>(*side);
    if (const std::string* unit = work.command.find("unit")) words.unit = from_key<LengthUnit>(*unit);
    if (const std::string* up = work.command.find("up")) words.up = parse_place(*up)->normalized();
    if (const std::string* toes = work.command.find("toes")) words.toes = parse_place(*toes)->normalized();
    if (const std::string* inside = work.command.find("inside_out")) words.inside_out = *inside == "yes";
    words.by = work.value("by");
    if (!words.side && !words.unit && !words.up && !words.toes && !words.inside_out)
        return work.wrong("Say what you state: side, unit, up, toes or inside_out.");
    if (!work.around.cast)
        return work.wrong("A cast is stated with its file in hand, and it is not open. Nothing was changed.");
    auto answer = work.around.cast(work.job, work.side, words);
    if (!answer) return answer.fault();
    work.side = answer->foot;
    work.applied.told = std::move(answer->told);
    if (answer->contradictions.empty()) return Done{};
    std::string message = "Put on record, and it contradicts the shape, so nothing can be made yet:";
    for (const Check& check : answer->contradictions)
        message += "\n  [stop] " + check.title + " (" + check.id + "): " + check.message;
    work.applied.objection =
        Fault{FaultKind::ask,
              "state",
              message + "\nState what is right; a side or a unit that is right all the same, type once more.",
              {}};
    return Done{};
}

Outcome<std::vector<foot::LandmarkId>> landmarks_meant(Work& work) {
    const std::string name = work.value("name");
    std::vector<foot::LandmarkId> ids;
    if (name == "all") {
        if (work.command.name != "landmark confirm")
            return work.wrong("\"all\" confirms; it takes no place.");
        for (const auto& [id, landmark] : work.foot().landmarks) ids.push_back(id);
        return ids;
    }
    if (const auto id = foot::landmark_id(name)) return std::vector{*id};
    std::vector<std::string> names;
    for (const foot::LandmarkId each : every_landmark()) names.emplace_back(foot::key(each));
    const std::string near = nearest_word(std::string_view(name).substr(0, longest_name), names);
    std::string message = "There is no landmark " + in_quotes(name);
    if (!near.empty()) message += "; did you mean \"" + near + "\"?";
    message += (near.empty() ? ". There are:" : " There are:");
    for (const std::string& each : names) message += " " + each;
    return work.wrong(message);
}

Outcome<Done> run_landmark(Work& work) {
    const auto ids = landmarks_meant(work);
    if (!ids) return ids.fault();
    const bool sets = work.command.name == "landmark set", removes = work.command.name == "landmark remove";
    for (const foot::LandmarkId id : *ids) {
        if (!sets && work.foot().landmarks.count(id) == 0)
            return work.wrong(
                std::string("The job holds no ") + foot::title(id) +
                (removes ? "." : " to confirm: give its place, X,Y,Z in the cast file's coordinates."));
        if (removes) {
            work.foot().landmarks.erase(id);
            work.applied.told.push_back(std::string(foot::title(id)) + ": removed.");
            continue;
        }
        foot::Landmark& landmark = work.foot().landmarks[id];
        // a place confirmed as it was suggested is no better known than before; one measured is
        if (sets) {
            landmark.position = *parse_place(work.value("place"));
            landmark.confidence = 1.0;
            landmark.sd_mm = tolerance::set_landmark_sd_mm;
        }
        if (landmark.position.cwiseAbs().maxCoeff() > scan_bound)
            return work.wrong("The place lies beyond any scan: coordinates must lie between " +
                              exact(-scan_bound) + " and " + exact(scan_bound));
        landmark.source = foot::Landmark::Source::set;
        landmark.by = work.value("by");
        work.applied.told.push_back(std::string(foot::title(id)) + (sets ? ": set by " : ": confirmed by ") +
                                    landmark.by + ".");
    }
    return Done{};
}

Outcome<Done> run_mark(Work& work) {
    const std::string name = work.value("name");
    if (work.command.name == "mark relieve") {
        const auto relief = relieve_mark(work.foot(), name);
        if (!relief) return relief.fault();
        work.applied.told.push_back("\"" + *relief + "\" lies on the mark \"" + name + "\".");
        return Done{};
    }
    if (const auto done = refuse_mark(work.foot(), name, work.value("by")); !done) return done.fault();
    work.applied.told.push_back("\"" + name + "\": refused by " + work.value("by") +
                                "; it will not be offered again.");
    for (const std::string& feature : lying_on(work.foot(), name))
        work.applied.told.push_back("\"" + feature +
                                    "\" lies on it and stops the work now: anchor it elsewhere or take it "
                                    "out.");
    return Done{};
}

Outcome<Done> run_answer(Work& work) {
    const auto what = *from_key<examine::Finding::Kind>(work.value("what"));  // checked by the table
    const Vec3 place = *parse_place(work.value("place"));
    double reach = answer_reach_mm;
    if (const std::string* text = work.command.find("reach_mm")) {
        std::string_view figure = *text;
        if (figure.ends_with("mm")) figure.remove_suffix(2);
        while (figure.ends_with(' ')) figure.remove_suffix(1);
        reach = *parse_number(figure);
    }
    const auto is = from_key<Answer::Is>(work.value("is"));
    if (is)
        put_answer(work.foot(), {what, place, *is, work.value("by"), work.value("note")}, reach);
    else if (forget_answers(work.foot(), what, place, reach) == 0)
        return work.wrong("Nobody has answered there. Nothing was changed.");
    work.applied.told.push_back(
        std::string("What was found there (") + examine::title(what) + ") is " +
        (is ? std::string(title_of(*is)) + ", says " + work.value("by") + "." : "open again."));
    return Done{};
}

Outcome<Done> run_wall_bands(Work& work) {
    std::optional<Material> material;
    if (work.around.materials) {
        auto known = work.around.materials->find(work.foot().material);
        if (!known) return known.fault();
        material = std::move(*known);
    }
    auto bands = rigidity_bands(work.command);
    if (!bands) return bands.fault();
    auto told = lay_bands(*bands, material ? &*material : nullptr, work.foot().wall);
    if (!told) return told.fault();
    work.applied.told = std::move(*told);
    return Done{};
}

Outcome<Done> run_apply(Work& work) {
    const auto preset =
        work.around.preset ? work.around.preset(work.value("preset")) : find_preset(work.value("preset"));
    if (!preset) return preset.fault();
    auto changes = apply(work.job, work.side, *preset, work.value("by"));
    if (!changes) return changes.fault();
    for (const PresetChange& change : *changes)
        if (change.name == "material")
            if (const auto known = known_material(work, change.to); !known) return known.fault();
    auto& told = work.applied.told;
    told.push_back("Applied " + preset->code + " (" + preset->title + ") to the " + word(work.side) +
                   " foot, by " + work.value("by") + ".");
    for (const PresetChange& change : *changes)
        told.push_back("  " + change.name + " = " + in_brief(change.to) +
                       (change.changed() ? " (was " + in_brief(change.from) + ")" : ", as it was"));
    if (!preset->note.empty()) told.push_back("  " + preset->note);
    work.applied.changes = std::move(*changes);
    return Done{};
}

/// Whether any relief or pad of the foot lies on a mark of its own.
bool lies_on_marks(const FootDesign& foot) {
    return std::any_of(foot.features.begin(), foot.features.end(), [&](const feature::Feature& one) {
        return std::any_of(foot.marks.begin(), foot.marks.end(),
                           [&](const Mark& mark) { return mark.name == one.anchor; });
    });
}

Outcome<Done> run_carry(Work& work) {
    const Side from = *from_key<Side>(work.value("from"));  // checked by the table
    if (!work.job.left || !work.job.right)
        return work.wrong("The job has one foot only: there is none to carry from or to.");
    const auto parts = parse_order_parts(work.value("parts"));
    if (!parts) return parts.fault();
    work.side = other(from);
    const FootDesign& source = *work.job.foot(from);
    PlaceOver place;
    const bool with_features = std::find(parts->begin(), parts->end(), "features") != parts->end();
    if (with_features && lies_on_marks(source) && work.around.place_over) {
        auto over = work.around.place_over(work.job, from);
        if (!over) return over.fault();
        place = std::move(*over);
    }
    const std::vector<std::string> drawn = carry_order(source, work.foot(), *parts, place);
    if (work.around.every_rule) {
        Problems problems;
        check_foot(work.foot(), word(work.side), problems);
        if (!problems.empty()) return work.wrong(problems.text());
    }
    std::string list;
    for (const std::string& part : *parts) list += (list.empty() ? "" : ", ") + part;
    work.applied.foot = work.side;
    work.applied.told.push_back("Of the " + std::string(word(work.side)) + " foot now as on the " +
                                word(from) + ": " + list + ".");
    for (const std::string& one : drawn)
        work.applied.told.push_back("Drawn for the other foot; look whether it belongs here: " + one);
    return Done{};
}

Outcome<Done> run_sign(Work& work) {
    const std::string check = work.value("check"), by = work.value("by");
    // only a check that stops this very device can be signed, and only where a person may sign it
    if (!work.around.open_stops)
        return work.wrong(
            "A check is signed with its device at hand, and it is not built. Nothing was changed.");
    const auto stops = work.around.open_stops(work.job, work.side);
    if (!stops) return stops.fault();
    const auto stop =
        std::find_if(stops->begin(), stops->end(), [&](const Check& c) { return c.id == check; });
    if (stop == stops->end()) {
        std::string message = "The check \"" + check + "\" does not stop this device.";
        for (const Check& open : *stops) message += "\n  [stop] " + open.title + " (" + open.id + ")";
        return work.wrong(message + "\nNothing was changed.");
    }
    if (!stop->signable) {
        Fault never = work.wrong(stop->title + " (" + stop->id +
                                 ") can never be signed off; mend it: " + stop->message);
        never.where = stop->where;
        return never;
    }
    const auto done = sign(work.job, work.side, check, by, work.value("reason"), work.value("second"));
    if (!done) return done.fault();
    work.applied.told.push_back("Signed " + check + " for the " + word(work.side) + " foot, by " + by +
                                ". It holds for the design as it is now; any later edit voids it.");
    return Done{};
}

Outcome<Done> run_unsign(Work& work) {
    const std::string check = work.value("check");
    const auto gone =
        std::erase_if(work.foot().sign_offs, [&](const SignOff& s) { return s.check == check; });
    if (gone == 0) return work.wrong("The check \"" + check + "\" is not signed. Nothing was changed.");
    work.applied.told.push_back("The sign-off of " + check + " is taken back.");
    return Done{};
}

Outcome<Done> run_approve(Work& work) {
    const auto done = approve(work.job, work.side, work.value("by"), work.value("date"));
    if (!done) return done.fault();
    work.applied.told.push_back("Revision " + work.job.revision() + " of the " + word(work.side) +
                                " foot approved by " + work.value("by") + "; any later edit voids it.");
    return Done{};
}

Outcome<Done> run_revise(Work& work) {
    const Revision revision{next_letter(work.job.revision()), work.value("date"), work.value("note")};
    if (text_length(TextKind::letter) < revision.letter.size())
        return work.wrong("There are no more letters for revisions: begin a job of its own.");
    // as it ends, so that the next one can be held against it
    for (const Side side : {Side::left, Side::right}) keep_past(work.job, side);
    work.job.revisions.push_back(revision);
    work.applied.told.push_back("Revision " + revision.letter + ": " + revision.note);
    return Done{};
}

using Runner = Outcome<Done> (*)(Work&);
Runner runner_of(const std::string& name) {
    struct Row {
        std::string_view name;
        Runner run;
    };
    static constexpr std::array<Row, 16> rows{{{"set", run_set},
                                               {"reset", run_set},
                                               {"state", run_state},
                                               {"landmark set", run_landmark},
                                               {"landmark confirm", run_landmark},
                                               {"landmark remove", run_landmark},
                                               {"mark refuse", run_mark},
                                               {"mark relieve", run_mark},
                                               {"answer", run_answer},
                                               {"wall bands", run_wall_bands},
                                               {"apply", run_apply},
                                               {"carry", run_carry},
                                               {"sign", run_sign},
                                               {"unsign", run_unsign},
                                               {"approve", run_approve},
                                               {"revise", run_revise}}};
    for (const Row& row : rows)
        if (row.name == name) return row.run;
    return nullptr;
}

/// The foot a command means, as far as it says so.
std::optional<Side> named_foot(const Command& command) {
    std::optional<Side> side;
    if (const std::string* foot = command.find("foot")) side = from_key<Side>(*foot);
    if (command.name != "set" && command.name != "reset") return side;
    for (const Side each : {Side::left, Side::right})  // "left.trim..." says the foot as the job file does
        if (command.value("name").starts_with(std::string(word(each)) + ".")) side = each;
    return side;
}

bool needs_foot(const Command& command, const CommandKind& kind) {
    if (command.name == "set" || command.name == "reset") return !of_case(command.value("name"));
    return kind.of_foot;
}

}  // namespace

Outcome<Applied> apply(const Command& given, Job& job, const Surroundings& around) {
    auto command = check(given, job_commands());
    if (!command) return command.fault();
    const CommandKind& kind = *find_kind(job_commands(), command->name);
    Work work{*command, job, Side::right, around};
    const bool of_foot = needs_foot(*command, kind);
    if (of_foot) {
        auto named = named_foot(*command);
        if (!named) named = around.foot;
        const auto side = choose_foot(job, named);
        if (!side) return side.fault();
        work.side = *side;
    }
    if (const Runner run = runner_of(command->name)) {
        if (const auto done = run(work); !done) return done.fault();
    } else {
        auto told = edit_lists(*command, work.foot());
        if (!told) return told.fault();
        work.applied.told.push_back(std::move(*told));
    }
    if (of_foot && around.every_rule) {
        Problems problems;
        check_foot(work.foot(), word(work.side), problems);
        if (!problems.empty()) return work.wrong(problems.text());
    }
    work.applied.label = step_label(*command);
    if (of_foot) work.applied.foot = work.side;
    job = std::move(work.job);
    return std::move(work.applied);
}

Outcome<Side> choose_foot(const Job& job, const std::optional<Side>& named) {
    if (named && job.foot(*named)) return *named;
    if (named)
        return Fault{FaultKind::usage, "job", std::string("The job has no ") + word(*named) + " foot.", {}};
    if (job.left && job.right)
        return Fault{
            FaultKind::usage,
            "job",
            "The job has both feet: say which, left or right (--foot left on the command line, foot=left "
            "in a script).",
            {}};
    if (!job.left && !job.right) return Fault{FaultKind::usage, "job", "The job has no foot.", {}};
    return job.left ? Side::left : Side::right;
}

Outcome<Preset> find_preset(const std::string& word) {
    const std::filesystem::path path(word);
    if (path.extension() == ".json" || path.has_parent_path()) return read_preset(path);
    auto all = load_presets(assets_folder() / "presets");
    if (!all) return all.fault();
    if (const auto found = all->find(word); found != all->end()) return found->second;
    std::vector<std::string> codes;
    std::string list;
    for (const auto& [code, preset] : *all) {
        codes.push_back(code);
        list += (list.empty() ? "" : ", ") + code;
    }
    const std::string near = nearest_word(std::string_view(word).substr(0, longest_name), codes);
    return Fault{FaultKind::usage,
                 "preset",
                 "There is no preset " + in_quotes(word) +
                     (near.empty() ? "" : "; did you mean \"" + near + "\"?") + " There are: " + list +
                     ". A preset of your own is named by its file, ending in .json. Nothing was changed.",
                 {}};
}

}  // namespace archwright::design
