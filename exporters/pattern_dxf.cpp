#include <algorithm>
#include <cmath>

#include "engine/base/text.hpp"
#include "engine/base/tolerances.hpp"
#include "engine/picture/font.hpp"
#include "exporters/pattern_files.hpp"

namespace archwright::exporters {

namespace {

constexpr int dxf_decimals = 3;

// Group code and value, a line each (Autodesk, DXF reference: group codes in numerical order).
class Groups {
  public:
    void add(int code, const std::string& value) { text_ += std::to_string(code) + "\n" + value + "\n"; }
    void add(int code, double value) { add(code, rounded(value, dxf_decimals)); }
    void add(int code, int value) { add(code, std::to_string(value)); }
    std::string take() { return std::move(text_); }

  private:
    std::string text_;
};

std::string ascii(const std::string& text) {
    std::string out;
    for (const char32_t c : picture::code_points(text)) {
        if (c < 0x80) {
            out += static_cast<char>(c);
        } else if (c < 0x10000) {
            constexpr const char* digits = "0123456789ABCDEF";
            out += "\\U+";
            for (int shift = 12; shift >= 0; shift -= 4) out += digits[(c >> shift) & 0xF];
        } else {
            out += '?';
        }
    }
    return out;
}

const char* layer_name(PatternSheet::Layer layer) {
    return layer == PatternSheet::Layer::cut ? "CUT" : "MARK";
}

void line_type(Groups& out, const char* name, const char* words, const std::vector<double>& dashes) {
    out.add(0, "LTYPE");
    out.add(2, name);
    out.add(70, 0);
    out.add(3, words);
    out.add(72, 65);
    out.add(73, static_cast<int>(dashes.size()));
    double whole = 0.0;
    for (const double dash : dashes) whole += std::abs(dash);
    out.add(40, whole);
    for (const double dash : dashes) out.add(49, dash);
}

void layer(Groups& out, const char* name, int colour) {
    out.add(0, "LAYER");
    out.add(2, name);
    out.add(70, 0);
    out.add(62, colour);
    out.add(6, "CONTINUOUS");
}

Fault dxf_differs(const std::string& what) {
    return Fault{FaultKind::output, "write", "DXF: read back, " + what + ".", {}};
}

}  // namespace

std::string pattern_dxf(const PatternSheet& sheet) {
    Groups out;
    const auto point = [&](const Vec2& p) {
        out.add(10, p.x());
        out.add(20, sheet.height_mm - p.y());
        out.add(30, 0.0);
    };
    out.add(0, "SECTION");
    out.add(2, "HEADER");
    out.add(9, "$ACADVER");
    out.add(1, "AC1009");
    out.add(9, "$INSUNITS");
    out.add(70, 4);
    out.add(9, "$MEASUREMENT");
    out.add(70, 1);
    out.add(9, "$EXTMIN");
    point({0.0, sheet.height_mm});
    out.add(9, "$EXTMAX");
    point({sheet.width_mm, 0.0});
    out.add(9, "$LTSCALE");
    out.add(40, 1.0);
    out.add(0, "ENDSEC");
    out.add(0, "SECTION");
    out.add(2, "TABLES");
    out.add(0, "TABLE");
    out.add(2, "LTYPE");
    out.add(70, 3);
    line_type(out, "CONTINUOUS", "solid", {});
    line_type(out, "DASHED", "dashed", {3.0, -1.6});
    line_type(out, "CHAIN", "chain", {7.0, -1.2, 1.0, -1.2});
    out.add(0, "ENDTAB");
    out.add(0, "TABLE");
    out.add(2, "LAYER");
    out.add(70, 3);
    layer(out, "0", 7);
    layer(out, "CUT", 1);
    layer(out, "MARK", 5);
    out.add(0, "ENDTAB");
    out.add(0, "TABLE");
    out.add(2, "STYLE");
    out.add(70, 1);
    out.add(0, "STYLE");
    out.add(2, "STANDARD");
    out.add(70, 0);
    out.add(40, 0.0);
    out.add(41, 1.0);
    out.add(50, 0.0);
    out.add(71, 0);
    out.add(42, 2.5);
    out.add(3, "txt");
    out.add(4, "");
    out.add(0, "ENDTAB");
    out.add(0, "ENDSEC");
    out.add(0, "SECTION");
    out.add(2, "ENTITIES");
    for (const PatternSheet::Stroke& stroke : sheet.strokes) {
        if (stroke.points.empty()) continue;
        const char* name = layer_name(stroke.layer);
        out.add(0, "POLYLINE");
        out.add(8, name);
        if (!stroke.dashes.empty()) out.add(6, stroke.dashes.size() > 2 ? "CHAIN" : "DASHED");
        out.add(66, 1);
        point({0.0, sheet.height_mm});
        out.add(70, stroke.closed ? 1 : 0);
        for (const Vec2& p : stroke.points) {
            out.add(0, "VERTEX");
            out.add(8, name);
            point(p);
        }
        out.add(0, "SEQEND");
        out.add(8, name);
    }
    constexpr double capital = 0.72, narrow = 0.8;  // of the em; the usual stroke font runs wider than ours
    for (const PatternSheet::Words& words : sheet.words) {
        if (words.text.empty()) continue;
        out.add(0, "TEXT");
        out.add(8, layer_name(PatternSheet::Layer::mark));
        point(words.at);
        out.add(40, capital * words.size_mm);
        out.add(1, ascii(words.text));
        out.add(41, narrow);
        out.add(7, "STANDARD");
    }
    out.add(0, "ENDSEC");
    out.add(0, "EOF");
    return out.take();
}

Outcome<Done> verify_pattern_dxf(std::string_view bytes, const PatternSheet& sheet) {
    std::size_t at = 0;
    const auto next_line = [&]() -> std::string_view {
        const std::size_t end = std::min(bytes.find('\n', at), bytes.size());
        const std::string_view line = bytes.substr(at, end - at);
        at = std::min(end + 1, bytes.size());
        return line;
    };
    std::vector<Vec2> points;
    bool ended = false, in_cut = false;
    std::string_view kind;
    int outlines = 0;
    while (at < bytes.size()) {
        const std::string_view code = next_line(), value = next_line();
        if (code == "0") {
            kind = value;
            if (value == "SEQEND") in_cut = false;
            ended = value == "EOF";
            if (in_cut && kind == "VERTEX") points.emplace_back(Vec2::Zero());
        } else if (kind == "POLYLINE" && code == "8" && value == "CUT") {
            in_cut = true;
            ++outlines;
        } else if (in_cut && kind == "VERTEX" && (code == "10" || code == "20")) {
            const auto number = parse_number(value);
            if (!number) return dxf_differs("a coordinate is no number");
            points.back()[code == "10" ? 0 : 1] = *number;
        }
    }
    const std::vector<Vec2>& wanted = sheet.cut().points;
    if (!ended || outlines != 1 || points.size() != wanted.size())
        return dxf_differs("the outline has other points, or the file is not whole");
    for (std::size_t i = 0; i < points.size(); ++i) {
        const Vec2 p(points[i].x(), sheet.height_mm - points[i].y());
        if (!((p - wanted[i]).cwiseAbs().maxCoeff() <= tolerance::pattern_file_mm))
            return dxf_differs("a point of the outline is another");
    }
    return Done{};
}

}  // namespace archwright::exporters
