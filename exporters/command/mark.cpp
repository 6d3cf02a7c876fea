// marks: ink on the cast becomes suggestions of the job. mark: a person says what becomes of one.
#include <algorithm>
#include <nlohmann/json.hpp>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/design/marks.hpp"
#include "engine/design/text_kind.hpp"
#include "engine/design/words.hpp"
#include "engine/mark/find_ink.hpp"
#include "engine/mark/photograph.hpp"
#include "exporters/command/job_in_hand.hpp"
#include "exporters/marks_told.hpp"

namespace archwright::exporters::command {

namespace {

using design::InkInJob;

const char* word(InkInJob::What what) {
    switch (what) {
        case InkInJob::What::known:
            return "known";
        case InkInJob::What::refused:
            return "refused";
        case InkInJob::What::added:
            break;
    }
    return "added";
}

/// `mark`: of the job, which this ink became or is.
std::string told(const InkInJob& became, const mark::InkMark& ink, const design::Mark& mark) {
    std::string line = "  ";
    if (mark.open())
        line += guess_words(mark.name, mark.meaning);
    else
        line += design::in_quotes(mark.name) + " (" + design::title_of(mark.meaning) + ")";
    line += ", confidence " + rounded(ink.confidence, 2);
    if (became.what == InkInJob::What::refused)
        line += ", refused before";
    else if (became.what == InkInJob::What::known)
        line += ", in the job already" +
                (mark.open() || mark.by.empty() ? std::string() : ", accepted by " + mark.by);
    return line + ". " + ink.sentence;
}

/// A photograph as it lies on the cast.
struct Seen {
    scan::Raster picture;
    mark::Fitted fitted;
};

Outcome<Seen> look_at(const MarksOptions& options, const foot::Standing& standing, Progress& progress) {
    auto picture = scan::read_photograph(options.photograph);
    if (!picture) return picture.fault();
    auto fitted = mark::fit_photograph(standing, options.matches,
                                       options.inside ? mark::Shown::inside : mark::Shown::outside,
                                       picture->width, picture->height, &progress);
    if (!fitted) return fitted.fault();
    return Seen{std::move(*picture), std::move(*fitted)};
}

/// What a mark's note says of the photograph it came from: which, and how well it lies on the cast.
std::string of_photograph(const MarksOptions& options, const Seen& seen) {
    const Check& check = seen.fitted.check;
    std::string name = options.photograph.filename().string();
    constexpr std::size_t longest = 80;
    if (!design::text_trouble(name, design::TextKind::words).empty() || name.size() > longest)
        name.clear();  // what a job cannot hold, or what would fill the note
    return "the photograph" + (name.empty() ? std::string() : " \"" + name + "\"") +
           ", photo.fit: " + archwright::word(check.verdict) + ". " + check.message;
}

nlohmann::ordered_json photo_json(const mark::Fitted& fitted) {
    return {{"matches", fitted.numbers},
            {"rms_mm", fitted.rms_mm},
            {"residual_mm", fitted.residual_mm},
            {"left_out_mm", fitted.left_out_mm},
            {"verdict", archwright::word(fitted.check.verdict)},
            {"message", fitted.check.message}};
}

std::string text_of(const nlohmann::ordered_json& json) {
    return json.dump(2, ' ', false, nlohmann::json::error_handler_t::replace) + "\n";
}

std::optional<Fault> named_twice(const std::vector<DrawnLine>& drawn) {
    for (std::size_t i = 0; i < drawn.size(); ++i)
        for (std::size_t k = 0; k < i; ++k)
            if (drawn[i].name == drawn[k].name)
                return Fault{FaultKind::usage,
                             "photo",
                             "--draw names " + design::in_quotes(drawn[i].name) +
                                 " twice: give each mark a name of its own. Nothing was changed.",
                             {}};
    return std::nullopt;
}

/// Draws what was drawn on the photograph, or nothing of it.
Outcome<Done> draw_on(const MarksOptions& options, const Seen& seen, const foot::Standing& standing,
                      design::FootDesign& foot) {
    for (const DrawnLine& line : options.drawn) {
        auto points = mark::carried(standing, seen.fitted.view, line.pixels);
        if (!points) return points.fault();
        for (Vec3& p : *points) p = standing.frame.to_scan(p);
        const auto done = design::draw_mark(foot, line.name, *points, {}, {}, options.by,
                                            "Drawn on " + of_photograph(options, seen));
        if (!done) return done.fault();
    }
    return Done{};
}

/// Places drawn by hand that do not lie on the cast: refused, as a mark there would carry a relief with it.
std::optional<Fault> off_the_cast(Console& console, const MarkOptions& options, const design::Job& job,
                                  Side side) {
    const auto bench = open_bench(options.job, options.reading);
    if (!bench) return bench.fault();
    const auto received = (*bench)->receive(job, side, console.progress());
    if (!received) return received.fault();
    const auto off = mark::off_cast((*received)->standing, options.points);
    if (!off) return std::nullopt;
    return Fault{FaultKind::usage,
                 "mark",
                 "Point " + std::to_string(off->which + 1) + " lies " + rounded(off->distance_mm, 1) +
                     " mm from the cast, and a mark lies on it to " + rounded(tolerance::mark_off_mm, 0) +
                     " mm: give X,Y,Z in the cast file's own coordinates (unit " +
                     archwright::word(job.foot(side)->cast.unit.value) + "). Nothing was changed.",
                 {}};
}

}  // namespace

Exit run_marks(Console& console, const MarksOptions& options) {
    if (const auto twice = named_twice(options.drawn)) return console.fail(*twice);
    FileKnown known;
    auto job = open_job(options.job, options.reading, &known);
    if (!job) return console.fail(job.fault());
    const auto side = choose_foot(*job, options.foot);
    if (!side) return console.fail(side.fault());
    const auto bench = open_bench(options.job, options.reading);
    if (!bench) return console.fail(bench.fault());
    const auto received = (*bench)->receive(*job, *side, console.progress());
    if (!received) return console.fail(received.fault());
    const foot::Standing& standing = (*received)->standing;
    design::FootDesign& foot = *job->foot(*side);
    std::optional<Seen> seen;
    if (!options.photograph.empty()) {
        auto looked = look_at(options, standing, console.progress());
        if (!looked) return console.fail(looked.fault());
        seen = std::move(*looked);
        const Check& check = seen->fitted.check;
        console.say("[" + std::string(archwright::word(check.verdict)) + "] " + check.title + ": " +
                    check.message);
    }
    if (!options.drawn.empty()) {
        if (const auto done = draw_on(options, *seen, standing, foot); !done)
            return console.fail(done.fault());
        if (const auto saved = keep_job(*job, options.job, options.reading, known); !saved)
            return console.fail(saved.fault());
        auto drawn = nlohmann::ordered_json::array();
        for (const DrawnLine& line : options.drawn) {
            console.say("\"" + line.name + "\": drawn on the photograph by " + options.by + ".");
            drawn.push_back({{"name", line.name}, {"points", line.pixels.size()}});
        }
        if (console.json())
            console.print(text_of({{"ok", true}, {"drawn", drawn}, {"photo", photo_json(seen->fitted)}}));
        return Exit::done;
    }
    if (!seen && standing.mesh.colours.empty())
        return console.fail(
            {FaultKind::input,
             "marks",
             "The cast has no colours, so no ink can be found on it: scan it in colour, lay a "
             "photograph of the sole on it (--photo), or draw each mark by hand with "
             "archwright mark JOB NAME --at X,Y,Z.",
             {}});
    auto ink = seen ? mark::find_ink(standing, seen->fitted.view, seen->picture, &console.progress())
                    : mark::find_ink(standing, &console.progress());
    if (!ink) return console.fail(ink.fault());
    if (seen)
        for (mark::InkMark& one : *ink) one.sentence += " Seen on " + of_photograph(options, *seen);
    const std::vector<InkInJob> became = design::suggest_marks(foot, *ink, standing.frame);
    std::string accept;
    for (const InkInJob& one : became)
        if (one.what == InkInJob::What::added && accept.empty()) accept = one.name;
    if (!accept.empty())
        if (const auto saved = keep_job(*job, options.job, options.reading, known); !saved)
            return console.fail(saved.fault());
    if (console.json()) {
        auto out = nlohmann::ordered_json::array();
        for (std::size_t i = 0; i < became.size(); ++i)
            out.push_back({{"name", became[i].name},
                           {"what", word(became[i].what)},
                           {"kind", design::key_of((*ink)[i].kind)},
                           {"meaning", design::key_of((*ink)[i].guess)},
                           {"confidence", (*ink)[i].confidence},
                           {"evidence", (*ink)[i].sentence}});
        nlohmann::ordered_json all{{"ok", true}, {"ink", out}};
        if (seen) all["photo"] = photo_json(seen->fitted);
        console.print(text_of(all));
        return Exit::done;
    }
    if (ink->empty()) {
        console.say(
            "No ink was found on the cast. What is there all the same, draw by hand: archwright mark " +
            options.job.string() + " NAME --at X,Y,Z --by CODE");
        return Exit::done;
    }
    console.say("Ink on the cast of the " + std::string(archwright::word(*side)) + " foot:");
    for (std::size_t i = 0; i < became.size(); ++i) {
        const auto mark = std::find_if(foot.marks.begin(), foot.marks.end(),
                                       [&](const design::Mark& one) { return one.name == became[i].name; });
        console.say(told(became[i], (*ink)[i], *mark));
    }
    if (!accept.empty())
        console.say("Suggested, not yet accepted. Look at each, then for example: archwright mark " +
                    options.job.string() + " " + accept + " --accept --by CODE (or --refuse)");
    return Exit::done;
}

Exit run_mark(Console& console, const MarkOptions& options) {
    FileKnown known;
    auto job = open_job(options.job, options.reading, &known);
    if (!job) return console.fail(job.fault());
    const auto side = choose_foot(*job, options.foot);
    if (!side) return console.fail(side.fault());
    design::FootDesign& foot = *job->foot(*side);
    std::string name = options.name;
    const auto meaning = options.meaning.empty() ? std::optional<design::Mark::Meaning>()
                                                 : design::from_key<design::Mark::Meaning>(options.meaning);
    const auto kind = options.kind.empty() ? std::optional<design::Mark::Kind>()
                                           : design::from_key<design::Mark::Kind>(options.kind);
    const auto usage = [&](const std::string& message) {
        return console.fail({FaultKind::usage, "mark", message + " Nothing was changed.", {}});
    };
    if (options.refuse && (!options.points.empty() || options.relief))
        return usage("--refuse says that there is no mark: it goes with neither --at nor --relief.");
    if (kind && options.points.empty())
        return usage("--kind goes with the points: give them with --at X,Y,Z.");
    std::vector<std::string> told;
    if (!options.points.empty()) {
        if (const auto fault = off_the_cast(console, options, *job, *side)) return console.fail(*fault);
        if (const auto done = design::draw_mark(foot, name, options.points, kind, meaning, options.by); !done)
            return console.fail(done.fault());
        told.push_back("\"" + name + "\": drawn by " + options.by + ".");
    }
    // to say what a mark means is to say that it is one
    if (options.accept || (meaning && !options.refuse && options.points.empty())) {
        if (const auto done = design::accept_mark(foot, name, meaning, options.by); !done)
            return console.fail(done.fault());
        told.push_back("\"" + name + "\": accepted by " + options.by + ".");
    }
    if (options.refuse) {
        if (const auto done = design::refuse_mark(foot, name, options.by); !done)
            return console.fail(done.fault());
        std::string line = "\"" + name + "\": refused by " + options.by + "; it will not be offered again.";
        for (const std::string& feature : design::lying_on(foot, name))
            line +=
                " \"" + feature + "\" lies on it and stops the work now: anchor it elsewhere or take it out.";
        told.push_back(line);
    }
    if (!options.rename.empty()) {
        if (const auto done = design::rename_mark(foot, name, options.rename); !done)
            return console.fail(done.fault());
        told.push_back("\"" + name + "\" is \"" + options.rename +
                       "\" now, and what lies on it went with it.");
        name = options.rename;
    }
    if (options.relief) {
        const auto relief = design::relieve_mark(foot, name);
        if (!relief) return console.fail(relief.fault());
        const feature::Feature& laid = foot.features.back();
        told.push_back("\"" + *relief + "\": " +
                       (laid.kind == feature::Feature::Kind::groove ? "a groove along" : "a cavity on") +
                       " \"" + name + "\", " + rounded(laid.width_mm, 1) + " mm wide, " +
                       rounded(laid.depth_mm, 1) + " mm deep.");
    }
    if (const auto saved = keep_job(*job, options.job, options.reading, known); !saved)
        return console.fail(saved.fault());
    for (const std::string& line : told) console.say(line);
    if (console.json()) console.print("{\"ok\": true}\n");
    return Exit::done;
}

}  // namespace archwright::exporters::command
