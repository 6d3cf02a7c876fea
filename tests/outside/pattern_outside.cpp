// Patterns as other people's programs see them: PDF (poppler, qpdf), DXF (ezdxf).
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <numbers>

#include "exporters/pattern_files.hpp"
#include "tests/outside/programs.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/temporary_folder.hpp"

using namespace archwright;
using namespace archwright::exporters;

namespace {

PatternSheet sheet() {
    pattern::Pattern p;
    p.case_code = "WREN-1042";
    p.revision = "A";
    p.side = Side::right;
    p.cover.name = "top";
    p.cover.material = "EVA \u2265 35 Shore A, \u6f22, \u00e9";
    constexpr int n = 720;
    for (int k = 0; k < n; ++k) {
        const double a = 2.0 * std::numbers::pi * k / n;
        p.cut.emplace_back(90.0 + 120.0 * std::cos(a), 48.0 * std::sin(a));
        p.shell_edge.emplace_back(80.0 + 90.0 * std::cos(a), 40.0 * std::sin(a));
    }
    p.axis = {{-80.0, 0.0}, {260.0, 1.0}};
    const auto made = lay_out(p);
    REQUIRE(made.ok());
    return *made;
}

void put(const std::filesystem::path& path, const std::string& bytes) {
    std::ofstream(path, std::ios::binary) << bytes;
}

}  // namespace

TEST_CASE("outside: the PDF of a pattern is sound, its fonts are embedded, its page and bar true to size",
          "[outside]") {
    const tests::TemporaryFolder folder;
    const PatternSheet made = sheet();
    const auto pdf = pattern_pdf(made);
    REQUIRE(pdf.ok());
    put(folder.path() / "p.pdf", *pdf);
    if (tests::installed("qpdf")) {
        const std::string said = tests::output_of("qpdf --check p.pdf", folder.path());
        INFO(said);
        CHECK(said.find("No syntax or stream encoding errors found") != std::string::npos);
    }
    if (tests::installed("pdffonts")) {
        const std::string said = tests::output_of("pdffonts p.pdf", folder.path());
        INFO(said);
        // columns emb, sub, uni of every line after the heading
        std::size_t fonts = 0, begin = 0;
        for (int row = 0; begin < said.size(); ++row) {
            const std::size_t end = std::min(said.find('\n', begin), said.size());
            const std::string line = said.substr(begin, end - begin);
            begin = end + 1;
            if (row < 2 || line.empty()) continue;
            ++fonts;
            CHECK(line.find(" yes yes yes ") != std::string::npos);
        }
        CHECK(fonts >= 2);
        const std::string size = tests::output_of("pdfinfo p.pdf", folder.path());
        INFO(size);
        CHECK(*tests::number_after(size, "Page size:") == Approx(210.0 * 72.0 / 25.4).margin(0.02));
        CHECK(*tests::number_after(size, "Pages:") == 1.0);
        const std::string text = tests::output_of("pdftotext p.pdf -", folder.path());
        CHECK(text.find("RIGHT") != std::string::npos);
        CHECK(text.find("WREN-1042") != std::string::npos);
        CHECK(text.find("\u2265 35 Shore A") != std::string::npos);
    }
    if (tests::installed("pdftoppm")) {
        // 508 dots an inch: 20 a millimetre. The bar is the longest dark run of its own column.
        tests::output_of("pdftoppm -r 508 -gray p.pdf page", folder.path());
        std::ifstream in(folder.path() / "page-1.pgm", std::ios::binary);
        std::string magic;
        int width = 0, height = 0, most = 0;
        in >> magic >> width >> height >> most;
        in.get();
        REQUIRE(magic == "P5");
        CHECK((width == 4200 || width == 4201));  // the page in points is rounded up
        CHECK((height == 5940 || height == 5941));
        std::vector<char> pixels(static_cast<std::size_t>(width) * height);
        in.read(pixels.data(), static_cast<std::streamsize>(pixels.size()));
        REQUIRE(in.good());
        const auto dark = [&](int x, int y) {
            return static_cast<unsigned char>(pixels[static_cast<std::size_t>(y) * width + x]) < 128;
        };
        double bar_x = 0.0, bar_top = 0.0;
        for (const auto& stroke : made.strokes)
            if (stroke.what == "bar") {
                bar_x = stroke.points[0].x();
                bar_top = stroke.points[0].y();
            }
        const int x = static_cast<int>(20.0 * bar_x);
        int run = 0, longest = 0, top = 0;
        for (int y = 0; y < height; ++y) {
            run = dark(x, y) ? run + 1 : 0;
            if (run > longest) {
                longest = run;
                top = y - run + 1;
            }
        }
        // butt ends; the tick above and the bar across below are half a line broader
        CHECK(std::abs(longest / 20.0 - 100.0) < 0.3);
        CHECK(std::abs(top / 20.0 - bar_top) < 0.2);
        // the cut line, from its uppermost to its lowest dark pixel above the centre of the page's pattern
        const std::vector<Vec2>& cut = made.cut().points;
        double low = 1e300, high = -1e300;
        for (const Vec2& p : cut) {
            low = std::min(low, p.x());
            high = std::max(high, p.x());
        }
        CHECK(high - low == Approx(96.0).margin(1e-6));
        const int row = static_cast<int>(20.0 * (cut[cut.size() / 4].y()));
        int first = -1, last = -1;
        for (int at = static_cast<int>(20.0 * (low - 2.0)); at < static_cast<int>(20.0 * (high + 2.0)); ++at)
            if (dark(at, row)) {
                if (first < 0) first = at;
                last = at;
            }
        CHECK(std::abs((last - first) / 20.0 - (96.0 + 0.35)) < 0.15);
    }
}

