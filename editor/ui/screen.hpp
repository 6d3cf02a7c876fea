// The whole screen: regions, views and panels over one session. It reads the session and gives back commands
// as text, nothing else.
#pragma once

#include <functional>
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "editor/model/session.hpp"
#include "editor/ui/handle_state.hpp"
#include "editor/ui/look.hpp"
#include "editor/ui/panel_state.hpp"
#include "editor/view/block_page.hpp"
#include "editor/view/page.hpp"
#include "editor/view/plan_marks.hpp"
#include "editor/view/plan_print.hpp"
#include "editor/view/preparer.hpp"
#include "engine/design/text_kind.hpp"
#include "engine/picture/board.hpp"

namespace archwright::editor::ui {

/// Regions of the screen in logical pixels.
struct Layout {
    bool narrow = false;
    Box top, stages, plan, model, frontal, sagittal, inspector, status;

    static Layout of(double width, double height);
};

/// What a press in the views does.
enum class Tool {
    none,
    measure,  ///< places are measured (measure_tool.cpp)
    section,  ///< a line is drawn that a section follows
    brush,    ///< curves are painted (brush_tool.hpp)
};

/// How a flat view was moved by hand.
struct Flat {
    double zoom = 1;
    Vec2 pan = Vec2::Zero();  ///< logical pixels
};

/// What the screen keeps between frames: nothing of the job.
struct State {
    view::Eye eye;
    std::string eye_word;  ///< the view's setting that `eye` came from
    double section_x = 60, section_y = 0;
    std::uint64_t sections_number = 0;  ///< of the session's sections that stand in section_x and section_y
    Flat plan, other_plan, frontal, sagittal;
    Tool tool = Tool::none;
    std::vector<view::Place> measured;
    int map_hovered = -1;                         ///< of the list of maps
    std::string hovered;                          ///< the view under the cursor: "plan", "model", "F", "S"
    Vec2 mouse = Vec2::Zero();                    ///< logical pixels
    std::optional<Vec2> section_from;             ///< a section's line is being drawn from here
    bool holds_before = false;                    ///< the key for it is down
    std::optional<std::size_t> step_hovered;      ///< of the history, under the cursor
    std::map<view::Map, picture::MapScale> held;  ///< ranges stay while they can
    bool command_list = false;
    std::string command_text;
    int command_chosen = 0;
    std::string editing;  ///< parameter whose text is being typed
    char edit_text[2 * design::longest_words] = {};
    std::string edit_start;  ///< what stood in the box: nothing is set where nothing was typed
    bool edit_begun = false;
    std::string dragging;                       ///< parameter that is dragged; empty: none
    double drag_value = 0, drag_wanted = 0;     ///< as set, and as the hand has it
    bool step_open = false, step_said = false;  ///< of a drag: begun, and something set in it
    std::string told;                           ///< of the last command, for the status line
    bool told_fault = false;
    std::uint64_t notice_seen = 0;  ///< the newest notice when the last command was done
    std::string open_list;          ///< parameter whose words are listed
    std::optional<view::Place> cursor;
    double moved_until = 0;  ///< something moves: coarser pictures
    double mill_at = 1.0;    ///< of the program that is played through, share of its time
    PanelState panels;
    HandleState handles;  ///< what is dragged (handle_tool.hpp)
    BrushState brush;
};

class Screen {
  public:
    Screen(model::Session& session, view::Device& device, std::function<void()> wake);

