// archwright: the command line. Words become options here; exporters/command/*.cpp do the work.
#include <CLI/CLI.hpp>
#include <iostream>

#include "engine/base/version.hpp"
#include "engine/picture/sheet.hpp"
#include "exporters/command/options.hpp"

using namespace archwright;
using namespace archwright::exporters::command;

namespace {

void side_option(CLI::App& app, const char* name, std::optional<Side>& side, const char* help) {
    app.add_option_function<std::string>(
           name, [&side](const std::string& text) { side = text == "left" ? Side::left : Side::right; }, help)
        ->check(CLI::IsMember({"left", "right"}));
}

void unit_option(CLI::App& app, std::optional<LengthUnit>& unit) {
    app.add_option_function<std::string>(
           "--unit", [&unit](const std::string& text) { unit = length_unit(text); }, "Unit of the cast file")
        ->check(CLI::IsMember({"mm", "cm", "in", "m"}));
}

void reading_options(CLI::App& app, CastOptions& reading) {
    app.add_flag("--allow-outside", reading.allow_outside,
                 "Files named by the job may lie outside its folder");
    app.add_option("--most-triangles", reading.limits.triangles, "Refuse casts of more triangles")
        ->capture_default_str();
    app.add_option("--most-bytes", reading.limits.bytes, "Refuse cast files of more bytes")
        ->capture_default_str();
}

}  // namespace

