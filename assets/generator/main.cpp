// archwright-generator: feet and casts whose truth is known.
#include <CLI/CLI.hpp>
#include <cstdio>
#include <filesystem>

#include "assets/generator/cast_file.hpp"
#include "assets/generator/cast_random.hpp"
#include "assets/generator/demo.hpp"
#include "assets/generator/truth_file.hpp"
#include "engine/base/file.hpp"
#include "engine/base/text.hpp"

namespace {

using namespace archwright;
using namespace archwright::generator;

/// Exit codes as the main program's (docs/commands.md).
int failed(const Fault& fault) {
    std::fputs(("archwright-generator: " + fault.message + "\n").c_str(), stderr);
    return fault.kind == FaultKind::usage    ? 2
           : fault.kind == FaultKind::input  ? 3
           : fault.kind == FaultKind::output ? 6
                                             : 1;
}

/// Words of the command line, before they mean anything.
struct Words {
    std::string out, format, side, unit = "mm", up = "z", population;
    std::uint64_t seed = 0;
    std::size_t triangles = 150'000;
    bool child = false, inside_out = false, coloured = false, negative = false, tilted = false;
    bool outer_wall = false, sole_missing = false, toe_cut = false;
    double length = 0, arch = 0, forefoot = 0, bisection = 0;
    double noise = 0, heel_flat = 0, seam = 0, fold = 0;
    int dents = 0, creases = 0, holes = 0, debris = 0;
};

void add_foot_options(CLI::App& app, Words& w) {
    app.add_option("OUT", w.out, "file to write: .ply, .stl or .obj; its truth goes beside it as .truth.json")
        ->required();
    app.add_option("--seed", w.seed, "0: the mean foot; any other number: a random foot of the survey");
    app.add_option("--population", w.population, "of a random foot: woman, man or child (no survey)")
        ->check(CLI::IsMember({"woman", "man", "child"}));
    app.add_option("--side", w.side, "right or left")->check(CLI::IsMember({"right", "left"}));
    app.add_option("--length", w.length, "foot length, mm; other lengths in proportion");
    app.add_option("--arch-height", w.arch, "arch height, mm");
    app.add_option("--forefoot", w.forefoot, "forefoot to rearfoot, degrees, positive inverted");
    app.add_option("--heel-bisection", w.bisection, "heel bisection, degrees, positive inverted");
    app.add_option("--triangles", w.triangles, "about how many triangles")->capture_default_str();
    app.add_option("--unit", w.unit, "unit of the file")
        ->check(CLI::IsMember({"mm", "cm", "in", "m"}))
        ->capture_default_str();
    app.add_option("--up", w.up, "axis of the file that points up: x, y, z, -x, -y or -z")
        ->check(CLI::IsMember({"x", "y", "z", "-x", "-y", "-z"}))
        ->capture_default_str();
    app.add_option("--format", w.format, "instead of the extension's: ply-ascii, ply-big, stl-ascii")
        ->check(CLI::IsMember({"ply-ascii", "ply-big", "stl-ascii"}));
    app.add_flag("--inside-out", w.inside_out, "triangles face the foot's inside");
}

void add_cast_options(CLI::App& app, Words& w) {
    app.add_flag("--negative", w.negative, "a plaster negative: inside of a slipper cast, ragged rim");
    app.add_flag("--tilted", w.tilted, "lie askew in the file (by the seed)");
    app.add_option("--noise", w.noise, "scanner noise, mm");
    app.add_option("--dents", w.dents, "so many dents, 1 to 3 mm deep, at random places");
    app.add_option("--creases", w.creases, "so many creases, 0.7 to 1.8 mm high, at random places");
    app.add_option("--seam", w.seam, "overlap ridge across the sole, of this height, mm");
    app.add_option("--heel-flat", w.heel_flat, "heel flattened by this, mm");
    app.add_option("--holes", w.holes, "so many holes in the sole");
    app.add_option("--debris", w.debris, "so many crumbs beside the cast");
    app.add_option("--fold", w.fold, "so much of the medial rim folded inward, mm (with --negative)");
    app.add_flag("--outer-wall", w.outer_wall, "the plaster's outside too, 5 mm away");
    app.add_flag("--toe-cut", w.toe_cut, "toes missing");
    app.add_flag("--sole-missing", w.sole_missing, "seen from above only");
    app.add_flag("--coloured", w.coloured, "plaster colours and an ink line and spot");
}

FootShape shape_of(const Words& w) {
    FootShape s;
    if (w.seed != 0) {
        s = w.population.empty() ? random_foot(w.seed)
                                 : random_foot(w.seed, w.population == "woman" ? Population::woman
                                                       : w.population == "man" ? Population::man
                                                                               : Population::child);
    }
    if (w.length > 0) s = scaled(s, w.length / s.length_mm);
    if (!w.side.empty()) s.side = w.side == "left" ? Side::left : Side::right;
    if (w.arch != 0) s.arch_height_mm = w.arch;
    if (w.forefoot != 0) s.forefoot_to_rearfoot_deg = w.forefoot;
    if (w.bisection != 0) s.heel_bisection_deg = w.bisection;
    return s;
}

/// Turns +z into the named axis.
Mat3 up_to(const std::string& axis) {
    Vec3 to = Vec3::Unit(axis.back() - 'x');
    if (axis.front() == '-') to = -to;
    if (to.z() < -0.5) return Eigen::AngleAxisd(std::numbers::pi, Vec3::UnitX()).toRotationMatrix();
    return Eigen::Quaterniond::FromTwoVectors(Vec3::UnitZ(), to).toRotationMatrix();
}

CastSpec spec_of(const Words& w, const Foot& foot) {
    CastSpec s;
    s.unit = *length_unit(w.unit);
    s.rotation = up_to(w.up);
    s.triangles = w.triangles;
    s.seed = w.seed;
    s.noise_mm = w.noise;
    if (w.inside_out) s.inside_out = true;
    if (w.negative) s.kind = CastSpec::Kind::plaster_negative;
    s.debris = w.debris;
    s.rim.fold_mm = w.fold;
    s.sole_missing = w.sole_missing;
    if (w.outer_wall) s.outer_wall_mm = 5.0;
    if (w.heel_flat > 0) s.heel_flat = HeelFlat{w.heel_flat, 0, 0};
    if (w.seam > 0) s.seam = Seam{0.37 * foot.shape().length_mm, 8.0, 1.5, w.seam, 30.0};
    if (w.toe_cut) s.toe_cut_x_mm = foot.truth().landmarks.at("first_head_plantar").x() + 22.0;
    place_faults(s, foot, w.dents, w.creases, w.holes);
    if (w.tilted) s.rotation = random_tilt(w.seed) * s.rotation;
    if (w.coloured) s.colours = usual_ink(foot);
    return s;
}

Outcome<Done> write_with_truth(const std::filesystem::path& path, const std::filesystem::path& truth_path,
                               const Cast& cast, LengthUnit unit, CastFormat format,
                               const std::string& title) {
    if (auto done = write_cast(path, cast.mesh, format, title); !done) return done.fault();
    return write_file(truth_path, truth_json(cast.truth, unit, cast.design_to_file));
}

int make(const Words& w, bool plaster) {
    FootShape shape = shape_of(w);
    if (plaster && w.negative) shape = under_plaster(shape);
    const Outcome<Foot> foot = Foot::make(shape);
    if (!foot) return failed(foot.fault());
    const CastSpec spec = spec_of(w, *foot);
    const std::filesystem::path path = w.out;
    Outcome<CastFormat> format = format_of(path);
    if (!format) return failed(format.fault());
    if (w.format == "ply-ascii") format = CastFormat::ply_ascii;
    if (w.format == "ply-big") format = CastFormat::ply_big_endian;
    if (w.format == "stl-ascii") format = CastFormat::stl_ascii;
    const Outcome<Cast> cast = take_cast(*foot, spec);
    if (!cast) return failed(cast.fault());
    std::filesystem::path beside = path;
    beside.replace_extension(".truth.json");
    const std::string title = std::string("generated ") + word(shape.side) + " foot, unit " + w.unit;
    if (const auto done = write_with_truth(path, beside, *cast, spec.unit, *format, title); !done)
        return failed(done.fault());
    std::puts((path.string() + ": " + std::to_string(cast->mesh.triangles.size()) + " triangles").c_str());
    return 0;
}

int make_demo(const std::string& directory) {
    std::error_code error;
    std::filesystem::create_directories(directory, error);
    if (error)
        return failed(
            {FaultKind::output, "demo", "cannot make the folder " + directory + ": " + error.message(), {}});
    const Outcome<Cast> cast = demo_cast();
    if (!cast) return failed(cast.fault());
    const std::filesystem::path folder = directory;
    const std::string title = std::string(demo_case) + ", invented; left foot, unit inch";
    const auto done = write_with_truth(folder / demo_cast_file, folder / demo_truth_file, *cast,
                                       LengthUnit::inch, CastFormat::ply_binary, title);
    if (!done) return failed(done.fault());
    std::puts(((folder / demo_cast_file).string() + ": " + std::to_string(cast->mesh.triangles.size()) +
               " triangles")
                  .c_str());
    return 0;
}

}  // namespace

int main(int argc, char** argv) {
    CLI::App app(
        "Feet and foot casts of our own, with known landmarks and figures, for tests and the demonstration.\n"
        "Same words, same bytes.",
        "archwright-generator");
    app.require_subcommand(1);
    Words foot_words, cast_words;
    std::string demo_directory;
    CLI::App* foot = app.add_subcommand("foot", "write a foot up to the ankle, noise-free");
    add_foot_options(*foot, foot_words);
    CLI::App* cast = app.add_subcommand("cast", "write a cast of a foot as a scanner sees it, with faults");
    add_foot_options(*cast, cast_words);
    add_cast_options(*cast, cast_words);
    CLI::App* demo = app.add_subcommand("demo", "write the demonstration cast LARK-2207 and its truth");
    demo->add_option("DIR", demo_directory, "folder, made if missing")->required();
    try {
        app.parse(argc, argv);
    } catch (const CLI::ParseError& e) {
        return app.exit(e) == 0 ? 0 : 2;
    }
    if (*foot) return make(foot_words, false);
    if (*cast) return make(cast_words, true);
    return make_demo(demo_directory);
}
