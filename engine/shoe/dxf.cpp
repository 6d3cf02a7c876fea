#include "engine/shoe/dxf.hpp"

#include <cmath>
#include <map>
#include <numbers>

#include "engine/base/text.hpp"
#include "engine/base/units.hpp"
#include "engine/shoe/dxf_groups.hpp"
#include "engine/shoe/nurbs.hpp"

namespace archwright::shoe {

namespace {

// What one entity of the file says: its groups in order, up to the next group 0.
struct Entity {
    std::string kind;
    std::size_t line = 0;
    std::vector<DxfGroup> groups;
};
constexpr std::size_t most_groups = 400'000;  // of one entity; a point of a polyline has three

// A vertex of a polyline and the arc to the next: bulge = tan(angle / 4), positive counter-clockwise.
struct Vertex {
    Vec2 at = Vec2::Zero();
    double bulge = 0.0;
};

class Reading {
  public:
    Reading(std::string_view text, const std::string& name) : groups_(text), name_(name), pieces_(name) {}

    Outcome<Drawing> read() {
        while (const auto group = groups_.next()) {
            if (group->is(0, "EOF")) {
                ended_ = true;
                break;
            }
            if (!group->is(0, "SECTION")) continue;
            const auto title = groups_.next();
            if (!title) break;
            any_section_ = true;
            if (title->is(2, "HEADER") && !entities_read_) header();  // the unit goes before what it counts
            if (title->is(2, "ENTITIES")) entities();
            if (!trouble_.empty()) break;
        }
        const auto wrong = [&](const std::string& what) {
            return Fault{FaultKind::input, "shoe", name_ + ": " + what, {}};
        };
        if (!trouble_.empty()) return wrong(trouble_);
        if (!groups_.trouble().empty())
            return wrong(groups_.trouble() + (any_section_ ? ". Save the drawing again as DXF (ASCII)."
                                                           : ". It is neither SVG nor DXF (ASCII): save the "
                                                             "insole's outline as one of them."));
        if (!any_section_)
            return wrong("it is neither SVG nor DXF (ASCII). Save the insole's outline as one of them.");
        if (!ended_)
            return wrong("line " + std::to_string(groups_.line()) +
                         ": the file breaks off (no EOF). Save the drawing again as DXF (ASCII).");
        if (!entities_read_)
            return wrong("it has no section of entities. Save the drawing again as DXF (ASCII).");
        if (mm_per_unit_ == 0.0)
            return wrong("it does not say its unit ($INSUNITS is " + insunits_ +
                         "). Set the drawing's unit to millimetres (or inches, centimetres, metres) and save "
                         "it again.");
        Drawing drawing;
        drawing.format = "DXF";
        drawing.unit = rounded(mm_per_unit_, 4) + " mm";
        for (const auto& [kind, times] : not_read_)
            drawing.notes.push_back(std::to_string(times) + " of kind " + kind + " not read.");
        auto outline = std::move(pieces_).one_outline(drawing.notes);
        if (!outline) {
            Fault fault = outline.fault();
            std::string kinds;
            for (const auto& [kind, times] : not_read_) kinds += (kinds.empty() ? "" : ", ") + kind;
            if (!kinds.empty())
                fault.message +=
                    " (Not read: " + kinds + "; turn them into polylines, and blocks into lines.)";
            return fault;
        }
        drawing.outline = std::move(*outline);
        return drawing;
    }

  private:
    void stop(std::size_t line, const std::string& what) {
        if (trouble_.empty()) trouble_ = "line " + std::to_string(line) + ": " + what;
    }

    void header() {
        while (const auto group = groups_.next()) {
            if (group->is(0, "ENDSEC")) return;
            if (!group->is(9, "$INSUNITS")) continue;
            const auto value = groups_.next();
            if (!value) return;
            insunits_ = std::string(value->value.substr(0, 12));
            // the numbers of $INSUNITS for lengths drawings of insoles come in
            const std::map<std::string_view, double> known = {{"1", mm_per(LengthUnit::inch)},
                                                              {"2", 12.0 * mm_per(LengthUnit::inch)},
                                                              {"4", mm_per(LengthUnit::millimetre)},
                                                              {"5", mm_per(LengthUnit::centimetre)},
                                                              {"6", mm_per(LengthUnit::metre)}};
            const auto unit = known.find(value->value);
            if (unit != known.end()) mm_per_unit_ = unit->second;
        }
    }

