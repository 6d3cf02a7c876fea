// What the words of each command become. One struct a command; one function runs it.
#pragma once

#include <filesystem>
#include <optional>
#include <string>
#include <vector>

#include "engine/base/side.hpp"
#include "engine/base/units.hpp"
#include "engine/base/vec.hpp"
#include "engine/compare/made.hpp"
#include "engine/flex/bench.hpp"
#include "engine/mark/photograph.hpp"
#include "engine/mould/mould.hpp"
#include "engine/scan/read.hpp"
#include "exporters/command/console.hpp"
#include "exporters/deliver.hpp"
#include "exporters/deliver_patterns.hpp"

namespace archwright::exporters::command {

/// Shared by every command that opens a cast.
struct CastOptions {
    scan::ReadLimits limits;
    bool allow_outside = false;  ///< files named by the job may lie outside its folder
};

struct NewOptions {
    std::filesystem::path cast, job;
    std::optional<Side> side;
    std::optional<LengthUnit> unit;
    std::string case_code;  ///< empty: from the job's file name
    std::string by;
    bool replace = false;
    bool add = false;         ///< the other foot of a job that exists
    bool same_order = false;  ///< which starts from that foot's order
    CastOptions reading;
};
Exit run_new(Console& console, const NewOptions& options);

struct InspectOptions {
    std::filesystem::path file;  ///< a cast or a job
    std::optional<Side> side;
    std::optional<LengthUnit> unit;
    std::filesystem::path picture;  ///< PNG of the sole's relief with every finding; empty: none
    bool effects = false;           ///< what each repairable finding does to the device (builds it twice)
    CastOptions reading;
};
Exit run_inspect(Console& console, const InspectOptions& options);

/// A place of the cast made anew: what a finding asks for, or any place or line.
struct RepairOptions {
    std::filesystem::path job;
    std::optional<Side> foot;
    std::vector<int> findings;  ///< their numbers, as `inspect` of the job shows them
    std::vector<Vec3> places;   ///< instead: in the cast file's coordinates
    std::string what;           ///< with `places`: what is repaired there
    std::optional<double> reach_mm;
    std::string name, by, reason;
    std::string remove;  ///< name of a repair to take back
    CastOptions reading;
};
Exit run_repair(Console& console, const RepairOptions& options);

/// A person's answer to a finding.
struct AnswerOptions {
    std::filesystem::path job;
    std::optional<Side> foot;
    std::vector<int> findings;
    std::string is;  ///< "foot", "fault", or "open": as if never answered
    std::string by, note;
    CastOptions reading;
};
Exit run_answer(Console& console, const AnswerOptions& options);

struct MakeOptions {
    std::filesystem::path job;
    std::optional<Side> foot;  ///< unset: every foot of the job
    DeliverySetting delivery;
    CastOptions reading;
};
Exit run_make(Console& console, const MakeOptions& options);

struct PatternOptions {
    std::filesystem::path job;
    std::optional<Side> foot;  ///< unset: every foot that asks for something
    PatternSetting delivery;
    CastOptions reading;
};
Exit run_pattern(Console& console, const PatternOptions& options);

/// Programs for a mill (docs/making.md).
struct MillOptions {
    std::filesystem::path job, folder;
    std::optional<Side> foot;  ///< unset: every foot of the job
    bool pair = false;         ///< both in one block
    std::string machine = "bench_mill", block, rough = "flat_12", finish = "ball_6";
    std::string flip = "x", datum = "pins";
    double tab_width_mm = 4.0, tab_thickness_mm = 1.5;
    std::vector<double> tabs_at;  ///< shares of the length from the heel; empty: the usual
    bool tabs_anywhere = false, conventional = false, one_way = false, replace = false;
    double scallop_mm = 0.02, tilt_deg = 0.0;
    std::string detail, drill;  ///< cutters; empty: none
    double pin_depth_mm = 10.0;
    CastOptions reading;
};
Exit run_mill(Console& console, const MillOptions& options);

/// Whether two programs for a mill are whole and of one milling (docs/making.md).
struct ProgramsOptions {
    std::filesystem::path first, second;
};
Exit run_programs(Console& console, const ProgramsOptions& options);

/// Whether a printer makes the devices, and how they are laid on it (docs/making.md).
struct PrintOptions {
    std::filesystem::path job, folder;  ///< folder empty: told only
    std::optional<Side> foot;           ///< unset: every foot of the job
    std::string printer = "powder_bed";
    bool as_it_stands = false, replace = false;
    CastOptions reading;
};
Exit run_print(Console& console, const PrintOptions& options);

/// The positive mould a sheet is drawn over (docs/mould.md).
struct MouldOptions {
    std::filesystem::path job, folder;
    std::optional<Side> foot;  ///< unset: every foot of the job
    mould::MouldSetting setting;
    double sheet_mm = 0.0;  ///< 0: the order's base wall
    bool program = false, replace = false;
    std::string machine = "bench_mill", block = "mould_board_60", rough = "flat_12_long",
                finish = "ball_6_long", detail;
    double scallop_mm = 0.02;
    CastOptions reading;
};
Exit run_mould(Console& console, const MouldOptions& options);

/// The page a clinician approves a design by (docs/papers.md).
struct SheetOptions {
    std::filesystem::path job, folder;
    std::optional<Side> foot;  ///< unset: every foot of the job
    bool flex = false;         ///< with the virtual bench
    bool replace = false;
    CastOptions reading;
};
Exit run_sheet(Console& console, const SheetOptions& options);

/// The record of devices whose files stand in a folder (docs/papers.md).
struct RecordOptions {
    std::filesystem::path job, folder;
    std::optional<Side> foot;  ///< unset: every foot of the job
    bool replace = false;
    CastOptions reading;
};
Exit run_record(Console& console, const RecordOptions& options);

/// The jobs of a folder (docs/worklist.md).
struct JobsOptions {
    std::filesystem::path folder;
    std::vector<std::string> states;  ///< words of worklist::State; none: all
    std::optional<Side> side;         ///< jobs with this foot
    std::string due_by;               ///< YYYY-MM-DD: due on this day or before; empty: all
};
Exit run_jobs(Console& console, const JobsOptions& options);

/// One file for the clinician to look at (docs/preview.md).
struct PreviewOptions {
    std::filesystem::path job, folder;
    std::optional<Side> foot;  ///< unset: every foot of the job
    bool replace = false;
    CastOptions reading;
};
Exit run_preview(Console& console, const PreviewOptions& options);

/// The answer to a preview, against the job as it is.
struct ReplyOptions {
    std::filesystem::path file, job;
    CastOptions reading;
};
Exit run_reply(Console& console, const ReplyOptions& options);

struct PictureOptions {
    std::filesystem::path job, picture;
    std::optional<Side> foot;
    std::string view = "all";
    int width = 1600, height = 1000;
    double scale = 1.0;
    bool dark = false;
    CastOptions reading;
};
Exit run_picture(Console& console, const PictureOptions& options);

/// The virtual bench (docs/flex.md).
struct FlexOptions {
    std::filesystem::path job;
    std::optional<Side> foot;  ///< unset: every foot of the job
    std::string load_case = "all";
    std::optional<double> load_n;  ///< instead of the case's own; torsion N mm
    double element_mm = 3.0, friction = 0.3, distal_spring_n_mm = 0.0, bed_n_mm3 = 0.0;
    std::filesystem::path bed_shape;  ///< empty: level ground
    bool quick = false;               ///< without what moves the answer
    flex::Deflections deflections = flex::Deflections::automatic;
    CastOptions reading;
};
Exit run_flex(Console& console, const FlexOptions& options);

/// The laboratory's own modulus by its bench measurements (docs/calibration.md).
struct CalibrateOptions {
    std::filesystem::path measurements;
    std::filesystem::path material;  ///< the material's file to write, calibrated; empty: told only
    std::string by, date;            ///< who measured, and when; needed to write
    double element_mm = 3.0;
    bool replace = false;
    CastOptions reading;
};
Exit run_calibrate(Console& console, const CalibrateOptions& options);

struct AskOptions {
    std::filesystem::path job;
    std::optional<Side> foot;
    std::vector<std::string> targets;  ///< ask::parse_targets
    std::string walls;                 ///< ask::parse_walls
    std::optional<double> least_mm, most_mm;
    std::filesystem::path against;  ///< a job relative targets are measured against; empty: this one
    double element_mm = 3.0, friction = 0.3, distal_spring_n_mm = 0.0, bed_n_mm3 = 0.0;
    std::filesystem::path bed_shape;  ///< empty: level ground
    std::filesystem::path output;     ///< the changed job; empty: nothing is written
    bool replace = false;
    bool nearest = false;  ///< written though a target is not met
    CastOptions reading;
};
Exit run_ask(Console& console, const AskOptions& options);

/// Two casts laid on one another (docs/comparing.md).
struct CompareOptions {
    std::filesystem::path first, second;  ///< casts or jobs
    std::optional<Side> side, second_side;
    std::optional<LengthUnit> unit, second_unit;
    bool left_right = false;  ///< one is a left, the other a right foot
    bool shells = false;      ///< also without a job: to the default order
    double same_mm = 0.0;     ///< compare::PairWishes
    std::filesystem::path picture, map;
    CastOptions reading;
};
Exit run_compare(Console& console, const CompareOptions& options);

/// A made device against its design (docs/comparing.md).
struct VerifyOptions {
    std::filesystem::path job, scan;
    std::optional<Side> foot;
    std::optional<LengthUnit> unit;  ///< of the scan; unset: what its file says, else mm
    compare::MadeLimits limits;
    std::filesystem::path picture, map, record;
    bool replace = false;
    CastOptions reading;
};
Exit run_verify(Console& console, const VerifyOptions& options);

/// How well casts repeat (docs/study.md).
struct StudyOptions {
    std::filesystem::path table, folder;
    bool leave_out = false, replace = false, surfaces = true;
    CastOptions reading;
};
Exit run_study(Console& console, const StudyOptions& options);

struct StateOptions {
    std::filesystem::path job;
    std::optional<Side> foot, side;
    std::optional<LengthUnit> unit;
    std::optional<Vec3> up, toes;  ///< coordinates of the cast file
    std::optional<bool> inside_out;
    std::string by;
    CastOptions reading;
};
Exit run_state(Console& console, const StateOptions& options);

struct LandmarkOptions {
    std::filesystem::path job;
    std::optional<Side> foot;
    std::string name;              ///< a landmark's key, or "all"
    std::optional<Vec3> place;     ///< coordinates of the cast file; unset: confirms the one there is
    std::filesystem::path spread;  ///< instead: takes the laboratory's own scatter from this file
    std::string by;
    CastOptions reading;
};
Exit run_landmark(Console& console, const LandmarkOptions& options);

/// A line drawn by hand on a photograph.
struct DrawnLine {
    std::string name;
    std::vector<Vec2> pixels;
};

struct MarksOptions {
    std::filesystem::path job;
    std::optional<Side> foot;
    std::filesystem::path photograph;  ///< empty: the cast's own colours
    std::vector<mark::Match> matches;  ///< points in the cast file's coordinates
    bool inside = false;               ///< the photograph shows the inside of a negative
    std::vector<DrawnLine> drawn;
    std::string by;  ///< of what is drawn
    CastOptions reading;
};
Exit run_marks(Console& console, const MarksOptions& options);

struct MarkOptions {
    std::filesystem::path job;
    std::optional<Side> foot;
    std::string name;
    bool accept = false, refuse = false, relief = false;
    std::string rename;        ///< empty: it keeps its name
    std::string kind;          ///< word of a kind; empty: unset
    std::string meaning;       ///< word of a meaning; empty: unset
    std::vector<Vec3> points;  ///< coordinates of the cast file; empty: it stays where it is
    std::string by;
    CastOptions reading;
};
Exit run_mark(Console& console, const MarkOptions& options);

struct ReviseOptions {
    std::filesystem::path job;
    std::string note, date;
    CastOptions reading;
};
Exit run_revise(Console& console, const ReviseOptions& options);

/// A line of the remake log (docs/papers.md).
struct RemakeOptions {
    std::filesystem::path log, codes;  ///< no codes: ours alone
    std::optional<Side> side;
    std::string date, case_code, revision, code, cause, by;
};
Exit run_remake(Console& console, const RemakeOptions& options);

/// What devices came back for.
struct RemakesOptions {
    std::filesystem::path log, codes, picture;
};
Exit run_remakes(Console& console, const RemakesOptions& options);

struct ApproveOptions {
    std::filesystem::path job;
    std::optional<Side> foot;
    std::string by, date;
    CastOptions reading;
};
Exit run_approve(Console& console, const ApproveOptions& options);

/// What changed since a revision (docs/papers.md).
struct ChangedOptions {
    std::filesystem::path job, folder;  ///< no folder: told alone
    std::optional<Side> foot;           ///< unset: every foot of the job
    std::string since;                  ///< letter
    bool list = false;                  ///< the settings alone; nothing is built
    CastOptions reading;
};
Exit run_changed(Console& console, const ChangedOptions& options);

struct SignOptions {
    std::filesystem::path job;
    std::optional<Side> foot;
    std::string check, by, reason, second;
    CastOptions reading;
};
Exit run_sign(Console& console, const SignOptions& options);

struct SetOptions {
    std::filesystem::path job;
    std::optional<Side> foot;
    std::vector<std::string> settings;  ///< "trim.cup_posterior_mm=14"
    CastOptions reading;
};
Exit run_set(Console& console, const SetOptions& options);

struct ApplyOptions {
    std::filesystem::path job;
    std::string preset;  ///< a file, or the code of one that comes with the program
    std::optional<Side> foot;
    std::string by;
    CastOptions reading;
};
Exit run_apply(Console& console, const ApplyOptions& options);

/// Lists the presets that come with the program.
Exit run_presets(Console& console);

struct BatchOptions {
    std::filesystem::path jobs, folder;
    int workers = 1;
    double time_limit_seconds = 600.0;
    std::size_t memory_limit_mb = 0;
    bool retry = false, replace = false;
    std::vector<std::string> make_words;  ///< handed to every `make`
};
/// 0, or 100 and the number of jobs that failed (at most 120); else as Exit.
int run_batch(Console& console, const BatchOptions& options);

Exit run_schema(Console& console);

}  // namespace archwright::exporters::command
