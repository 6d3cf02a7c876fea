#include "engine/build/lettering_stage.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/lettering/cut.hpp"
#include "engine/mesh/bvh.hpp"
#include "engine/mesh/range.hpp"
#include "engine/mesh/soundness.hpp"

namespace archwright::build {

namespace {

using lettering::Chart, lettering::Layout, lettering::Room;

// A place of letters and what was found there.
struct Placed {
    std::vector<std::string> lines;
    Layout layout;
    std::optional<Chart> chart;
    Room room;
    bool good() const { return chart && room.clearance_mm >= tolerance::lettering_rim_mm; }
};

std::string joined(const std::vector<std::string>& words, const char* between) {
    std::string text;
    for (const std::string& word : words) text += (text.empty() ? "" : between) + word;
    return text;
}

Placed put(const surface::Shell& shell, const surface::ShellMesh& mesh, const design::Lettering& asked,
           const std::vector<std::string>& lines, const lettering::Style& style, Side side) {
    Placed placed;
    placed.lines = lines;
    placed.layout = lettering::set_lines(lines, style);
    const lettering::Wanted wanted{asked.forward_mm, asked.medial_mm, asked.turn_deg, side == Side::left};
    placed.chart = wanted.x && wanted.y
                       ? lettering::chart_over(shell.underside, {*wanted.x, *wanted.y}, wanted)
                       : lettering::find_place(shell, placed.layout, wanted);
    if (placed.chart) placed.room = lettering::room_at(shell, mesh, *placed.chart, placed.layout, style);
    return placed;
}

Check place_check(const Placed& placed, const design::Lettering& asked) {
    Check check = named_check("lettering.place", "Place of the letters");
    check.unit = "mm";
    check.limit = tolerance::lettering_rim_mm;
    const std::string text = "\"" + joined(placed.lines, " / ") + "\" (" +
                             rounded(2.0 * placed.layout.half_size.x(), 0) + " x " +
                             rounded(2.0 * placed.layout.half_size.y(), 0) + " mm)";
    const std::string least = rounded(tolerance::lettering_rim_mm, 0) + " mm";
    const std::string advice =
        " Move it (lettering.forward_mm, medial_mm, turn_deg), write less, or lower lettering.height_mm.";
    const bool fixed = asked.forward_mm && asked.medial_mm;
    if (!placed.good()) {
        check.verdict = Verdict::stop;
        check.signable = false;
        if (!placed.chart && fixed) {
            check.where = Vec3(*asked.forward_mm, *asked.medial_mm, 0.0);
            check.message =
                "The shell has no underside that faces down over the place asked for the letters, " +
                place(*check.where) + "." + advice;
        } else if (!placed.chart) {
            check.message = "Nowhere on the underside, outside posts, is there room for " + text + " with " +
                            least + " to every edge." + advice;
        } else {
            check.figure = placed.room.clearance_mm;
            check.where = placed.room.where;
            check.message = "The letter " + std::string(1, placed.room.letter) + " of " + text +
                            (placed.room.clearance_mm < 0.0
                                 ? " leaves the shell's underside or crosses " + placed.room.from
                                 : " comes within " + rounded(placed.room.clearance_mm, 1) + " mm of " +
                                       placed.room.from) +
                            " at " + place(placed.room.where) + "; letters keep " + least +
                            " away, and none are made on the floors of posts." + advice;
        }
        return check;
    }
    check.figure = placed.room.clearance_mm;
    check.where = placed.room.where;
    check.message = text + ": nearest to an edge by " + rounded(placed.room.clearance_mm, 1) + " mm (" +
                    placed.room.from + "), at " + place(placed.room.where) + ".";
    if (placed.room.least_cosine < tolerance::lettering_steep_cosine) {
        check.verdict = Verdict::look;
        check.where = placed.room.steepest;
        check.message += " Part of it lies on a wall, at " + place(placed.room.steepest) +
                         ", and is hard to read from below.";
    }
    return check;
}

Check gate(const char* id, const char* title, bool holds, double figure, double limit, std::string message) {
    Check check = named_check(id, title);
    check.verdict = holds ? Verdict::pass : Verdict::stop;
    check.signable = false;
    check.figure = figure;
    check.limit = limit;
    check.unit = "mm";
    check.message = std::move(message);
    return check;
}

void measure(const surface::Shell& shell, const surface::ShellMesh& plain, const lettering::Cut& cut,
             Lettered& out) {
    const TriangleMesh under = range(plain.mesh, plain.foot_side_end, plain.underside_end),
                       foot = range(plain.mesh, 0, plain.foot_side_end);
    const Bvh under_tree(under), foot_tree(foot);
    constexpr double far_mm = 100.0;
    out.least_depth_mm = out.least_wall_mm = std::numeric_limits<double>::infinity();
    for (const std::int32_t k : cut.floor) {
        const Vec3& p = cut.mesh.mesh.points[static_cast<std::size_t>(k)];
        if (const auto near = under_tree.nearest(p, far_mm)) {
            out.least_depth_mm = std::min(out.least_depth_mm, near->distance);
            out.most_depth_mm = std::max(out.most_depth_mm, near->distance);
        }
        if (const auto near = foot_tree.nearest(p, far_mm); near && near->distance < out.least_wall_mm) {
            out.least_wall_mm = near->distance;
            out.least_wall_where = p;
        }
    }
    // against the same triangles with the letters laid back: the plain mesh's chords are not theirs
    TriangleMesh level = cut.mesh.mesh;
    for (const std::int32_t k : cut.floor)
        level.points[static_cast<std::size_t>(k)] =
            shell.underside.point(cut.mesh.uv[static_cast<std::size_t>(k)]);
    out.volume_mm3 = std::abs(cut.mesh.mesh.volume() - level.volume());
}

// How far the lowest point of a mesh lies below what the device rests on without it.
double below_ground(const foot::Rest& ground, const TriangleMesh& mesh, Vec3& where) {
    double most = 0.0;
    for (const Vec3& p : mesh.points)
        if (const double down = ground.height_at(p.x(), p.y()) - p.z(); down > most) {
            most = down;
            where = p;
        }
    return most;
}

void tell(const std::optional<foot::Rest>& ground, const design::Material& material,
          const design::Lettering& asked, Lettered& out) {
    const bool raised = asked.style == design::Lettering::Style::raised;
    const double off = std::max(out.most_depth_mm - asked.depth_mm, asked.depth_mm - out.least_depth_mm);
    out.checks.push_back(gate("lettering.depth", raised ? "Height of the letters" : "Depth of the letters",
                              off <= tolerance::lettering_depth_mm, off, tolerance::lettering_depth_mm,
                              "Measured on the mesh " + rounded(out.least_depth_mm, 2) + " to " +
                                  rounded(out.most_depth_mm, 2) + " mm, asked " + rounded(asked.depth_mm, 2) +
                                  " mm. STL and 3MF carry the letters; the STEP file is the plain shell."));
    Vec3 where = out.place;
    const double down = raised && ground ? below_ground(*ground, out.mesh->mesh, where) : 0.0;
    const double least = material.wall_min_mm.value;
    if (!raised) {
        const bool holds = out.least_wall_mm >= least - tolerance::wall_mm;
        Check wall = gate("lettering.wall", "Wall under the letters", holds, out.least_wall_mm, least,
                          "Under the letters " + rounded(out.least_wall_mm, 2) + " mm of wall remain, at " +
                              place(out.least_wall_where) + "; " + material.name + " needs " +
                              rounded(least, 2) + " mm." +
                              (holds ? ""
                                     : " Lower lettering.depth_mm, make the wall there thicker, move the "
                                       "letters, or write \"raised\" as lettering.style."));
        wall.where = out.least_wall_where;
        out.checks.push_back(std::move(wall));
    } else if (down > tolerance::lettering_stands_mm) {
        Check stands = named_check("lettering.stands", "Device on its letters");
        stands.verdict = Verdict::look;
        stands.figure = down;
        stands.limit = tolerance::lettering_stands_mm;
        stands.unit = "mm";
        stands.where = where;
        stands.message = "The raised letters reach " + rounded(down, 2) +
                         " mm below the ground the device stood on, at " + place(where) +
                         ": it would stand on them. Move them under the arch, or engrave them.";
        out.checks.push_back(std::move(stands));
    }
    const Soundness sound = find_soundness(out.mesh->mesh);
    constexpr std::size_t shown = 16;
    const std::vector<Crossing> crossings = self_intersections(out.mesh->mesh, shown);
    Check mesh = named_check("lettering.mesh", "Mesh with the letters");
    mesh.signable = false;
    mesh.figure = static_cast<double>(crossings.size());
    mesh.limit = 0.0;
    mesh.message = std::to_string(out.mesh->mesh.triangles.size()) + " triangles, closed, none crossing.";
    if (!sound.sound() || sound.components != 1 || !crossings.empty()) {
        mesh.verdict = Verdict::stop;
        if (!crossings.empty()) mesh.where = crossings.front().where;
        if (crossings.empty() && !sound.places.empty()) mesh.where = sound.places.front();
        mesh.message = "The mesh with the letters is not sound" +
                       (mesh.where ? " at " + place(*mesh.where) : std::string()) +
                       ": the underside bends too sharply there for letters. Move them, or lower "
                       "lettering.depth_mm.";
    }
    out.checks.push_back(std::move(mesh));
}

}  // namespace

std::vector<std::string> letter_words(const design::Job& job, Side side) {
    const design::Lettering& asked = job.foot(side)->lettering;
    std::vector<std::string> words, rest;
    if (asked.case_code) {
        std::string code = job.case_code;
        for (char& c : code)
            if (c >= 'a' && c <= 'z') c = static_cast<char>(c - 'a' + 'A');
        words.push_back(std::move(code));
    }
    if (asked.side) rest.emplace_back(side == Side::left ? "L" : "R");
    if (asked.revision) rest.push_back(job.revision());
    if (!asked.text.empty()) rest.push_back(asked.text);
    if (!rest.empty()) words.push_back(joined(rest, " "));
    return words;
}

Outcome<Lettered> letter_stage(const surface::Shell& around, const surface::ShellMesh& mesh,
                               const std::optional<foot::Rest>& ground, const design::Material& material,
                               const design::Lettering& asked, const std::vector<std::string>& words,
                               Side side, Progress& progress) {
    const surface::Shell& shell = around;  // posts aside, all there is of it is the shell's own
    progress.report("Lettering", 0.62);
    const lettering::Style style{asked.height_mm, asked.stroke_mm, asked.depth_mm};
    Placed placed = put(shell, mesh, asked, {joined(words, " ")}, style, side);
    if (!placed.good() && words.size() > 1) {
        Placed lines = put(shell, mesh, asked, words, style, side);
        if (lines.good()) placed = std::move(lines);
    }
    Lettered out;
    out.lines = placed.lines;
    out.found = !asked.forward_mm || !asked.medial_mm;
    out.size = 2.0 * placed.layout.half_size;
    out.checks.push_back(place_check(placed, asked));
    if (placed.chart) {
        out.place = shell.underside.point(placed.chart->origin);
        out.clearance_mm = placed.room.clearance_mm;
    }
    if (!placed.good()) return out;
    if (progress.cancelled()) return Fault{FaultKind::cancelled, "lettering", "Cancelled.", {}};
    auto cut = lettering::cut_letters(shell, mesh, *placed.chart, placed.layout, style,
                                      asked.style == design::Lettering::Style::raised);
    if (!cut) return cut.fault();
    measure(shell, mesh, *cut, out);
    out.mesh = std::move(cut->mesh);
    tell(ground, material, asked, out);
    return out;
}

}  // namespace archwright::build