    std::optional<Entity> entity() {
        const auto first = groups_.next();
        if (!first) return std::nullopt;
        Entity entity;
        entity.kind = std::string(first->value.substr(0, 32));
        entity.line = first->line;
        while (const auto group = groups_.next()) {
            if (group->code == 0) {
                groups_.back(*group);
                return entity;
            }
            if (entity.groups.size() == most_groups) {
                stop(group->line, "the " + entity.kind + " before it has more than " +
                                      std::to_string(most_groups) + " values. Simplify the line.");
                return std::nullopt;
            }
            entity.groups.push_back(*group);
        }
        return std::nullopt;
    }

    void entities() {
        entities_read_ = true;
        while (trouble_.empty()) {
            const auto next = entity();
            if (!next || next->kind == "ENDSEC") return;
            add(*next);
        }
    }

    // A number of the group, or the trouble that it is none.
    double number(const DxfGroup& group) {
        const auto value = parse_number(group.value);
        if (!value)
            stop(group.line + 1,
                 "\"" + std::string(group.value.substr(0, 20)) + "\" is no number. Save the drawing again.");
        return value.value_or(0.0);
    }
    double number(const Entity& entity, int code, double otherwise = 0.0) {
        for (const DxfGroup& group : entity.groups)
            if (group.code == code) return number(group);
        return otherwise;
    }
    int flags(const Entity& entity, int code) {
        const double value = number(entity, code);
        return value >= 0.0 && value < 65536.0 ? static_cast<int>(value) : 0;
    }

    // Entities lie in planes of their own; seen from above that is the drawing itself, or its mirror image
    // when the plane faces down (x is then counted the other way).
    bool mirrored(const Entity& entity) {
        const Vec3 normal(number(entity, 210, 0.0), number(entity, 220, 0.0), number(entity, 230, 1.0));
        constexpr double level = 1e-6;
        if (std::hypot(normal.x(), normal.y()) > level * std::abs(normal.z()))
            stop(entity.line, "this " + entity.kind + " lies in a tilted plane. Draw the outline flat.");
        return normal.z() < 0.0;
    }

    Vec2 mm(const Vec2& p, bool mirror) const {
        const double unit =
            mm_per_unit_ == 0.0 ? 1.0 : mm_per_unit_;  // without a unit the reading is refused
        return {unit * (mirror ? -p.x() : p.x()), unit * p.y()};
    }

    void add(const Entity& entity) {
        if (flags(entity, 67) == 1) return;  // on a sheet of paper, not in the drawing
        if (entity.kind == "LINE")
            line(entity);
        else if (entity.kind == "ARC")
            arc(entity);
        else if (entity.kind == "LWPOLYLINE")
            light_polyline(entity);
        else if (entity.kind == "POLYLINE")
            polyline(entity);
        else if (entity.kind == "SPLINE")
            spline(entity);
        else if (not_read_.size() < 8 || not_read_.count(entity.kind) > 0)
            ++not_read_[entity.kind];
    }

    void line(const Entity& entity) {
        const Vec2 from(number(entity, 10), number(entity, 20)), to(number(entity, 11), number(entity, 21));
        if (pieces_.begin(entity.line) && pieces_.add(mm(from, false))) pieces_.add(mm(to, false));
    }

    void arc(const Entity& entity) {
        const bool mirror = mirrored(entity);
        const Vec2 centre(number(entity, 10), number(entity, 20));
        const double radius = number(entity, 40);
        const double from = radians(number(entity, 50));
        double sweep = std::fmod(radians(number(entity, 51)) - from, 2.0 * std::numbers::pi);
        if (sweep <= 0.0) sweep += 2.0 * std::numbers::pi;
        if (!(radius > 0.0)) return stop(entity.line, "this ARC has no radius. Draw it again.");
        if (!pieces_.begin(entity.line)) return;
        add_arc(centre, radius, from, sweep, mirror, true);
    }

    bool add_arc(const Vec2& centre, double radius, double from, double sweep, bool mirror, bool with_first) {
        const auto at = [&](double t) {
            const double angle = from + t * sweep;
            return mm(centre + radius * Vec2(std::cos(angle), std::sin(angle)), mirror);
        };
        if (with_first && !pieces_.add(at(0.0))) return false;
        return pieces_.add_curve(at, sweep * sweep * radius * (mm_per_unit_ == 0.0 ? 1.0 : mm_per_unit_));
    }

