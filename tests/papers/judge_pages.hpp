// A PDF of A4 pages as other programs see it.
#pragma once

#include <catch2/catch.hpp>
#include <cctype>
#include <regex>
#include <string>

#include "engine/base/file.hpp"
#include "engine/base/text.hpp"
#include "tests/support/random_cases.hpp"
#include "tests/support/run_program.hpp"
#include "tests/support/temporary_folder.hpp"

namespace archwright::tests {

inline std::string without_blanks(const std::string& text) {
    std::string left;
    for (const char c : text)
        if (std::isspace(static_cast<unsigned char>(c)) == 0) left += c;
    return left;
}

inline bool has_pdf_tools() {
    if (!shell("command -v pdftotext").empty() && !shell("command -v qpdf").empty()) return true;
    skipped("papers by other programs: poppler-utils or qpdf are missing");
    return false;
}

/// Sound, fonts embedded, every word within the margins, on every page a bar of 100 mm at 288 mm from above.
/// The words of each page without blanks.
inline std::vector<std::string> judge_pages(const std::string& bytes) {
    const TemporaryFolder folder;
    const std::string path = (folder.path() / "sheet.pdf").string();
    REQUIRE(write_file(path, bytes).ok());
    CHECK(shell("qpdf --check " + path + " >/dev/null 2>&1; echo $?") == "0\n");
    CHECK(shell("pdffonts " + path + " | tail -n +3 | awk '{print $(NF-4)}' | sort -u") == "yes\n");
    const std::string information = shell("pdfinfo " + path);
    const std::size_t at_pages = information.find("Pages:");
    REQUIRE(at_pages != std::string::npos);
    const std::size_t count = std::stoul(information.substr(at_pages + 6));
    std::vector<std::string> texts;
    for (std::size_t k = 0; k < count; ++k) {
        const std::string number = std::to_string(k + 1), of = " -f " + number + " -l " + number + " ";
        texts.push_back(without_blanks(shell("pdftotext -raw" + of + path + " -")));
        // points of 1/72 inch: 10 mm of margin is 28.3
        const std::string boxes = shell("pdftotext -bbox" + of + path + " -");
        const std::regex form("xMin=\"([0-9.]+)\" yMin=\"([0-9.]+)\" xMax=\"([0-9.]+)\" yMax=\"([0-9.]+)\"");
        for (std::sregex_iterator at(boxes.begin(), boxes.end(), form), end; at != end; ++at) {
            const auto figure = [&](int i) { return *parse_number((*at)[i].str()); };
            CHECK(figure(1) > 28.0);
            CHECK(figure(2) > 20.0);
            CHECK(figure(3) < 595.28 - 28.0);
            CHECK(figure(4) < 841.89 - 20.0);
        }
        // ten pixels a millimetre: the bar is the dark run along its row
        const std::string picture = (folder.path() / "page").string();
        shell("pdftoppm -r 254 -gray -singlefile" + of + path + " " + picture);
        const std::string image = content(picture + ".pgm");
        REQUIRE(image.substr(0, 3) == "P5\n");
        const std::size_t second = image.find('\n', 3), third = image.find('\n', second + 1);
        const std::size_t wide = std::stoul(image.substr(3)), row = 2880;
        CHECK(wide == Approx(2100).margin(2));
        REQUIRE(image.size() > third + 1 + wide * (row + 1));
        std::size_t longest = 0, run = 0;
        for (std::size_t x = 0; x < wide; ++x) {
            run = static_cast<unsigned char>(image[third + 1 + wide * row + x]) < 128 ? run + 1 : 0;
            longest = std::max(longest, run);
        }
        CHECK(static_cast<double>(longest) == Approx(1000.0).margin(6.0));
    }
    return texts;
}

}  // namespace archwright::tests
