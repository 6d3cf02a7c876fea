// The design sheet: what a clinician approves a device by. One page, and a page of maps.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <vector>

#include "engine/build/device.hpp"
#include "engine/picture/canvas.hpp"
#include "engine/picture/image.hpp"
#include "exporters/flex_told.hpp"

namespace archwright::exporters::papers {

/// A frontal section seen from behind: mm to the right and upwards on the page, the ground at 0.
struct SheetSection {
    std::string letter, title;
    std::vector<std::vector<Vec2>> cast, shell;  ///< lines of the cast; closed outlines of the shell
    struct Wall {
        double across = 0.0, wall_mm = 0.0;  ///< of the page; a distance in space
    };
    std::vector<Wall> walls;  ///< rising
    picture::Box shell_box;   ///< mm, y upwards from the ground
    picture::Box box;         ///< with the cast
};

/// What is seen from above: mm to the right and to the toes on the page, right of the axis and before the
/// heel centre.
struct SheetPlan {
    struct Outline {
        std::vector<Vec2> points;
        bool edge = false;  ///< of the shell, or of an aperture
        int number = 0;     ///< of its relief or pad in the rows; 0: none
    };
    std::vector<Outline> outlines;
    std::vector<std::vector<Vec2>> foot;  ///< the cast's own outline a little above the ground
    struct Place {
        Vec2 at = Vec2::Zero();
        std::string letter;
    };
    std::vector<Place> heads;  ///< landmarks
    struct Cut {
        double forward = 0.0;
        std::string letter;
    };
    std::vector<Cut> cuts;
    picture::Box box;  ///< of the shell and what is drawn with it
    double rear = 0.0, front = 0.0;
    struct Width {
        double forward = 0.0, low = 0.0, high = 0.0;
    };
    std::vector<Width> widths;  ///< of the shell, at the cuts
};

/// A line of what was asked against what was built.
struct SheetRow {
    std::string what, asked, built;
};

/// Everything of one foot's sheet. Holds no clock and no path.
struct DesignSheet {
    std::string case_code, revision, revision_date, laboratory, prescriber, fingerprint, material;
    Side side = Side::right;
    std::string verdict;  ///< whether it may be made, one sentence
    bool may_be_made = false;
    std::string approval;  ///< one sentence
    bool approved = false;
    std::array<SheetSection, 3> sections;  ///< heel, arch, forefoot
    SheetPlan plan;
    std::vector<SheetRow> rows;
    std::vector<std::string> alterations;  ///< of the cast's shape
    std::vector<std::string> deviations;   ///< stops and who answers for them
    std::vector<std::string> cautions;
    std::vector<std::string> looks;  ///< what a person should look at
    std::vector<std::string> order;  ///< the order's own words
    std::string medial_left;         ///< side words of the page: "medial" or "lateral"
    std::string medial_right;
    picture::Image wall_map, cast_map, rigidity_map;
    std::vector<std::string> map_words_cut;  ///< words of the maps that did not fit: none
    std::vector<std::string> flex;
};

/// Millimetres of the box that each map is drawn for.
inline constexpr double sheet_map_width = 88.0, sheet_map_height = 118.0;

/// `bench`: under the named loads, where that was asked for. The device must have been proved. Faults: a
/// device without shell or proof; no font (output).
Outcome<DesignSheet> design_sheet_of(const design::Job& job, const build::Device& device,
                                     const std::vector<FlexLoad>& bench);

/// A4 portrait: the page, the maps, and as many more as words take that the first has no room for. Sections
/// are 1:1, a bar of 100 mm on every page. Faults (output): no font; a device whose sections are larger than
/// the page.
Outcome<std::string> design_sheet_pdf(const DesignSheet& sheet);

}  // namespace archwright::exporters::papers
