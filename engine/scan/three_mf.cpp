#include "engine/scan/three_mf.hpp"

#include <Eigen/LU>
#include <algorithm>
#include <set>
#include <utility>

#include "engine/scan/raster.hpp"
#include "engine/scan/read_xml.hpp"
#include "engine/scan/read_zip.hpp"
#include "engine/scan/three_mf_model.hpp"

namespace archwright::scan {

namespace {

constexpr std::string_view model_relation = "http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel";

/// Name of the root model part: what the package's relationships say, else the customary name.
Outcome<std::string> root_part(const Source& source, const std::vector<ZipEntry>& entries) {
    std::string name = "3D/3dmodel.model";
    if (const ZipEntry* relations = find_entry(entries, "_rels/.rels")) {
        Unpacker unpacker(source, *relations);
        XmlReader xml([&](char* out, std::size_t room) { return unpacker.read(out, room); });
        for (;;) {
            const auto event = xml.next();
            if (!event)
                return source.fault("its list of relationships is damaged." + std::string(export_again));
            if (*event == XmlReader::Event::end) break;
            if (*event == XmlReader::Event::open && xml.name() == "Relationship" &&
                xml.attribute("Type").value_or("") == model_relation)
                name = xml.attribute("Target").value_or(name);
        }
    }
    if (!name.empty() && name.front() == '/') name.erase(0, 1);
    if (find_entry(entries, name) == nullptr)
        return source.fault(
            "it is a ZIP archive without a 3MF model in it. Unpack it and give the STL, PLY, OBJ or "
            "3MF file inside.");
    return name;
}

/// The unit as ours, with a factor for the two that no cast is stated in.
struct Unit {
    LengthUnit unit;
    double factor;
};
std::optional<Unit> unit_of(std::string_view word) {
    if (word == "millimeter") return Unit{LengthUnit::millimetre, 1.0};
    if (word == "centimeter") return Unit{LengthUnit::centimetre, 1.0};
    if (word == "inch") return Unit{LengthUnit::inch, 1.0};
    if (word == "meter") return Unit{LengthUnit::metre, 1.0};
    if (word == "micron") return Unit{LengthUnit::millimetre, 1e-3};
    if (word == "foot") return Unit{LengthUnit::inch, 12.0};
    return std::nullopt;
}

/// Puts objects where the build wants them.
struct Assembler {
    const Source& source;
    const ThreeMfModel& model;
    TriangleMesh& mesh;
    Painter painter;
    std::size_t instances = 0;
    std::size_t meshes = 0;
    std::size_t supports = 0;