TEST_CASE("outside: another reader finds the outline in the DXF", "[outside]") {
    const tests::TemporaryFolder folder;
    const PatternSheet made = sheet();
    put(folder.path() / "p.dxf", pattern_dxf(made));
    put(folder.path() / "read.py",
        "import ezdxf\n"
        "d = ezdxf.readfile('p.dxf')\n"
        "a = d.audit()\n"
        "print('errors', len(a.errors))\n"
        "print('units', d.header['$INSUNITS'])\n"
        "m = d.modelspace()\n"
        "cut = [e for e in m if e.dxf.layer == 'CUT']\n"
        "print('cut', len(cut), 'kind', cut[0].dxftype(), 'closed', int(cut[0].is_closed))\n"
        "p = [(v.dxf.location.x, v.dxf.location.y) for v in cut[0].vertices]\n"
        "print('points', len(p))\n"
        "s = sum(p[i-1][0]*p[i][1]-p[i][0]*p[i-1][1] for i in range(len(p)))/2\n"
        "print('area', s)\n"
        "print('top', max(q[1] for q in p) - min(q[1] for q in p))\n"
        "print('others', sorted(set(e.dxf.layer for e in m)))\n"
        "print('texts', [e.dxf.text for e in m if e.dxftype() == 'TEXT'])\n");
    // the system's own python, which the package belongs to
    if (!tests::installed("/usr/bin/python3")) return;
    if (tests::output_of("/usr/bin/python3 -c 'import ezdxf; print(1)'", folder.path()).find("1") != 0) {
        tests::skipped("python3-ezdxf not installed");
        return;
    }
    const std::string said = tests::output_of("/usr/bin/python3 read.py", folder.path());
    INFO(said);
    CHECK(*tests::number_after(said, "errors") == 0.0);
    CHECK(*tests::number_after(said, "units") == 4.0);
    CHECK(*tests::number_after(said, "cut") == 1.0);
    CHECK(said.find("kind POLYLINE closed 1") != std::string::npos);
    CHECK(*tests::number_after(said, "points") == 720.0);
    // seen from above, y up, a right foot keeps the sense: counter-clockwise
    CHECK(*tests::number_after(said, "area") ==
          Approx(0.5 * 720 * std::sin(2.0 * std::numbers::pi / 720) * 120.0 * 48.0).epsilon(1e-5));
    CHECK(*tests::number_after(said, "top") == Approx(240.0).margin(2e-3));
    CHECK(said.find("['CUT', 'MARK']") != std::string::npos);
    CHECK(said.find("'RIGHT'") != std::string::npos);
}
