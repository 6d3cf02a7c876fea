#include "engine/scan/three_mf_model.hpp"

#include <charconv>
#include <cmath>

#include "engine/scan/read_xml.hpp"

namespace archwright::scan {

namespace {

/// Components of a placement keep coordinates sensible; beyond this the file is nonsense.
constexpr double largest_factor = 1e6;

struct PartReader {
    const Source& source;
    const ZipEntry& entry;
    const std::string& part;
    bool root;
    ThreeMfModel& model;
    std::vector<std::string>& parts_named;
    XmlReader xml;
    ThreeMfObject* object = nullptr;
    PaintGroup* group = nullptr;
    std::size_t mesh_vertices = 0, mesh_triangles = 0;

    Fault bad(const std::string& what) const {
        return source.fault("in its part \"" + shown(part) + "\" " + what + "." + export_again);
    }

    /// Where in the object a message points.
    std::string here() const {
        return "vertex " + std::to_string(object->points.size()) + ", triangle " +
               std::to_string(object->triangles.size());
    }

    /// An attribute as a number of a resource or an entry; nothing when absent or no such number. What paints
    /// wrongly refuses no cast.
    std::optional<std::uint32_t> count(std::string_view attribute) const {
        const std::string_view word = xml.attribute(attribute).value_or("");
        std::uint32_t value = 0;
        const auto parsed = std::from_chars(word.data(), word.data() + word.size(), value);
        if (word.empty() || parsed.ec != std::errc() || parsed.ptr != word.data() + word.size())
            return std::nullopt;
        return value;
    }

    /// What the triangle, or the object, names to be painted with.
    Paint triangle_paint() const {
        const auto first = count("p1");
        if (!first) return object->paint;
        Paint paint;
        paint.group = count("pid").value_or(object->paint.group);
        paint.entries = {*first, count("p2").value_or(*first), count("p3").value_or(*first)};
        return paint;
    }

    std::optional<Fault> paint_entry(std::string_view name) {
        const std::size_t most = source.most_points();
        if (++model.paints.entries > most)
            return bad("there are more than " + std::to_string(most) + " colours");
        if (name == "tex2coord") {
            const auto number = [&](std::string_view axis) {
                return static_cast<float>(number_of(xml.attribute(axis).value_or("")).value_or(0.0));
            };
            group->places.emplace_back(number("u"), number("v"));
        } else {
            const std::string_view word =
                xml.attribute(name == "base" ? "displaycolor" : "color").value_or("");
            group->colours.push_back(colour_of(word).value_or(TriangleMesh::Colour{255, 255, 255}));
        }
        return std::nullopt;
    }

    std::optional<Fault> vertex() {
        if (model.points >= source.most_points()) return source.too_many_points();
        Vec3 p;
        constexpr std::array<std::string_view, 3> axes = {"x", "y", "z"};
        for (std::size_t k = 0; k < 3; ++k) {
            const std::string_view word = xml.attribute(axes[k]).value_or("");
            const auto value = number_of(word);
            if (!value)
                return source.fault("in its part \"" + shown(part) + "\", " + here() + ": " +
                                    why_no_number(word));
            if (!sensible(*value))
                return source.fault("in its part \"" + shown(part) + "\", " + here() + ": " +
                                    why_not_sensible(*value));
            p[static_cast<Eigen::Index>(k)] = *value;
        }
        object->points.push_back(p);
        if (++model.points % items_a_report == 0 && !source.go_on(entry.data)) return source.cancelled();
        return std::nullopt;
    }

    std::optional<Fault> triangle() {
        if (model.triangles >= source.limits.triangles) return source.too_many_triangles();
        Triangle t{};
        constexpr std::array<std::string_view, 3> names = {"v1", "v2", "v3"};
        for (std::size_t k = 0; k < 3; ++k) {
            const std::string_view word = xml.attribute(names[k]).value_or("");
            std::uint32_t index = 0;
            const auto parsed = std::from_chars(word.data(), word.data() + word.size(), index);
            if (word.empty() || parsed.ec != std::errc() || parsed.ptr != word.data() + word.size())
                return bad("\"" + shown(word) + "\" is not a corner (" + here() + ")");
            if (index >= object->points.size())
                return bad("triangle " + std::to_string(object->triangles.size()) + " names vertex " +
                           std::to_string(index) + ", of " + std::to_string(object->points.size()));
            t[k] = static_cast<std::int32_t>(index);
        }
        object->triangles.push_back(t);
        if (const Paint paint = triangle_paint(); paint.group != 0) {
            object->paints.resize(object->triangles.size());
            object->paints.back() = paint;
        }
        if (++model.triangles % items_a_report == 0 && !source.go_on(entry.data)) return source.cancelled();
        return std::nullopt;
    }