    std::optional<Fault> place(const Placed& placed, const Placement& outer, std::size_t depth) {
        if (depth > source.limits.depth)
            return source.fault("its objects contain one another more than " +
                                std::to_string(source.limits.depth) + " deep (or in a circle)." +
                                export_again);
        if (++instances > source.limits.instances) return source.too_many_instances();
        const auto found = model.objects.find(placed.object);
        if (found == model.objects.end())
            return source.fault("it places object " + shown(placed.object.second) +
                                ", which it does not hold." + export_again);
        const ThreeMfObject& object = found->second;
        if (object.support) {
            ++supports;
            return std::nullopt;
        }
        const Placement placement = outer.after(placed.placement);
        for (const Placed& component : object.components)
            if (auto fault = place(component, placement, depth + 1)) return fault;
        if (object.triangles.empty()) return std::nullopt;
        ++meshes;
        if (mesh.triangles.size() + object.triangles.size() > source.limits.triangles)
            return source.too_many_triangles();
        if (mesh.points.size() + object.points.size() > source.most_points()) return source.too_many_points();
        const double determinant = placement.linear.determinant();
        if (determinant == 0.0)
            return source.fault("a transform flattens object " + shown(placed.object.second) + "." +
                                export_again);
        const auto base = static_cast<std::int32_t>(mesh.points.size());
        for (const Vec3& p : object.points) {
            const Vec3 q = placement.of(p);
            for (int k = 0; k < 3; ++k)
                if (!sensible(q[k]))
                    return source.fault("a transform sends a point astray: " + why_not_sensible(q[k]));
            mesh.points.push_back(q);
        }
        for (std::size_t i = 0; i < object.triangles.size(); ++i) {
            Triangle t = object.triangles[i];
            Paint paint = i < object.paints.size() ? object.paints[i] : Paint{};
            if (determinant < 0.0) {  // a mirror turns the winding
                std::swap(t[1], t[2]);
                std::swap(paint.entries[1], paint.entries[2]);
            }
            painter.triangle(object.part, paint);
            mesh.triangles.push_back({t[0] + base, t[1] + base, t[2] + base});
        }
        return source.go_on(source.text.size()) ? std::nullopt : std::optional<Fault>(source.cancelled());
    }
};

/// A picture of the package, unpacked.
Outcome<Raster> packed_picture(const Source& source, const ZipEntry& entry) {
    Unpacker unpacker(source, entry);
    std::vector<std::byte> bytes;
    constexpr std::size_t piece = 1u << 16;
    for (;;) {
        const std::size_t held = bytes.size();
        if (held > most_picture_bytes)
            return source.fault("its picture \"" + shown(entry.name) + "\" is larger than a picture is.");
        bytes.resize(held + piece);
        const auto got = unpacker.read(reinterpret_cast<char*>(bytes.data() + held), piece);
        if (!got) return got.fault();
        bytes.resize(held + *got);
        if (*got == 0) break;
    }
    return read_raster_bytes(bytes, entry.name);
}

}  // namespace

bool begins_as_zip(std::string_view bytes) {
    return bytes.size() >= 4 && (bytes.substr(0, 4) == std::string_view("PK\x03\x04", 4) ||
                                 bytes.substr(0, 4) == std::string_view("PK\x05\x06", 4));
}

Outcome<Reading> read_three_mf(const Source& source) {
    const auto entries = read_zip_directory(source);
    if (!entries) return entries.fault();
    const auto root = root_part(source, *entries);
    if (!root) return root.fault();

    ThreeMfModel model;
    std::vector<std::string> parts{*root};
    std::set<std::string> done;
    for (std::size_t i = 0; i < parts.size(); ++i) {
        const std::string part = parts[i];
        if (!done.insert(part).second) continue;
        const ZipEntry* entry = find_entry(*entries, part);
        if (entry == nullptr)
            return source.fault("its part \"" + shown(part) + "\" is missing." + std::string(export_again));
        std::vector<std::string> named;
        if (const auto read = read_model_part(source, *entry, part, i == 0, model, named); !read)
            return read.fault();
        for (std::string& name : named)
            if (!done.contains(name)) parts.push_back(std::move(name));
    }

    Reading reading;
    reading.format = "3MF";
    const auto unit = unit_of(model.unit);
    if (!unit)
        return source.fault("its unit \"" + shown(model.unit) + "\" is not one of 3MF." +
                            std::string(export_again));
    reading.declared_unit = unit->unit;
    if (unit->factor != 1.0)
        reading.notes.push_back("Its unit, " + model.unit + ", was converted to " + word(unit->unit) + ".");
    Placement all;
    all.linear *= unit->factor;
    if (model.build.empty()) {
        std::set<ObjectKey> used;
        for (const auto& [key, object] : model.objects)
            for (const Placed& component : object.components) used.insert(component.object);
        for (const auto& [key, object] : model.objects)
            if (!used.contains(key)) model.build.push_back({key, {}});
        if (!model.build.empty())
            reading.notes.emplace_back("It places no object; all were read where they stand.");
    }
    Assembler assembler{source, model, reading.mesh, Painter(model.paints)};
    for (const Placed& item : model.build)
        if (auto fault = assembler.place(item, all, 0)) return *fault;
    if (assembler.meshes > 1)
        reading.notes.push_back(std::to_string(assembler.meshes) + " objects were read as one cast.");
    if (assembler.supports > 0)
        reading.notes.push_back(std::to_string(assembler.supports) + " support objects were left out.");
    Texture texture;
    assembler.painter.finish(reading.mesh, texture);
    colour_by_texture(texture, reading, [&](const std::string& name) -> Outcome<Raster> {
        const ZipEntry* entry = find_entry(*entries, name);
        if (entry == nullptr) return source.fault("it does not hold \"" + shown(name) + "\".");
        return packed_picture(source, *entry);
    });
    const bool painted = !model.paints.groups.empty() || model.paints.not_read;
    if (painted && reading.mesh.colours.empty())
        reading.notes.emplace_back(
            "It has colours, but none that could be laid on most of the cast; export PLY or OBJ to keep "
            "them.");
    return reading;
}

}  // namespace archwright::scan