    /// One frame between ImGui::NewFrame and ImGui::Render; what a person asked for, in order, and its size
    /// in logical pixels. `run` does them.
    std::vector<std::string> frame(double width, double height);
    /// Opens a file that was dropped or chosen; where a job is in hand a person says first what becomes of
    /// it.
    void open(const std::string& file);
    /// Does the commands of a frame and remembers what they answered.
    void run(const std::vector<std::string>& commands);
    Look& look() { return look_; }
    State& state() { return state_; }
    /// Everything that came from behind is on the screen.
    bool settled() const { return preparer_.idle() && !session_.activity().busy; }
    void wait_settled() { preparer_.wait(); }
    const std::shared_ptr<const view::Shown>& shown() const { return shown_; }
    /// What is shown is the last sound shape of a design that stops now.
    bool superseded() const;
    /// What is shown is of an older design than the job's, whether the new one is being built or not.
    bool stale() const;
    /// Whether what is told of a stage is of the order as it is now, not of the last that was built.
    bool settled(const std::string& stage) const;
    /// The work of this stage is done on the design that is shown: before that nothing passes.
    bool built(const std::string& stage) const;
    /// A box was asked for and has not got the keys yet: what is typed must wait.
    bool box_opens() const;
    /// A box has the keys, or gets them: letters are no keys of the screen.
    bool typing() const;
    /// Another frame is needed soon though nothing is pressed.
    bool restless() const;
    /// Texts of the pages that did not fit.
    std::vector<std::string> shortened_pages() const;
    /// Where a button, a row or a view of the last frame lies, by its name; null when it is not there.
    const Box* place_of(const std::string& id) const;
    /// All of them, by name; those that are scrolled out of sight too, and, as boxes without extent, where
    /// the plan has its origin and the places 100 mm forward and medial of it, and the inspector its top and
    /// bottom.
    const std::vector<std::pair<std::string, Box>>& places() const { return places_; }
    /// Of the foot that is shown, as far as it was built.
    std::vector<Check> all_checks() const;
    /// Of the last design that has every check, those that are not told of the new one yet: they keep their
    /// places (settled() tells them). None where the work stopped.
    std::vector<Check> awaited_checks(const std::vector<Check>& told) const;
    Sign sign_of_check(const Check& check) const;
    /// The lines of a step of the history; null when it was not built in this session.
    const view::StepOutline* outline_of_step(std::size_t step) const {
        const auto at = outlines_.find(step);
        return at == outlines_.end() ? nullptr : &at->second;
    }
    std::size_t model_drawn() const { return model_view_.drawn(); }

  private:
    friend struct Panel;
    friend struct HandleTool;
    friend struct BrushTool;
    void take_in();
    void take_in_comparison();
    void keys();

    struct Hit {
        bool hovered = false, clicked = false, held = false, activated = false, released = false;
    };
    void top_bar(const Box& box);
    void stages(const Box& box);
    void steps(const Box& box, double y);
    // of the views
    struct PlanPane {
        const std::shared_ptr<const view::Shown>& shown;
        view::PlanPrint& print;
        view::Page& page;
        Flat& flat;
        bool main;  ///< of the foot that is chosen
        Side side;
        const char* name;  ///< head of the view
    };
    void plan(const Box& box);
    void plan_pane(const Box& box, PlanPane pane);
    void plan_input(const Box& box, const Box& drawn, const picture::PlanFrame& frame, PlanPane pane);
    void plan_overlay(const Box& box, const Box& drawn, const picture::PlanFrame& frame);
    /// Whether the block in a set-up of the mill stands in the plan's place.
    bool block_shown() const;
    void block(const Box& box);
    void block_slider(const Box& box, const model::Playback& play);
    void block_legend(const Box& view, view::CutMap map);
    /// How much of the program is done at the slider's place.
    static std::size_t moves_at(const model::Playback& play, double share);
    void empty_plan(const Box& box, view::Page& page, Side side);
    void map_choice(const Box& box);
    bool map_list_open() const { return state_.open_list == "map"; }
    void ask_map_list(const Box& box);
    std::vector<std::string> map_words() const;
    static Box map_item(const Box& box, std::size_t i);
    void model_panel(const Box& box);
    void model_overlay(const Box& box, const view::ModelSetting& setting);
    void brush_on_model(const Box& box, const Hit& h, const view::ModelSetting& setting);
    /// Whether anything is under way that takes its time.
    bool busy_chip(const Box& box);
    void section(const Box& box, const picture::SectionCut& cut, view::Page& page, Flat& flat);
    void section_overlay(const Box& box, const picture::SectionCut& cut, const picture::SectionFrame& frame);
    std::vector<picture::SectionCut> cuts() const;
    picture::SectionCut first_cut() const;
    /// The map that is asked for, where the device has it.
    view::Map map_of(const view::Shown& shown) const;
    view::MapLook map_look(const view::Shown& shown);
    void legend(const Box& view, const view::Shown& shown, view::Map map);
    /// A press at a place of a view while measuring.
    void measure(const view::Place& place);
    /// What is measured, in a view that puts places on the screen so.
    void measure_overlay(const Box& view, const std::function<std::optional<Vec2>(const Vec3&)>& on_screen);
    std::vector<std::string> measured_words() const;
    /// Words on a plate beside a place, kept within a box; a line each.
    void words_beside(const Box& within, const Vec2& at, const std::vector<std::string>& lines,
                      const std::string& warning = {});
    void choose_before();
    /// What was read off the shape before is read off the new one, or let go.
    void look_again(const view::Shown* was);
    void inspector(const Box& box);
    void status(const Box& box);
    /// What the mouse does now, for the status line while nothing else is told.
    std::string hint() const;
    void command_list(double width, double height);
    void first_screen(const Box& box);

