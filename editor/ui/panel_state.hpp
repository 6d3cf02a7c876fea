// What the panels keep between frames: texts that are being typed, what is open, what is dragged.
#pragma once

#include <cstdint>
#include <filesystem>
#include <future>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "editor/model/making.hpp"
#include "editor/model/recent.hpp"
#include "engine/base/progress.hpp"
#include "engine/design/preset.hpp"
#include "exporters/worklist/worklist.hpp"

namespace archwright::editor::ui {

/// The list of files in the window.
struct FilesState {
    enum class Purpose { closed, open, save_as, export_to };
    struct Item {
        std::string name;
        bool folder = false;
        std::uintmax_t bytes = 0;
    };
    struct Listing {
        std::filesystem::path folder;
        std::vector<Item> items;  ///< folders first, each by name
        std::string trouble;
    };

    Purpose purpose = Purpose::closed;
    std::filesystem::path folder;  ///< that is wished for
    Listing listing;               ///< the last that came in
    std::future<Listing> reading;
    std::string name;  ///< typed, or chosen
    bool begun = false;
};

struct PanelState {
    std::map<std::string, std::string> typed;  ///< texts of forms, by field
    std::string form;                          ///< the form that is open: "sign wall.rim", "rename nodule"
    std::string typing;                        ///< the field of a form that has the keys in this frame
    std::string told;                          ///< what a form lacks
    int person_asked = -1;                     ///< the frame in which a code was asked for

    std::string dragged;      ///< relief or pad that is dragged by its grip
    std::size_t drop_at = 0;  ///< place it would go to
    std::string copied;       ///< relief or pad of Ctrl C, as a job file has it

    std::vector<std::string> fields, fields_before;  ///< rows with a box, of this frame and the last
    std::string begin_edit;                          ///< the row whose box is to be opened
    int edit_round = 0;                              ///< another box for each text put in by the wheel
    bool tabbed = false, tabbed_back = false;
    std::string wheel_path;  ///< parameter that is stepped by wheel or arrows; its steps are one of undo
    double wheel_time = 0;
    bool no_scroll = false, no_scroll_next = false;  ///< the wheel belongs to a box

    double above = 0;         ///< height of what stands over the rows of the stage: stops and looks
    std::string above_of;     ///< stage and selection it is of
    std::string scrolled_of;  ///< what the inspector was scrolled in
    std::string pressed_row;  ///< the row that was pressed last, kept where it is while others open or close
    double pressed_at = 0, pressed_moved = 0;  ///< where it stood, and how far it went since
    int pressed_frame = -1;
    std::string compare_seen;  ///< the comparison that was brought into sight

    std::set<std::string> listed_whole;  ///< lists of a comparison that are shown to their end

    int region = -1;  ///< of F6; -1: none

    FilesState files;
    std::string question;                                 ///< file that waits for an answer
    std::set<std::string> formats{"stl", "3mf", "step"};  ///< of the export
    bool flex_in_report = false;                          ///< of the export
    std::string export_folder;                            ///< empty: "made" beside the job

    int ask_kind = 0;                 ///< what is asked of the bench
    std::set<std::string> ask_walls;  ///< that may change
    std::string ask_told;             ///< what the question lacks

    model::MillWith mill;          ///< that is chosen; keys that are empty: the usual
    std::string mill_of;           ///< the material it was chosen for
    std::uint64_t mill_shown = 0;  ///< the milling whose choices these last were
    std::string printer;           ///< that is chosen
    bool print_as_it_stands = false;
    std::string print_check;  ///< the one whose words are open
    std::optional<workshop::Workshop> shop;
    std::map<std::string, print::Printer> printers;
    std::string shop_trouble;

    // of an edition of the job, reckoned once
    std::uint64_t edition = 0;
    std::string edition_of;
    std::set<std::string> signed_checks;  ///< with a sign-off that is valid
    bool approved = false;                ///< as it stands
    std::string approved_by;
    std::vector<design::PresetStand> presets_applied;

    std::optional<std::map<std::string, design::Preset>> presets;  ///< those that come with the program
    std::string presets_trouble;
    std::optional<std::vector<model::RecentCase>> recent;
    std::future<std::vector<model::RecentCase>> recent_reading;

    /// The jobs of a folder, read behind the screen; what is still read when it goes is cancelled.
    struct JobsReading {
        std::shared_ptr<Progress> progress;
        std::future<Outcome<exporters::worklist::Worklist>> list;

        JobsReading() = default;
        JobsReading(JobsReading&&) = default;
        JobsReading& operator=(JobsReading&&) = delete;
        ~JobsReading() {
            if (progress) progress->cancel();
        }
    };
    std::optional<JobsReading> jobs_reading;
    std::optional<Outcome<exporters::worklist::Worklist>> jobs;
    std::string jobs_of;  ///< folder and edition of the session they were read for
};

}  // namespace archwright::editor::ui