int main(int count, char** words) {
    CLI::App app{"Archwright: from the scan of a foot cast to a foot-orthosis shell that can be made."};
    app.set_version_flag("--version", std::string("archwright ") + version);
    app.require_subcommand(1);
    app.fallthrough();
    bool json = false, quiet = false;
    app.add_flag("--json", json, "Results and faults as JSON on standard output");
    app.add_flag("--quiet", quiet, "No progress");
    app.footer(
        "Exit codes: 0 done, 1 internal, 2 wrong words or a wrong job, 3 a file cannot be read,\n"
        "4 something has to be stated by a person, 5 a check stopped the work, 6 a file could not be\n"
        "written, 130 cancelled. docs/commands.md tells more.");

    NewOptions fresh;
    auto* fresh_app =
        app.add_subcommand("new", "Start a job from a cast: propose unit and side, suggest landmarks");
    fresh_app->add_option("cast", fresh.cast, "Scan of the cast: STL, PLY, OBJ or 3MF")->required();
    fresh_app->add_option("-o,--output", fresh.job, "Job file to write")->required();
    side_option(*fresh_app, "--side", fresh.side, "Side the order states");
    unit_option(*fresh_app, fresh.unit);
    fresh_app->add_option("--case", fresh.case_code,
                          "Case code (never a person's name); default: the job's file name");
    fresh_app->add_option("--by", fresh.by, "Your code, kept with what you state; default: unnamed");
    fresh_app->add_flag("--replace", fresh.replace, "Replace a job that exists");
    reading_options(*fresh_app, fresh.reading);

    InspectOptions inspect;
    auto* inspect_app =
        app.add_subcommand("inspect", "Say what a cast or a job's cast holds, with the evidence");
    inspect_app->add_option("file", inspect.file, "Cast or job")->required();
    side_option(*inspect_app, "--side,--foot", inspect.side, "Side stated (of a cast), or foot of the job");
    unit_option(*inspect_app, inspect.unit);
    reading_options(*inspect_app, inspect.reading);

    MakeOptions make;
    std::vector<std::string> formats;
    bool ap214 = false;
    auto* make_app = app.add_subcommand("make", "Build, prove and write the devices of a job");
    make_app->add_option("job", make.job, "Job file")->required();
    make_app->add_option("-o,--output", make.delivery.folder, "Folder for the files")->required();
    make_app->add_option("--format", formats, "stl, step, 3mf; default: all")
        ->delimiter(',')
        ->check(CLI::IsMember({"stl", "step", "3mf"}));
    make_app->add_flag("--ap214", ap214, "STEP as AP214 for older readers (default AP242)");
    side_option(*make_app, "--foot", make.foot, "Only this foot");
    reading_options(*make_app, make.reading);

    PictureOptions picture;
    auto* picture_app =
        app.add_subcommand("picture", "Draw a job's device: on the foot, plan, sections, wall");
    picture_app->add_option("job", picture.job, "Job file")->required();
    picture_app->add_option("-o,--output", picture.picture, "PNG to write")->required();
    side_option(*picture_app, "--foot", picture.foot, "Which foot");
    picture_app
        ->add_option("--view", picture.view, "all, foot, shell, plan, sections, wall, height, deviation")
        ->check(CLI::IsMember(picture::view_words()))
        ->capture_default_str();
    picture_app->add_option("--width", picture.width)->check(CLI::Range(480, 6000))->capture_default_str();
    picture_app->add_option("--height", picture.height)->check(CLI::Range(360, 6000))->capture_default_str();
    picture_app->add_option("--scale", picture.scale, "Pixels per logical pixel")
        ->check(CLI::Range(0.5, 4.0))
        ->capture_default_str();
    picture_app->add_flag("--dark", picture.dark, "Dark paper");
    reading_options(*picture_app, picture.reading);

    StateOptions state;
    auto* state_app =
        app.add_subcommand("state", "State the side or the unit of a cast; the evidence goes on record");
    state_app->add_option("job", state.job, "Job file")->required();
    side_option(*state_app, "--foot", state.foot, "Which foot of the job, where it has both");
    side_option(*state_app, "--side", state.side, "The side it is");
    unit_option(*state_app, state.unit);
    state_app->add_option("--by", state.by, "Your code")->required();
    reading_options(*state_app, state.reading);

    SignOptions sign;
    auto* sign_app =
        app.add_subcommand("sign", "Take responsibility for a check that stopped, with a reason");
    sign_app->add_option("job", sign.job, "Job file")->required();
    sign_app->add_option("check", sign.check, "Its key, as shown in round brackets")->required();
    sign_app->add_option("--by", sign.by, "Your code")->required();
    sign_app->add_option("--reason", sign.reason, "Why the device may be made all the same")->required();
    sign_app->add_option("--second", sign.second, "Code of a second person");
    side_option(*sign_app, "--foot", sign.foot, "Which foot of the job, where it has both");
    reading_options(*sign_app, sign.reading);

    SetOptions set;
    auto* set_app =
        app.add_subcommand("set", "Change parameters of a job: archwright set JOB trim.cup_posterior_mm=14");
    set_app->add_option("job", set.job, "Job file")->required();
    set_app->add_option("settings", set.settings, "NAME=VALUE; docs/job-file.md lists the names")->required();
    side_option(*set_app, "--foot", set.foot, "Which foot of the job, where it has both");
    reading_options(*set_app, set.reading);

    auto* schema_app = app.add_subcommand("schema", "Print the JSON Schema of the job file");

    try {
        app.parse(count, words);
    } catch (const CLI::ParseError& error) {
        const int code = app.exit(error);
        return code == 0 ? 0 : static_cast<int>(Exit::usage);
    }
    if (!formats.empty()) {
        make.delivery.formats.clear();
        for (const std::string& format : formats)
            make.delivery.formats.insert(format == "stl"    ? exporters::Format::stl
                                         : format == "step" ? exporters::Format::step
                                                            : exporters::Format::three_mf);
    }
    if (ap214) make.delivery.step_schema = solid::StepSchema::ap214;
    if (state_app->parsed() && !state.side && !state.unit) {
        std::cerr << "archwright: say what you state: --side right|left, or --unit mm|cm|in|m\n";
        return static_cast<int>(Exit::usage);
    }

    Console console(json, quiet);
    catch_signals(console);
    try {
        Exit code = Exit::usage;
        if (fresh_app->parsed()) code = run_new(console, fresh);
        if (inspect_app->parsed()) code = run_inspect(console, inspect);
        if (make_app->parsed()) code = run_make(console, make);
        if (picture_app->parsed()) code = run_picture(console, picture);
        if (state_app->parsed()) code = run_state(console, state);
        if (sign_app->parsed()) code = run_sign(console, sign);
        if (set_app->parsed()) code = run_set(console, set);
        if (schema_app->parsed()) code = run_schema(console);
        return static_cast<int>(code);
    } catch (const std::bad_alloc&) {
        return static_cast<int>(
            console.fail({FaultKind::input,
                          "memory",
                          "There is not enough memory for this. Nothing was left half-written.",
                          {}}));
    } catch (const std::exception& error) {
        return static_cast<int>(console.fail(
            {FaultKind::internal, "internal", std::string("An internal error: ") + error.what(), {}}));
    }
}