    // of the inspector
    void parameter_rows(Box area, double& y, const std::vector<std::string>& prefixes);
    void parameter_row(const Box& area, double& y, const std::string& name, const std::string& path);
    void small_head(const Box& area, double& y, const std::string& words, const std::string& aside = {});
    bool link(const char* id, const std::string& words, const Vec2& at, Align align = Align::left);
    bool button(const char* id, const std::string& words, const Box& box, bool filled, bool enabled = true);
    int segments(const char* id, const Box& box, const std::vector<std::string>& words, int chosen);

    Hit hit(const std::string& id, const Box& box);
    void view_head(const Box& strip, const std::string& letter, const std::string& name,
                   const std::string& detail, double right_used = 0);
    void image(view::Id texture, const Box& box, bool from_below);
    void say(std::string command) { commands_.push_back(std::move(command)); }
    const design::FootDesign* foot() const;
    model::FootView foot_view() const;
    /// The commands that add a relief or pad of this kind where the sections cross, and select it.
    std::vector<std::string> adding(const std::string& kind) const;
    std::string duplicating(const std::string& feature) const;
    /// "Last sound shape, 10:41".
    std::string sound_words() const;

    model::Session& session_;
    view::Device& device_;
    Look look_;
    State state_;
    std::vector<std::string> commands_;
    std::vector<std::pair<std::string, Box>> places_;  ///< of this frame's hits
    std::vector<std::string> asked_;                   ///< from outside a frame, for the next
    view::Skins skins_;
    view::ModelView model_view_;
    view::PlanPrint plan_print_, lens_print_;
    view::Page plan_page_, frontal_page_, sagittal_page_, block_page_;
    mill::HeightGrid block_stock_;  ///< as it is shown
    std::string block_stock_of_;    ///< which milling, set-up and move
    view::Skins other_skins_;       ///< of the other foot, beside
    view::PlanPrint other_print_;
    view::Page other_page_;
    std::vector<model::LeftBehind> left_behind_;  ///< as the session began
    /// What is drawn: the latest, or the one before the last step while that is looked at.
    std::shared_ptr<const view::Shown> shown_;
    std::shared_ptr<const view::Shown> latest_, other_;
    std::map<std::size_t, std::shared_ptr<const view::Shown>>
        at_step_;                                        ///< exact ones, by the step they follow
    std::map<std::size_t, view::StepOutline> outlines_;  ///< of the steps that were built, by their number
    view::StepOutline compared_outline_;                 ///< of what the device is compared with
    std::uint64_t compared_outline_of_ = 0;              ///< the comparison it is of; 0: none
    std::map<Side, std::string> sound_at_;               ///< when the last sound shape came in, HH:MM
    std::map<Side, std::shared_ptr<const model::FootResult>> wished_;
    view::Preparer preparer_;
};

/// The stage a check belongs to, by its key.
std::string stage_of(const std::string& check);
/// Trade word of a stage: "Reliefs and pads".
std::string stage_title(const std::string& stage);
/// "cup_posterior_mm" as a label: "Cup posterior".
std::string label_of(const std::string& parameter);
/// A step of the history as it is read: "trim.cup_posterior_mm 15" is "Cup posterior" and "15.0 mm".
std::pair<std::string, std::string> step_words(const std::string& label);
/// A figure for reading: a true minus, with its unit.
std::string figure(double value, int decimals, const std::string& unit = {});
/// "3.0° everted": an inclination with its word, as engine's inclination() says it in whole sentences.
std::string leaning(double degrees);

}  // namespace archwright::editor::ui
