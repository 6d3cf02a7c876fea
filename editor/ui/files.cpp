// Files in the window: a list to choose from, and the question before a job in hand gives way.
#include <algorithm>
#include <chrono>

#include "editor/ui/panel.hpp"
#include "editor/ui/said.hpp"
#include "engine/base/text.hpp"

namespace archwright::editor::ui {

namespace fs = std::filesystem;
using Purpose = FilesState::Purpose;

namespace {

constexpr std::size_t most_items = 4000;

bool wanted(const fs::path& file, Purpose purpose) {
    const std::string end = lower(file.extension().string());
    if (end == ".json") return true;
    return purpose == Purpose::open && (end == ".stl" || end == ".ply" || end == ".obj" || end == ".3mf");
}

/// Reads a folder; on a thread of its own, for folders may lie far away.
FilesState::Listing list(const fs::path& folder, Purpose purpose) {
    FilesState::Listing listing;
    listing.folder = folder;
    std::error_code error;
    fs::directory_iterator entries(folder, fs::directory_options::skip_permission_denied, error);
    if (error) {
        listing.trouble = folder.string() + " cannot be read: " + error.message() + ".";
        return listing;
    }
    for (; entries != fs::directory_iterator(); entries.increment(error)) {
        if (error) break;
        const std::string name = entries->path().filename().string();
        if (name.empty() || name.front() == '.') continue;
        std::error_code one;
        const bool is_folder = entries->is_directory(one);
        if (!is_folder && (purpose == Purpose::export_to || !wanted(entries->path(), purpose))) continue;
        if (listing.items.size() == most_items) {
            listing.trouble = "More than " + std::to_string(most_items) + " files: type the name.";
            break;
        }
        listing.items.push_back({name, is_folder, is_folder ? 0 : entries->file_size(one)});
    }
    std::sort(listing.items.begin(), listing.items.end(), [](const auto& a, const auto& b) {
        return std::pair(!a.folder, lower(a.name)) < std::pair(!b.folder, lower(b.name));
    });
    return listing;
}

std::string size_words(std::uintmax_t bytes) {
    const double mb = static_cast<double>(bytes) / 1e6;
    return mb < 0.1 ? rounded(static_cast<double>(bytes) / 1e3, 0) + " kB" : rounded(mb, 1) + " MB";
}

/// A sheet over everything; what lies under it is dimmed.
Box sheet(Look& look, double width, double height, double w, double h) {
    const picture::Theme& t = look.theme();
    const Box box{std::floor(0.5 * (width - w)), std::floor(std::max(54.0, 0.4 * (height - h))), w, h};
    look.fill({0, 0, width, height}, Colour::hex(0x000000), 0, look.dark ? 0.5 : 0.22);
    for (int i = 6; i >= 1; --i)
        look.fill({box.x - i, box.y - i + 4, box.w + 2 * i, box.h + 2 * i}, Colour::hex(0x000000), 6 + i,
                  0.03);
    look.fill(box, t.panel, 6);
    look.frame(box, t.frame, 6);
    return box;
}

void begin_over(Look& look, const char* name, double width, double height) {
    ImGui::SetNextWindowPos({0, 0});
    ImGui::SetNextWindowSize({look.px(width), look.px(height)});
    ImGui::Begin(name, nullptr,
                 ImGuiWindowFlags_NoDecoration | ImGuiWindowFlags_NoMove | ImGuiWindowFlags_NoSavedSettings |
                     ImGuiWindowFlags_NoNavInputs | ImGuiWindowFlags_NoBackground);
    look.list = ImGui::GetWindowDrawList();
}

void wish(FilesState& files, const fs::path& folder) {
    files.folder = folder;
    files.reading = std::async(std::launch::async, list, folder, files.purpose);
}

}  // namespace

void Panel::open_files(Screen& screen, Purpose purpose) {
    FilesState& files = screen.state_.panels.files;
    if (files.reading.valid()) return;  // one is under way
    files.purpose = purpose;
    files.begun = true;
    files.name.clear();
    files.listing = {};
    std::error_code error;
    fs::path folder = screen.session_.has_job()
                          ? fs::absolute(screen.session_.job_path(), error).parent_path()
                          : fs::path();
    const auto& recent = screen.session_.settings().recent;
    if (folder.empty() && !recent.empty()) folder = fs::path(recent.front()).parent_path();
    if (folder.empty() || !fs::is_directory(folder, error)) folder = fs::current_path(error);
    if (purpose == Purpose::save_as) files.name = screen.session_.job_path().filename().string();
    if (purpose == Purpose::export_to) files.name = "made";
    wish(files, folder);
}

bool Panel::over_everything(const Screen& screen) {
    return screen.state_.panels.files.purpose != Purpose::closed || !screen.state_.panels.question.empty();
}

void Panel::open(Screen& screen, const std::string& file) {
    const bool job = open_line(file).starts_with("open ");
    if (!screen.session_.has_job() || (job && !screen.session_.modified()))
        screen.asked_.push_back(open_line(file));
    else
        screen.state_.panels.question = file;  // a person says what becomes of the job in hand
}

void Panel::question(Screen& screen, double width, double height) {
    PanelState& state = screen.state_.panels;
    Look& look = screen.look_;
    const picture::Theme& t = look.theme();
    ImDrawList* outer = look.list;
    begin_over(look, "question", width, height);
    const std::string file = state.question;
    const bool job = open_line(file).starts_with("open ");
    const bool modified = screen.session_.modified();
    const Box box = sheet(look, width, height, std::min(520.0, width - 40), modified ? 196 : 168);
    const double x = box.x + 24;
    look.name(fs::path(file).filename().string(), {x, box.y + 30}, box.w - 48, Face::title, t.text);
    double y = box.y + 54;
    y += look.paragraph(job ? "is another case." : "is a cast. What is it?", {x, y}, box.w - 48, 2,
                        Face::body, t.soft) +
         4;
    if (modified)
        y += look.paragraph("The case in hand, " + screen.session_.job().case_code +
                                ", is not saved. Save it first, or it is let go as it stands in its file.",
                            {x, y}, box.w - 48, 3, Face::body, t.text) +
             4;
    y = box.bottom() - 44;
    double left = x;
    const auto choice = [&](const char* id, const std::string& words, bool filled) {
        const double w = look.measure(words, Face::strong) + 24;
        const bool pressed = screen.button(id, words, {left, y, w, 28}, filled);
        left += w + 8;
        return pressed;
    };
    const bool other_free = !job && (!screen.session_.job().left || !screen.session_.job().right);
    const std::string other_words =
        other_free ? std::string("The ") + (screen.session_.job().left ? "right" : "left") + " foot" : "";
    if (other_free && choice("as other foot", other_words, false)) {
        screen.say("add " + in_quotes(file));
        state.question.clear();
    }
    if (modified && choice("save and open", job ? "Save and open" : "Save, new case", job)) {
        screen.say("save");
        screen.say(open_line(file));
        state.question.clear();
    }
    if (choice("let go", modified ? (job ? "Let it go" : "New case, let go") : "A new case",
               !modified && job)) {
        screen.say(open_line(file) + (modified ? " discard=yes" : ""));
        state.question.clear();
    }
    if (choice("cancel question", "Cancel", false) ||
        ImGui::IsKeyPressed(ImGui::GetKeyIndex(ImGuiKey_Escape)))
        state.question.clear();
    ImGui::End();
    look.list = outer;
}

void Panel::files(Screen& screen, double width, double height) {
    PanelState& state = screen.state_.panels;
    FilesState& files = state.files;
    Look& look = screen.look_;
    const picture::Theme& t = look.theme();
    if (files.reading.valid() && files.reading.wait_for(std::chrono::seconds(0)) == std::future_status::ready)
        files.listing = files.reading.get();
    ImDrawList* outer = look.list;
    begin_over(look, "files", width, height);
    const double w = std::min(640.0, width - 40), h = std::min(560.0, height - 100);
    const Box box = sheet(look, width, height, w, h);
    const char* titles[] = {"", "Open a cast or a case", "Save the case as", "Export into a folder"};
    const char* verbs[] = {"", "Open", "Save", "Choose"};
    const auto kind = static_cast<std::size_t>(files.purpose);
    look.text(titles[kind], {box.x + 20, box.y + 26}, box.w - 90, Face::title, t.text);
    look.key_cap(box.right() - 16, box.y + 26, "Esc");
    const bool waits = files.reading.valid();
    // the folder, with the way up
    const bool can_up = files.folder.has_parent_path() && files.folder != files.folder.root_path();
    double x = box.x + 20;
    if (can_up && screen.link("up", "Up", {x, box.y + 54}) && !waits) wish(files, files.folder.parent_path());
    if (can_up) x += look.measure("Up", Face::body) + 12;
    look.name(files.folder.string(), {x, box.y + 54}, box.right() - 20 - x, Face::body, t.soft);
    look.rule_across(box.x, box.right(), box.y + 70, t.rule);

    const Box area{box.x + 8, box.y + 74, box.w - 16, box.h - 74 - 56};
    ImGui::SetCursorScreenPos({look.px(area.x), look.px(area.y)});
    ImGui::BeginChild("list of files", {look.px(area.w), look.px(area.h)}, false, ImGuiWindowFlags_NoNav);
    ImDrawList* inner = look.list;
    look.list = ImGui::GetWindowDrawList();
    double y = static_cast<double>(ImGui::GetCursorScreenPos().y) / look.scale;
    const double begin = y;
    std::string done;  // the file that was chosen
    if (waits || !files.listing.trouble.empty() || files.listing.items.empty()) {
        const std::string words = waits                           ? "Reading the folder"
                                  : files.listing.trouble.empty() ? std::string("Nothing here that fits.")
                                                                  : files.listing.trouble;
        y += look.paragraph(words, {area.x + 14, y + 8}, area.w - 28, 3, Face::body, t.soft) + 12;
    }
    constexpr double row = 28;
    for (std::size_t i = 0; i < files.listing.items.size() && !waits; ++i) {
        const FilesState::Item& item = files.listing.items[i];
        // rows out of sight are not drawn, they only take their room
        if (y + row < area.y || y > area.bottom()) {
            y += row;
            continue;
        }
        const Box line{area.x + 2, y, area.w - 14, row};
        const Screen::Hit hit = screen.hit("file " + std::to_string(i), line);
        const bool chosen = !item.folder && item.name == files.name;
        if (chosen || hit.hovered) look.fill(line, chosen ? look.accent_fill() : t.head, 3);
        if (item.folder)
            look.polyline({{line.x + 12, y + 20},
                           {line.x + 12, y + 9},
                           {line.x + 17, y + 9},
                           {line.x + 19, y + 11},
                           {line.x + 26, y + 11},
                           {line.x + 26, y + 20}},
                          true, t.soft, 1.3);
        look.name(item.name, {line.x + 38, y + 0.5 * row}, line.w - 130, Face::body,
                  item.folder ? t.soft : t.text);
        if (!item.folder)
            look.text(size_words(item.bytes), {line.right() - 8, y + 0.5 * row}, 80, Face::small, t.soft,
                      Align::right);
        if (hit.clicked && item.folder) {
            wish(files, files.folder / item.name);
            ImGui::SetScrollY(0);
            break;
        }
        if (hit.clicked) {
            if (chosen && files.purpose == Purpose::open) done = item.name;  // a second click opens
            files.name = item.name;
        }
        y += row;
    }
    ImGui::SetCursorScreenPos({look.px(area.x), look.px(begin)});
    ImGui::Dummy({1, look.px(y - begin + 4)});
    look.list = inner;
    ImGui::EndChild();

    look.rule_across(box.x, box.right(), box.bottom() - 54, t.rule);
    double bottom = box.bottom() - 40;
    Panel form(screen, {box.x + 20, bottom, box.w - 40, 28}, bottom);
    state.typed["files name"] = files.name;
    const double bw = 96;
    if (files.begun) ImGui::SetKeyboardFocusHere();
    files.begun = false;
    const bool enter = form.field("files name", {box.x + 20, bottom, box.w - 48 - bw, 28},
                                  files.purpose == Purpose::export_to ? "A folder, new or old" : "A name");
    files.name = state.typed["files name"];
    if (screen.button("files done", verbs[kind], {box.right() - 20 - bw, bottom, bw, 28}, !files.name.empty(),
                      !files.name.empty()) ||
        (enter && !files.name.empty()))
        done = files.name;
    bool close = ImGui::IsKeyPressed(ImGui::GetKeyIndex(ImGuiKey_Escape));
    if (!done.empty()) {
        const fs::path path = fs::path(done).is_absolute() ? fs::path(done) : files.folder / done;
        std::error_code error;
        if (files.purpose == Purpose::open && fs::is_directory(path, error)) {
            files.name.clear();
            if (!waits) wish(files, path);
        } else {
            if (files.purpose == Purpose::open) open(screen, path.string());
            if (files.purpose == Purpose::save_as)
                screen.say("save as " +
                           in_quotes(path.extension().empty() ? path.string() + ".json" : path.string()));
            if (files.purpose == Purpose::export_to) state.export_folder = path.string();
            close = true;
        }
    }
    if (close) files.purpose = Purpose::closed;
    ImGui::End();
    look.list = outer;
}

}  // namespace archwright::editor::ui
