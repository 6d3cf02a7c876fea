// Design sheets: true to size, the same bytes again, nothing cut off or lost with the longest texts.
#include "exporters/papers/design_sheet.hpp"

#include <catch2/catch.hpp>

#include "engine/picture/of_device.hpp"
#include "tests/papers/judge_pages.hpp"
#include "tests/support/build_in_memory.hpp"

using namespace archwright;
using namespace archwright::exporters;

namespace {

struct Case {
    design::Job job;
    build::Device device;
};

/// A device of a generated foot, built once a side.
const Case& built(Side side) {
    static const auto make = [](Side which) {
        Case c;
        const auto random = tests::random_job(which == Side::left ? 11 : 12, 12'000);
        if (!random.ok()) FAIL(random.fault().message);
        design::FootDesign foot = random->foot;
        auto device =
            tests::build_in_memory(tests::cast_in_memory(random->cast.mesh, "cast.ply"), foot, random->side);
        if (!device.ok()) FAIL(device.fault().message);
        c.job.case_code = "WREN-3";
        c.job.foot(random->side) = foot;
        c.device = std::move(*device);
        c.device.case_code = c.job.case_code;
        c.device.revision = "A";
        return c;
    };
    static const Case left = make(Side::left), right = make(Side::right);
    return side == Side::left ? left : right;
}

std::string words_of_length(std::size_t length, const std::string& of) {
    std::string text;
    while (text.size() + of.size() <= length) text += of;
    return text.substr(0, text.find_last_not_of(' ') + 1);
}

}  // namespace

TEST_CASE("a sheet's sections are the device's own, at 1:1, and its figures those of the device") {
    for (const Side seed : {Side::left, Side::right}) {
        const Case& c = built(seed);
        const Side side = c.device.side;
        INFO(word(side));
        const auto sheet = papers::design_sheet_of(c.job, c.device, {});
        if (!sheet.ok()) FAIL(sheet.fault().message);
        CHECK(sheet->map_words_cut.empty());
        CHECK(sheet->medial_left == (side == Side::right ? "medial" : "lateral"));
        const picture::PictureInput input = picture::input_of(c.device, *c.job.foot(side));
        const picture::Subject subject(input);
        std::size_t k = 0;
        for (const picture::SectionCut& cut : subject.cuts()) {
            if (cut.axis != 0) continue;
            // by every edge of the mesh that the plane meets
            double low = 1e300, high = -1e300, top = -1e300;
            const TriangleMesh& mesh = subject.shell();
            for (const Triangle& t : mesh.triangles)
                for (int i = 0; i < 3; ++i) {
                    const Vec3 &p = mesh.points[static_cast<std::size_t>(t[i])],
                               &q = mesh.points[static_cast<std::size_t>(t[(i + 1) % 3])];
                    if ((p.x() < cut.at) == (q.x() < cut.at)) continue;
                    const Vec3 at = p + (cut.at - p.x()) / (q.x() - p.x()) * (q - p);
                    low = std::min(low, at.y());
                    high = std::max(high, at.y());
                    top = std::max(top, at.z());
                }
            const papers::SheetSection& section = sheet->sections.at(k++);
            CHECK(section.shell_box.w == Approx(high - low).margin(1e-6));
            CHECK(section.shell_box.y + section.shell_box.h == Approx(top - subject.ground()).margin(1e-6));
            // medial is y > 0, and to the left of a right foot seen from behind
            CHECK(section.shell_box.x == Approx(side == Side::right ? -high : low).margin(1e-6));
            CHECK(!section.cast.empty());
            CHECK(section.walls.size() >= 2);
        }
        CHECK(k == 3);
        CHECK(sheet->plan.front - sheet->plan.rear > 100.0);
    }
}

TEST_CASE("a sheet as other programs see it: its sections measure on the page what they are") {
    const Case& c = built(Side::left);
    auto sheet = papers::design_sheet_of(c.job, c.device, {});
    REQUIRE(sheet.ok());
    const auto pdf = papers::design_sheet_pdf(*sheet);
    if (!pdf.ok()) FAIL(pdf.fault().message);
    const auto again = papers::design_sheet_of(c.job, c.device, {});
    CHECK(*papers::design_sheet_pdf(*again) == *pdf);
    if (!tests::has_pdf_tools()) return;
    const auto pages = tests::judge_pages(*pdf);
    REQUIRE(pages.size() >= 2);
    CHECK(pages[0].find("Notapproved") != std::string::npos);
    CHECK(pages[0].find(sheet->fingerprint) != std::string::npos);
    CHECK(pages[0].find("fromabove") != std::string::npos);
    CHECK(pages[1].find("Wall,mm") != std::string::npos);
    // the fill of the sections is a colour of its own: ten pixels a millimetre
    const tests::TemporaryFolder folder;
    const std::string path = (folder.path() / "sheet.pdf").string();
    REQUIRE(write_file(path, *pdf).ok());
    tests::shell("pdftoppm -r 254 -f 1 -l 1 -singlefile " + path + " " + (folder.path() / "page").string());
    const std::string image = tests::content(folder.path() / "page.ppm");
    REQUIRE(image.substr(0, 3) == "P6\n");
    const std::size_t second = image.find('\n', 3), third = image.find('\n', second + 1);
    const std::size_t wide = std::stoul(image.substr(3)), high = (image.size() - third - 1) / (3 * wide);
    // rows that hold the colour fall into three bands
    std::vector<std::array<std::size_t, 4>> bands;  // top, bottom, left, right
    bool open = false;
    for (std::size_t y = 0; y < high; ++y) {
        std::size_t low = wide, top = 0;
        for (std::size_t x = 0; x < wide; ++x) {
            const char* at = image.data() + third + 1 + 3 * (wide * y + x);
            const bool shell = static_cast<unsigned char>(at[0]) == 0xC9 &&
                               static_cast<unsigned char>(at[1]) == 0xD9 &&
                               static_cast<unsigned char>(at[2]) == 0xE6;
            if (!shell) continue;
            low = std::min(low, x);
            top = std::max(top, x);
        }
        if (low == wide) {
            open = false;
            continue;
        }
        if (!open) bands.push_back({y, y, low, top});
        open = true;
        bands.back()[1] = y;
        bands.back()[2] = std::min(bands.back()[2], low);
        bands.back()[3] = std::max(bands.back()[3], top);
    }
    // what is a pixel of a border's own is no band
    std::erase_if(bands, [](const auto& band) { return band[1] - band[0] < 30; });
    REQUIRE(bands.size() == 3);
    for (std::size_t k = 0; k < 3; ++k) {
        const picture::Box& box = sheet->sections[k].shell_box;
        // the line round the shell is 0.2 mm broad and covers half of it inside
        CHECK(static_cast<double>(bands[k][3] - bands[k][2]) / 10.0 == Approx(box.w).margin(0.5));
        CHECK(static_cast<double>(bands[k][1] - bands[k][0]) / 10.0 == Approx(box.h).margin(0.5));
    }
}

TEST_CASE("a sheet holds the longest texts a job may have: nothing is cut off, nothing is lost") {
    const int count = tests::cases(9, 3, "longest texts of a sheet");
    for (int n = 0; n < count; ++n) {
        const std::uint64_t seed = tests::seed() + static_cast<std::uint64_t>(n);
        const Case& c = built(seed % 2 == 0 ? Side::left : Side::right);
        design::Job job = c.job;
        design::FootDesign& foot = *job.foot(c.device.side);
        const std::string code(32, seed % 3 == 0 ? 'W' : 'i');
        job.case_code = job.laboratory = job.order.prescriber = code;
        // words, one word alone, and letters outside Latin
        const std::string long_words = words_of_length(2000, seed % 3 == 1   ? std::string("W")
                                                             : seed % 3 == 2 ? "h\u00e4lsa \u0416 "
                                                                             : "heel spur ");
        job.order.asked = job.order.complaint = job.revisions.back().note = long_words;
        job.order.insensate_foot = job.order.open_wound = job.order.growing_child = true;
        const std::size_t signs = 1 + seed % 7;
        for (std::size_t k = 0; k < signs; ++k)
            foot.sign_offs.push_back({"check." + std::string(36, 'm') + std::to_string(k), code, long_words,
                                      std::string(31, 'W') + "2", std::string(64, 'a')});
        build::Device device = c.device;
        device.case_code = code;
        device.revision = "ZZ";
        const auto sheet = papers::design_sheet_of(job, device, {});
        if (!sheet.ok()) FAIL(sheet.fault().message);
        const auto pdf = papers::design_sheet_pdf(*sheet);
        if (!pdf.ok()) FAIL(pdf.fault().message);
        if (!tests::has_pdf_tools()) return;
        std::string all;
        for (const std::string& page : tests::judge_pages(*pdf)) all += page;
        for (std::size_t k = 0; k < signs; ++k)
            CHECK(all.find("check." + std::string(36, 'm') + std::to_string(k)) != std::string::npos);
        const auto counted = [](const std::string& text, const std::string& what) {
            std::size_t found = 0;
            for (std::size_t at = 0; (at = text.find(what, at)) != std::string::npos; at += what.size())
                ++found;
            return found;
        };
        // every word of every text is there: columns interleave, so by counting a letter of its own
        if (seed % 3 == 0) CHECK(counted(all, "spur") >= (signs + 3) * counted(long_words, "spur"));
        if (seed % 3 == 2) CHECK(counted(all, "\u0416") >= (signs + 3) * counted(long_words, "\u0416"));
    }
}

TEST_CASE("a foot that no page holds is refused, and says so") {
    const Case& c = built(Side::left);
    auto sheet = papers::design_sheet_of(c.job, c.device, {});
    REQUIRE(sheet.ok());
    sheet->sections[1].box.h = 200.0;
    const auto pdf = papers::design_sheet_pdf(*sheet);
    REQUIRE(!pdf.ok());
    CHECK(pdf.fault().kind == FaultKind::output);
    CHECK(pdf.fault().message.find("A4") != std::string::npos);
}