    void add_vertices(const std::vector<Vertex>& vertices, bool closed, bool mirror, std::size_t at_line) {
        if (vertices.size() < 2 || !pieces_.begin(at_line)) return;
        if (!pieces_.add(mm(vertices.front().at, mirror))) return;
        for (std::size_t i = 0; i + (closed ? 0 : 1) < vertices.size(); ++i) {
            const Vec2& a = vertices[i].at;
            const Vec2& b = vertices[(i + 1) % vertices.size()].at;
            const double bulge = vertices[i].bulge, chord = (b - a).norm();
            if (bulge != 0.0 && chord > 0.0) {
                const double sweep = 4.0 * std::atan(bulge);
                const double radius = 0.5 * chord / std::abs(std::sin(0.5 * sweep));
                // from the middle of the chord towards the left of it, by the apothem with its sign
                const Vec2 left = Vec2(-(b - a).y(), (b - a).x()) / chord;
                const Vec2 centre = 0.5 * (a + b) + 0.25 * chord * (1.0 / bulge - bulge) * left;
                const Vec2 out = a - centre;
                if (!add_arc(centre, radius, std::atan2(out.y(), out.x()), sweep, mirror, false)) return;
            } else if (!pieces_.add(mm(b, mirror))) {
                return;
            }
        }
        if (closed) pieces_.close();
    }

    void light_polyline(const Entity& entity) {
        const bool mirror = mirrored(entity);
        std::vector<Vertex> vertices;
        for (const DxfGroup& group : entity.groups) {
            if (group.code == 10) {
                vertices.emplace_back();
                vertices.back().at.x() = number(group);
            }
            if (vertices.empty()) continue;
            if (group.code == 20) vertices.back().at.y() = number(group);
            if (group.code == 42) vertices.back().bulge = number(group);
        }
        add_vertices(vertices, (flags(entity, 70) & 1) != 0, mirror, entity.line);
    }

    void polyline(const Entity& header) {
        constexpr int closed = 1, mesh = 16, faces = 64, frame_point = 16;
        const bool mirror = mirrored(header);
        const int kind = flags(header, 70);
        std::vector<Vertex> vertices;
        while (trouble_.empty()) {
            const auto next = entity();
            if (!next) return;  // the file breaks off: said at its end
            if (next->kind == "SEQEND") break;
            if (next->kind != "VERTEX")
                return stop(next->line, "a POLYLINE is not ended before this " + next->kind +
                                            ". Save the drawing again.");
            if ((flags(*next, 70) & frame_point) != 0) continue;  // of the spline's frame, not of the line
            if (vertices.size() == most_outline_points)
                return stop(next->line, "this POLYLINE has more than " + std::to_string(most_outline_points) +
                                            " points. Simplify the line.");
            vertices.push_back({Vec2(number(*next, 10), number(*next, 20)), number(*next, 42)});
        }
        if ((kind & (mesh | faces)) != 0) {
            ++not_read_["POLYLINE of a mesh"];
            return;
        }
        add_vertices(vertices, (kind & closed) != 0, mirror, header.line);
    }

    void spline(const Entity& entity) {
        Nurbs curve;
        curve.degree = flags(entity, 71);
        bool fit_points = false;
        for (const DxfGroup& group : entity.groups) {
            if (group.code == 40) curve.knots.push_back(number(group));
            if (group.code == 41) curve.weights.push_back(number(group));
            if (group.code == 10) curve.control.emplace_back(number(group), 0.0);
            if (group.code == 20 && !curve.control.empty()) curve.control.back().y() = number(group);
            if (group.code == 11) fit_points = true;
        }
        for (Vec2& p : curve.control) p = mm(p, false);
        const std::string what = "this SPLINE cannot be read: ";
        if (curve.control.empty())
            return stop(entity.line, what + (fit_points ? "it has fit points alone" : "it has no points") +
                                         ". Turn it into a polyline.");
        if (const std::string why = curve.trouble(); !why.empty())
            return stop(entity.line, what + why + ". Turn it into a polyline.");
        if (pieces_.begin(entity.line)) curve.add_to(pieces_);
    }

    DxfGroups groups_;
    std::string name_;
    Pieces pieces_;
    std::string trouble_, insunits_ = "not there";
    double mm_per_unit_ = 0.0;
    bool any_section_ = false, entities_read_ = false, ended_ = false;
    std::map<std::string, std::size_t> not_read_;
};

}  // namespace

Outcome<Drawing> read_dxf(std::string_view text, const std::string& name) {
    return Reading(text, name).read();
}

}  // namespace archwright::shoe
