#include "exporters/three_mf.hpp"

#include <Model/COM/NMR_DLLInterfaces.h>

#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <memory>

#include "engine/base/file.hpp"
#include "engine/base/hash.hpp"
#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/base/version.hpp"
#include "exporters/float_mesh.hpp"

namespace archwright::exporters {

namespace {

// lib3mf itself stamps its packages with the fixed date 1980-00-00, so only its random UUIDs have to be
// pinned for the same input to give the same bytes (a test writes twice, seconds apart).

/// A lib3mf object, released when done with.
class Handle {
  public:
    Handle() = default;
    ~Handle() {
        if (object_ != nullptr) NMR::lib3mf_release(object_);
    }
    Handle(const Handle&) = delete;
    Handle& operator=(const Handle&) = delete;
    NMR::PLib3MFBase** fill() { return &object_; }
    NMR::PLib3MFBase* get() const { return object_; }

  private:
    NMR::PLib3MFBase* object_ = nullptr;
};

constexpr LIB3MFRESULT good = 0;

/// Collects the first failure of a row of calls.
class Calls {
  public:
    explicit Calls(std::string doing) : doing_(std::move(doing)) {}
    /// True while all went well; `result` of a call on `object`.
    bool operator()(LIB3MFRESULT result, const Handle& object) {
        if (result == good || fault_) return !fault_;
        DWORD code = 0;
        LPCSTR words = nullptr;
        if (object.get() != nullptr) NMR::lib3mf_getlasterror(object.get(), &code, &words);
        fault_ = Fault{FaultKind::output,
                       "write",
                       doing_ + " failed in the 3MF library (code " + std::to_string(code) +
                           (words != nullptr ? std::string(": ") + words : std::string()) + ").",
                       {}};
        return false;
    }
    const std::optional<Fault>& fault() const { return fault_; }

