// What stands in the inspector and over the views: forms and lists that say commands.
#pragma once

#include "editor/ui/screen.hpp"
#include "editor/ui/ways_out.hpp"

namespace archwright::editor::ui {

/// Draws downwards from `y` in the columns of `area`.
struct Panel {
    Screen& screen;
    Look& look;
    const picture::Theme& t;
    PanelState& state;
    Box area;
    double& y;

    Panel(Screen& of, const Box& in, double& from)
        : screen(of), look(of.look_), t(of.look_.theme()), state(of.state_.panels), area(in), y(from) {}

    // by stage
    void receive();
    void examine();
    void reliefs();
    void make();
    /// Those that pass, or those that do not.
    void checks(const std::vector<Check>& all, bool passed);
    /// What stops the work, each with what a person can do about it.
    void stops(const std::vector<Check>& checks);
    void recent();
    /// The jobs of the folder that was set, by the day due, each as far as it is.
    void jobs_of_folder();
    /// What is compared, or proposed, and what comes of it; nothing when nothing is.
    void compared();
    /// With what it may be compared.
    void compare_choice();
    /// What the other foot's order has of this stage, to be taken over.
    void carry_choice(const std::string& stage);

    // pieces of panels
    void say(std::string command) const { screen.say(std::move(command)); }
    const design::FootDesign& foot() const { return *screen.foot(); }
    const std::string& person() const { return screen.session_.settings().person; }
    /// In whose name things go on record here.
    void who();
    /// Asks for the person's code where none is known; whether it is.
    bool needs_person(const char* why);
    void rule();
    void head(const std::string& words, const std::string& aside = {});
    void words(const std::string& text, double indent = 0, int most = 12, bool faint = false);
    /// Buttons in a row, and in the next where they need it; which was pressed, -1 none.
    int buttons(const std::string& id, const std::vector<std::string>& words, double indent = 0,
                int filled = -1);
    /// A text of a form; true when Enter ends it.
    bool field(const std::string& id, const Box& box, const std::string& hint);
    /// A field with its name, one row.
    bool field_row(const std::string& id, const std::string& name, const std::string& hint);
    /// One of many words; -1 while none is chosen anew.
    int drop(const std::string& id, const std::string& name, const std::vector<std::string>& words,
             const std::string& shown);
    /// A row of a list: filled when it is chosen or under the mouse.
    Screen::Hit row(const std::string& id, double height, bool chosen);
    /// The name of a zone over its figures: a click chooses it, so that its handles show; `list` is where a
    /// chosen one can be taken out of, empty for one that stays.
    void zone_row(const std::string& title, const model::Selection& zone, const std::string& list);
    std::string& typed(const std::string& id) { return state.typed[id]; }
    /// The foot of a command where the job has both.
    std::string of_foot() const;
    void go_to(const Vec3& place) const { go_to(screen, place); }

    // parts of the panels
    void statements();
    void axes();
    void presets();
    void findings();
    void repairs();
    void marks();
    void landmarks();
    void chosen_relief(const feature::Feature& one);
    void add_relief();
    void sign_form(const Check& check);
    /// Ways out, a row each: done at once, or shown first.
    void ways_rows(const std::string& id, const std::vector<WayOut>& ways, double indent = 0);
    /// The relief or pad that lies over the check's place; empty: none.
    std::string relief_over(const Check& check) const;
    void approval();
    void revision();
    void formats();
    /// A box that is ticked or not; whether it was pressed.
    bool tick(const std::string& id, const std::string& title, const Box& box, bool on);
    void wall_graph();
    void wall_bands();
    void wall_zones();
    void wall_figures();
    void bench();
    void bench_curve(const model::Flexed& flexed);
    void bench_figures(const model::Flexed& flexed);
    /// `support`: words of a command.
    void asking(const model::FlexWith& with, const std::string& support);
    void asked_answer(const model::Answered& answered);
    void calibration();
    /// A mill's and a printer's part of Make.
    void milling();
    void milled_figures(const model::Milled& milled);
    void printing();
    void printed_figures(const model::Printed& printed);
    void printed_check(const Check& check);
    /// Reads machines, blocks, cutters and printers once; false says why not.
    bool workshop_there();
    /// How far what is under way is, with a button that ends it.
    void under_way(const std::string& id);
    void calibrated_devices(const design::Calibration& entry);
    void residual_plot(const design::Calibration& entry);
    void brush();
    void covers();
    void chosen_handle();
    void trim_points();
    void compared_surface(const std::string& name, const compare::Difference& difference, bool proposal);
    void compared_stops(const build::Device& proposed);
    void compared_lists(const model::Comparison& comparison);
    /// "step 3", "its cast"; empty when nothing is compared.
    static std::string compared_words(const Screen& screen);

    static void go_to(Screen& screen, const Vec3& place);
    static void go_to(Screen& screen, const Check& check);
    /// The next check that does not pass, after the one that is selected.
    static void next_trouble(Screen& screen);
    /// Keys of lists, fields and files (keys.hpp).
    static void keys(Screen& screen);
    /// Numbered rings where the examination found something.
    static void findings_on_plan(Screen& screen, const std::function<Vec2(const Vec2&)>& on_screen);
    static const build::Examined* examined(const Screen& screen);
    /// Files, and questions before one is opened.
    static void open_files(Screen& screen, FilesState::Purpose purpose);
    static void files(Screen& screen, double width, double height);
    static void question(Screen& screen, double width, double height);
    static void open(Screen& screen, const std::string& file);
    /// What is reckoned of an edition of the job once.
    static void reckon(Screen& screen);
    static bool over_everything(const Screen& screen);
};

/// Today, YYYY-MM-DD: what a form proposes; no command reads the clock.
std::string today();
/// The time of day, HH:MM: for tags that say since when something stands.
std::string clock_now();
/// A name nobody has: "pad-1", "pad-2" ...
std::string free_name(const std::string& start, const std::function<bool(const std::string&)>& taken);

}  // namespace archwright::editor::ui