    Outcome<Placed> placed() {
        if (++model.placed > source.limits.instances) return source.too_many_instances();
        Placed result;
        const auto id = xml.attribute("objectid");
        if (!id) return bad("a component or build item names no object");
        result.object = {std::string(xml.attribute("path").value_or(part)), std::string(*id)};
        if (!result.object.first.empty() && result.object.first.front() == '/')
            result.object.first.erase(0, 1);
        if (result.object.first != part) parts_named.push_back(result.object.first);
        if (const auto text = xml.attribute("transform")) {
            Lines words(*text);
            words.next();
            for (int row = 0; row < 4; ++row)
                for (int column = 0; column < 3; ++column) {
                    const auto value = number_of(words.word());
                    const double most = row < 3 ? largest_factor : coordinate_limit;
                    if (!value || !(std::abs(*value) <= most))
                        return bad("a transform does not consist of twelve sensible numbers");
                    if (row < 3) {
                        result.placement.linear(column, row) = *value;
                    } else {
                        result.placement.offset[column] = *value;
                    }
                }
            if (words.line_has_more()) return bad("a transform has more than twelve numbers");
        }
        return result;
    }

    std::optional<Fault> open(const std::vector<std::string>& path) {
        const std::string_view name = xml.name();
        const auto inside = [&](std::string_view parent) { return !path.empty() && path.back() == parent; };
        if (path.empty()) {
            if (name != "model") return bad("the root is \"" + shown(name) + "\", not \"model\"");
            if (root) model.unit = xml.attribute("unit").value_or("millimeter");
        } else if (name == "vertex" && inside("vertices") && object != nullptr) {
            return vertex();
        } else if (name == "triangle" && inside("triangles") && object != nullptr) {
            return triangle();
        } else if (name == "object" && inside("resources")) {
            const auto id = xml.attribute("id");
            if (!id) return bad("an object has no number");
            const auto [at, fresh] = model.objects.try_emplace(ObjectKey{part, std::string(*id)});
            if (!fresh) return bad("two objects have the number " + shown(*id));
            object = &at->second;
            const std::string_view type = xml.attribute("type").value_or("model");
            object->part = part;
            object->paint.group = count("pid").value_or(0);
            object->paint.entries.fill(count("pindex").value_or(0));
            object->support = type == "support" || type == "solidsupport";
        } else if (name == "component" && inside("components") && object != nullptr) {
            auto component = placed();
            if (!component) return component.fault();
            object->components.push_back(std::move(*component));
        } else if (name == "item" && inside("build") && root) {
            auto item = placed();
            if (!item) return item.fault();
            model.build.push_back(std::move(*item));
        } else if ((name == "colorgroup" || name == "basematerials" || name == "texture2dgroup") &&
                   inside("resources")) {
            group = &model.paints.groups[{part, count("id").value_or(0)}];
            if (name == "texture2dgroup") group->picture = count("texid").value_or(0);
        } else if (group != nullptr && ((name == "color" && inside("colorgroup")) ||
                                        (name == "base" && inside("basematerials")) ||
                                        (name == "tex2coord" && inside("texture2dgroup")))) {
            return paint_entry(name);
        } else if (name == "texture2d" && inside("resources")) {
            if (++model.paints.entries > source.most_points()) return source.too_many_points();
            std::string picture(xml.attribute("path").value_or(""));
            if (!picture.empty() && picture.front() == '/') picture.erase(0, 1);
            model.paints.pictures[{part, count("id").value_or(0)}] = std::move(picture);
        } else if (name == "compositematerials" || name == "multiproperties") {
            model.paints.not_read = true;
        }
        return std::nullopt;
    }

    Outcome<Done> read() {
        std::vector<std::string> path;
        for (;;) {
            const auto event = xml.next();
            if (!event) {
                if (event.fault().kind != FaultKind::input ||
                    event.fault().message.rfind(source.name, 0) == 0)
                    return event.fault();
                return bad(event.fault().message);
            }
            if (*event == XmlReader::Event::end) return Done{};
            if (*event == XmlReader::Event::open) {
                if (auto fault = open(path)) return *fault;
                path.emplace_back(xml.name());
            } else {
                if (path.back() == "object") object = nullptr;
                if (path.back() == "colorgroup" || path.back() == "basematerials" ||
                    path.back() == "texture2dgroup")
                    group = nullptr;
                path.pop_back();
            }
        }
    }
};

}  // namespace

Outcome<Done> read_model_part(const Source& source, const ZipEntry& entry, const std::string& part, bool root,
                              ThreeMfModel& model, std::vector<std::string>& parts_named) {
    Unpacker unpacker(source, entry);
    PartReader reader{
        source, entry, part, root, model, parts_named, XmlReader([&](char* out, std::size_t room) {
            return unpacker.read(out, room);
        })};
    return reader.read();
}

}  // namespace archwright::scan