  private:
    std::string doing_;
    std::optional<Fault> fault_;
};

/// 3MF as lib3mf writes it has six decimals: numbers that differ by less would read as equal, so all are put
/// on a grid that survives.
TriangleMesh on_grid(TriangleMesh mesh) {
    constexpr double steps_per_mm = 1e5;
    for (Vec3& p : mesh.points) p = (p * steps_per_mm).array().round().matrix() / steps_per_mm;
    return mesh;
}

/// UUID version 8 (RFC 9562: made by the application), from SHA-256 of what it names.
std::string uuid_of(const std::string& what) {
    std::string hex = sha256(what).substr(0, 32);
    hex[12] = '8';
    hex[16] = "89ab"[(hex[16] <= '9' ? hex[16] - '0' : hex[16] - 'a' + 10) % 4];
    for (const std::size_t dash : {8, 13, 18, 23}) hex.insert(dash, 1, '-');
    return hex;
}

struct Geometry {
    std::vector<NMR::MODELMESHVERTEX> vertices;
    std::vector<NMR::MODELMESHTRIANGLE> triangles;
    std::string text() const {  // for its UUID
        return std::string(reinterpret_cast<const char*>(vertices.data()),
                           vertices.size() * sizeof vertices[0]) +
               std::string(reinterpret_cast<const char*>(triangles.data()),
                           triangles.size() * sizeof triangles[0]);
    }
};

Geometry geometry_of(const TriangleMesh& mesh) {
    Geometry geometry;
    geometry.vertices.reserve(mesh.points.size());
    for (const Vec3& p : mesh.points)
        geometry.vertices.push_back(
            {{static_cast<float>(p.x()), static_cast<float>(p.y()), static_cast<float>(p.z())}});
    geometry.triangles.reserve(mesh.triangles.size());
    for (const Triangle& t : mesh.triangles)
        geometry.triangles.push_back(
            {{static_cast<DWORD>(t[0]), static_cast<DWORD>(t[1]), static_cast<DWORD>(t[2])}});
    return geometry;
}

// The package is made in memory, since lib3mf ends the process when a device it writes to is full (it throws
// while destroying its file stream).
struct Package {
    std::string bytes;
    std::size_t at = 0;
};
constexpr std::uint32_t fine = 0, not_fine = 1;  // what a callback answers

std::uint32_t write_package(unsigned char* data, std::uint32_t size, void* user) {
    auto& package = *static_cast<Package*>(user);
    package.bytes.resize(std::max(package.bytes.size(), package.at + size));
    std::copy_n(data, size, package.bytes.begin() + static_cast<std::ptrdiff_t>(package.at));
    package.at += size;
    return fine;
}

std::uint32_t seek_package(unsigned long long position, void* user) {
    auto& package = *static_cast<Package*>(user);
    if (position > package.bytes.size()) return not_fine;
    package.at = position;
    return fine;
}

/// The group of all materials, and each one's place in it by name.
struct BaseMaterials {
    DWORD group = 0;
    std::map<std::string, DWORD> index;
};

BaseMaterials add_materials(const Handle& model, const std::vector<NamedMesh>& bodies, Calls& call) {
    BaseMaterials materials;
    Handle group;
    // muted tones that stay apart from one another; the shell's comes first
    constexpr std::array<std::array<BYTE, 3>, 6> tones{
        {{214, 214, 206}, {86, 138, 158}, {190, 142, 82}, {122, 154, 104}, {158, 112, 142}, {120, 120, 128}}};
    for (const NamedMesh& body : bodies) {
        if (body.material.empty() || materials.index.count(body.material) != 0) continue;
        if (group.get() == nullptr) {
            call(NMR::lib3mf_model_addbasematerialgroup(model.get(), group.fill()), model);
            if (!call(NMR::lib3mf_basematerial_getresourceid(group.get(), &materials.group), group))
                return materials;
        }
        const auto& tone = tones[materials.index.size() % tones.size()];
        DWORD index = 0;
        call(NMR::lib3mf_basematerial_addmaterialutf8(group.get(), body.material.c_str(), tone[0], tone[1],
                                                      tone[2], &index),
             group);
        // the call above leaves the colour transparent
        call(NMR::lib3mf_basematerial_setdisplaycolorrgba(group.get(), index, tone[0], tone[1], tone[2], 255),
             group);
        materials.index[body.material] = index;
    }
    return materials;
}

Outcome<std::string> package_of(const std::vector<NamedMesh>& bodies, const ThreeMfWords& words) {
    Calls call("Writing the 3MF file");
    Package package;
    Handle model, writer;
    call(NMR::lib3mf_createmodel(model.fill()), model);
    call(NMR::lib3mf_model_setunit(model.get(), NMR::MODELUNIT_MILLIMETER), model);
    const auto metadata = [&](const char* key, const std::string& value) {
        call(NMR::lib3mf_model_addmetadatautf8(model.get(), key, value.c_str()), model);
    };
    metadata("Title", words.title);
    metadata("Application", std::string("Archwright ") + version);
    if (!words.date.empty()) metadata("CreationDate", words.date);
    std::string all = words.title + '\n' + words.date;
    const BaseMaterials materials = add_materials(model, bodies, call);
    for (const NamedMesh& body : bodies) {
        Geometry geometry = geometry_of(body.mesh);
        std::string what = std::to_string(all.size()) + '\n' + body.name + '\n' + sha256(geometry.text());
        if (!body.material.empty()) what += '\n' + body.material;
        all += what;
        Handle object, item;
        if (!call(NMR::lib3mf_model_addmeshobject(model.get(), object.fill()), model)) break;
        call(NMR::lib3mf_object_setnameutf8(object.get(), body.name.c_str()), object);
        call(NMR::lib3mf_object_setuuidutf8(object.get(), uuid_of("object\n" + what).c_str()), object);
        call(NMR::lib3mf_meshobject_setgeometry(
                 object.get(), geometry.vertices.data(), static_cast<DWORD>(geometry.vertices.size()),
                 geometry.triangles.data(), static_cast<DWORD>(geometry.triangles.size())),
             object);
        if (!body.material.empty()) {
            Handle property;
            call(NMR::lib3mf_object_createdefaultpropertyhandler(object.get(), property.fill()), object);
            call(NMR::lib3mf_defaultpropertyhandler_setbasematerial(property.get(), materials.group,
                                                                    materials.index.at(body.material)),
                 property);
        }
        if (!call(NMR::lib3mf_model_addbuilditem(model.get(), object.get(), nullptr, item.fill()), model))
            break;
        call(NMR::lib3mf_builditem_setuuidutf8(item.get(), uuid_of("item\n" + what).c_str()), item);
    }
    call(NMR::lib3mf_model_setbuilduuidutf8(model.get(), uuid_of("build\n" + all).c_str()), model);
    if (call(NMR::lib3mf_model_querywriter(model.get(), "3mf", writer.fill()), model))
        call(NMR::lib3mf_writer_writetocallback(writer.get(), reinterpret_cast<void*>(&write_package),
                                                reinterpret_cast<void*>(&seek_package), &package),
             writer);
    if (call.fault()) return *call.fault();
    return std::move(package.bytes);
}

/// One body as the file holds it. Faults when it is not manifold and oriented.
Outcome<TriangleMesh> body_of(const Handle& object, Calls& call) {
    BOOL manifold = 0;
    call(NMR::lib3mf_meshobject_ismanifoldandoriented(object.get(), &manifold), object);
    DWORD points = 0, triangles = 0;
    call(NMR::lib3mf_meshobject_getvertexcount(object.get(), &points), object);
    call(NMR::lib3mf_meshobject_gettrianglecount(object.get(), &triangles), object);
    if (call.fault()) return *call.fault();
    Geometry geometry;
    geometry.vertices.resize(points);
    geometry.triangles.resize(triangles);
    call(NMR::lib3mf_meshobject_getvertices(object.get(), geometry.vertices.data(), points, nullptr), object);
    call(NMR::lib3mf_meshobject_gettriangleindices(object.get(), geometry.triangles.data(), triangles,
                                                   nullptr),
         object);
    if (call.fault()) return *call.fault();
    if (!manifold)
        return Fault{FaultKind::output,
                     "write",
                     "The 3MF file does not read back as it was written: a body is not closed.",
                     {}};
    TriangleMesh mesh;
    for (const auto& v : geometry.vertices)
        mesh.points.emplace_back(v.m_fPosition[0], v.m_fPosition[1], v.m_fPosition[2]);
    for (const auto& t : geometry.triangles)
        mesh.triangles.push_back({static_cast<std::int32_t>(t.m_nIndices[0]),
                                  static_cast<std::int32_t>(t.m_nIndices[1]),
                                  static_cast<std::int32_t>(t.m_nIndices[2])});
    return mesh;
}

std::string name_of(const Handle& object, Calls& call) {
    ULONG needed = 0;
    if (!call(NMR::lib3mf_object_getnameutf8(object.get(), nullptr, 0, &needed), object)) return {};
    std::string name(needed + 1, '\0');
    call(NMR::lib3mf_object_getnameutf8(object.get(), name.data(), static_cast<ULONG>(name.size()), &needed),
         object);
    name.resize(name.find('\0') == std::string::npos ? needed : name.find('\0'));
    return name;
}

/// Name of a body's base material; empty where it has none.
std::string material_of(const Handle& model, const Handle& object, Calls& call) {
    Handle property, group;
    DWORD id = 0, index = 0;
    if (!call(NMR::lib3mf_object_createdefaultpropertyhandler(object.get(), property.fill()), object))
        return {};
    if (!call(NMR::lib3mf_defaultpropertyhandler_getbasematerial(property.get(), &id, &index), property) ||
        id == 0)
        return {};
    if (!call(NMR::lib3mf_model_getbasematerialbyid(model.get(), id, group.fill()), model)) return {};
    ULONG needed = 0;
    if (!call(NMR::lib3mf_basematerial_getnameutf8(group.get(), index, nullptr, 0, &needed), group))
        return {};
    std::string name(needed + 1, '\0');
    call(NMR::lib3mf_basematerial_getnameutf8(group.get(), index, name.data(),
                                              static_cast<ULONG>(name.size()), &needed),
         group);
    name.resize(name.find('\0') == std::string::npos ? needed : name.find('\0'));
    return name;
}

Outcome<Done> verify(const std::vector<NamedMesh>& bodies, const std::filesystem::path& path) {
    const auto fault = [](const std::string& what) {
        return Fault{FaultKind::output,
                     "write",
                     "The 3MF file does not read back as it was written: " + what + ".",
                     {}};
    };
    Calls call("Reading the 3MF file back");
    Handle model, reader, objects;
    call(NMR::lib3mf_createmodel(model.fill()), model);
    if (!call(NMR::lib3mf_model_queryreader(model.get(), "3mf", reader.fill()), model)) return *call.fault();
    call(NMR::lib3mf_reader_readfromfileutf8(reader.get(), path.c_str()), reader);
    DWORD unit = 0;
    call(NMR::lib3mf_model_getunit(model.get(), &unit), model);
    call(NMR::lib3mf_model_getmeshobjects(model.get(), objects.fill()), model);
    if (call.fault()) return *call.fault();
    if (unit != NMR::MODELUNIT_MILLIMETER) return fault("its unit is not the millimetre");
    std::size_t found = 0;
    for (;; ++found) {
        BOOL more = 0;
        call(NMR::lib3mf_resourceiterator_movenext(objects.get(), &more), objects);
        if (call.fault()) return *call.fault();
        if (!more) break;
        if (found == bodies.size()) return fault("it holds more bodies than were written");
        Handle object;
        if (!call(NMR::lib3mf_resourceiterator_getcurrent(objects.get(), object.fill()), objects))
            return *call.fault();
        const auto mesh = body_of(object, call);
        if (!mesh) return mesh.fault();
        if (const std::string name = name_of(object, call); name != bodies[found].name)
            return fault("a body is named \"" + name + "\"");
        if (const std::string name = material_of(model, object, call); name != bodies[found].material)
            return fault("\"" + bodies[found].name + "\" is of the material \"" + name + "\"");
        const TriangleMesh& wanted = bodies[found].mesh;
        if (mesh->triangles.size() != wanted.triangles.size()) return fault("triangles are missing");
        const Box3 a = mesh->box(), b = wanted.box();
        if ((a.low - b.low).norm() + (a.high - b.high).norm() > tolerance::float_file_mm)
            return fault("its box is wrong");
        if (std::abs(mesh->volume() - wanted.volume()) >
            tolerance::text_volume_relative * std::abs(wanted.volume()))
            return fault("its volume is " + rounded(mesh->volume(), 1) + " mm3, not " +
                         rounded(wanted.volume(), 1));
    }
    if (found != bodies.size()) return fault("it holds " + std::to_string(found) + " bodies");
    return Done{};
}

}  // namespace

Outcome<Done> write_three_mf(const std::vector<NamedMesh>& bodies, const ThreeMfWords& words,
                             const std::filesystem::path& target) {
    if (bodies.empty()) return Fault{FaultKind::output, "write", "There is no body to write as 3MF.", {}};
    std::vector<NamedMesh> as_written;
    for (const NamedMesh& body : bodies) {
        auto mesh = as_floats(on_grid(body.mesh));
        if (!mesh) return mesh.fault();
        as_written.push_back({body.name, std::move(*mesh), body.material});
    }
    const auto package = package_of(as_written, words);
    if (!package) return package.fault();
    return write_file(target, *package,
                      [&](const std::filesystem::path& path) { return verify(as_written, path); });
}

}  // namespace archwright::exporters
