#include "engine/scan/read.hpp"
#include "engine/base/text.hpp"

#include <algorithm>
#include <array>
#include <future>
#include <limits>
#include <system_error>

#include "engine/base/file.hpp"
#include "engine/base/hash.hpp"
#include "engine/scan/obj.hpp"
#include "engine/scan/ply.hpp"
#include "engine/scan/read_source.hpp"
#include "engine/scan/stl.hpp"
#include "engine/scan/three_mf.hpp"
#include "engine/scan/weld.hpp"

namespace archwright::scan {

namespace {

constexpr const char* formats_read = "Give an STL, PLY, OBJ or 3MF file.";

/// First bytes of files that are sometimes given by mistake.
struct Stranger {
    std::string_view begins;
    const char* what;
};
constexpr std::array<Stranger, 14> strangers = {{{"\x89PNG", "a PNG picture"},
                                                 {"\xFF\xD8\xFF", "a JPEG picture"},
                                                 {"GIF8", "a GIF picture"},
                                                 {"II*", "a TIFF picture"},
                                                 {"RIFF", "a picture, a film or a sound"},
                                                 {"%PDF", "a PDF document"},
                                                 {"\x1F\x8B", "a gzip archive"},
                                                 {"7z\xBC\xAF", "a 7z archive"},
                                                 {"Rar!", "a RAR archive"},
                                                 {"ISO-10303-21", "a STEP file"},
                                                 {"glTF", "a glTF file"},
                                                 {"<!DOCTYPE", "a web page"},
                                                 {"<html", "a web page"},
                                                 {"\x7F"
                                                  "ELF",
                                                  "a program"}}};

/// Text, going by its first bytes: no control characters but blanks and line ends.
bool looks_like_text(std::string_view bytes) {
    constexpr std::size_t looked_at = 1024;
    for (const char c : bytes.substr(0, looked_at)) {
        const auto u = static_cast<unsigned char>(c);
        if (u < 9 || (u > 13 && u < 32) || u == 127) return false;
    }
    return true;
}

std::string_view without_mark(std::string_view text) {
    if (text.substr(0, 3) == "\xEF\xBB\xBF") text.remove_prefix(3);
    const std::size_t first = text.find_first_not_of(" \t\r\n");
    return first == std::string_view::npos ? std::string_view() : text.substr(first);
}

/// Some line near the beginning gives a point as OBJ does.
bool looks_like_obj(std::string_view bytes) {
    constexpr std::size_t looked_at = 1u << 16;
    Lines lines(bytes.substr(0, looked_at));
    while (lines.next())
        if (lines.word() == "v") return number_of(lines.word()).has_value();
    return false;
}

/// The reader chosen for a file.
struct Reader {
    Outcome<Reading> (*read)(const Source&) = nullptr;
};

/// Content first, then the name.
Outcome<Reader> choose(const Source& source) {
    const std::string_view bytes = source.text;
    if (is_exact_binary_stl(bytes)) return Reader{read_stl_binary};
    if (begins_as_ply(bytes)) return Reader{read_ply};
    if (begins_as_zip(bytes)) return Reader{read_three_mf};
    for (const Stranger& stranger : strangers)
        if (bytes.substr(0, stranger.begins.size()) == stranger.begins)
            return source.fault("it is " + std::string(stranger.what) + ", not a cast. " + formats_read);
    if (bytes.substr(0, 2) == "\xFF\xFE" || bytes.substr(0, 2) == "\xFE\xFF")
        return source.fault("it is UTF-16 text. Save it as plain (ASCII or UTF-8) text.");
    const bool text = looks_like_text(bytes);
    const std::string_view first = without_mark(bytes);
    if (text && lower(first.substr(0, 5)) == "solid") return Reader{read_stl_ascii};
    const std::string extension = lower(std::filesystem::path(source.name).extension().string());
    if (text && first.empty())
        return source.fault("it holds nothing but blanks. " + std::string(formats_read));
    if (extension == ".ply")
        return source.fault("it does not begin with \"ply\" as a PLY does." + std::string(export_again));
    if (extension == ".3mf")
        return source.fault("it is not a ZIP archive as a 3MF is." + std::string(export_again));
    if (extension == ".stl" && !text) return Reader{read_stl_binary};
    if (text && (extension == ".obj" || looks_like_obj(bytes))) return Reader{read_obj};
    const std::size_t count = binary_stl_count(bytes);
    if (!text && count > 0 && stl_header + stl_triangle * count <= bytes.size())
        return Reader{read_stl_binary};
    return source.fault("its content is no cast in a known format. " + std::string(formats_read));
}

Outcome<Reading> read_mesh(const Source& source) {
    if (source.text.empty()) return source.fault("it is empty (0 bytes)." + std::string(export_again));
    if (source.text.size() > source.limits.bytes)
        return source.fault("its " + std::to_string(source.text.size()) +
                            " bytes are more than the allowed " + std::to_string(source.limits.bytes) +
                            ". Reduce the scan in the scanner's program, or raise the limit.");
    if (!source.go_on(0)) return source.cancelled();
    const auto reader = choose(source);
    if (!reader) return reader.fault();
    auto reading = reader->read(source);
    if (!reading) return reading;
    TriangleMesh& mesh = reading->mesh;
    if (mesh.triangles.empty())
        return source.fault("it holds " + std::to_string(mesh.points.size()) +
                            " points but no triangles. A cast needs a surface: export it as a mesh.");
    const bool stl = reading->format.substr(0, 3) == "STL";  // welded while reading
    const Welding welding = stl ? Welding{} : weld(mesh);
    if (welding.dropped > 0)
        reading->notes.push_back(std::to_string(welding.dropped) +
                                 " points that no triangle uses were dropped.");
    if (const Vec3 size = mesh.box().size(); !(size.maxCoeff() > 0.0))
        return source.fault("all its points lie in one place." + std::string(export_again));
    if (!source.go_on(source.text.size())) return source.cancelled();
    return reading;
}

}  // namespace

namespace {

Outcome<Reading> read_source(std::span<const std::byte> bytes, const std::string& name,
                             const std::filesystem::path& folder, const ReadLimits& limits,
                             Progress* progress) {
    Source source{
        {reinterpret_cast<const char*>(bytes.data()), bytes.size()}, name, limits, progress, folder};
    // indices of half-edges are 32 bits (engine/mesh/topology.hpp)
    source.limits.triangles =
        std::min<std::size_t>(limits.triangles, std::numeric_limits<std::int32_t>::max() / 3);
    if (bytes.size() > source.limits.bytes) return read_mesh(source);  // refuses
    // The fingerprint on the other core meanwhile.
    std::future<std::string> fingerprint;
    try {
        fingerprint = std::async(std::launch::async, [bytes] { return sha256(bytes); });
    } catch (const std::system_error&) {  // no thread to be had
        fingerprint = std::async(std::launch::deferred, [bytes] { return sha256(bytes); });
    }
    auto reading = read_mesh(source);
    if (reading) reading->sha256 = fingerprint.get();
    return reading;
}

}  // namespace

Outcome<Reading> read_cast_bytes(std::span<const std::byte> bytes, const std::string& name,
                                 const ReadLimits& limits, Progress* progress) {
    return read_source(bytes, name, {}, limits, progress);
}

Outcome<Reading> read_cast(const std::filesystem::path& path, const ReadLimits& limits, Progress* progress) {
    const auto file = FileBytes::read(path, limits.bytes);
    if (!file) {
        Fault fault = file.fault();
        std::error_code error;
        if (std::filesystem::file_size(path, error) > limits.bytes && !error)
            fault.message += " Reduce the scan in the scanner's program, or raise the limit (--most-bytes).";
        return fault;
    }
    std::error_code error;
    const std::filesystem::path whole = std::filesystem::absolute(path, error);
    return read_source(file->bytes(), path.filename().string(),
                       error ? std::filesystem::path() : whole.parent_path(), limits, progress);
}

}  // namespace archwright::scan
