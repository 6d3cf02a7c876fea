#include "engine/shoe/read.hpp"

#include "engine/base/file.hpp"
#include "engine/base/hash.hpp"
#include "engine/shoe/dxf.hpp"
#include "engine/shoe/svg.hpp"

namespace archwright::shoe {

Outcome<Drawing> read_drawing_bytes(std::span<const std::byte> bytes, const std::string& name) {
    const std::string_view text(reinterpret_cast<const char*>(bytes.data()), bytes.size());
    const auto wrong = [&](const std::string& what) {
        return Fault{FaultKind::input, "shoe", name + ": " + what, {}};
    };
    if (bytes.size() > most_drawing_bytes)
        return wrong("it has more than 16 MB. Save a drawing of the insole's outline alone.");
    constexpr std::string_view mark = "\xEF\xBB\xBF";  // of UTF-8
    const std::string_view body = text.starts_with(mark) ? text.substr(mark.size()) : text;
    const std::size_t first = body.find_first_not_of(" \t\r\n");
    if (first == std::string_view::npos)
        return wrong("it is empty. Save the insole's outline as SVG or DXF.");
    // XML in two bytes a letter begins with its own mark; a drawing without letters is a binary one
    const bool wide = text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF");
    const bool xml = wide || body[first] == '<';
    if (!xml && text.find('\0') != std::string_view::npos)
        return wrong(
            "it is a binary file, neither SVG nor DXF (ASCII). Save the insole's outline as one of them.");
    auto drawing = xml ? read_svg(wide ? text : body.substr(first), name) : read_dxf(body, name);
    if (drawing) drawing->sha256 = sha256(bytes);
    return drawing;
}

Outcome<Drawing> read_drawing(const std::filesystem::path& path) {
    const auto file = FileBytes::read(path, most_drawing_bytes);
    if (!file) return file.fault();
    return read_drawing_bytes(file->bytes(), path.filename().string());
}

}  // namespace archwright::shoe
