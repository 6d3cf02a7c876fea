#include "tests/editor_ui/dragging.hpp"

#include "assets/generator/cast.hpp"
#include "assets/generator/cast_file.hpp"
#include "assets/generator/foot.hpp"

namespace archwright::tests {

Pair::Pair() {
    generator::FootShape shape;
    shape.side = Side::right;
    const auto foot = generator::Foot::make(shape);
    REQUIRE(foot.ok());
    generator::CastSpec spec;
    spec.kind = generator::CastSpec::Kind::plaster_negative;
    spec.triangles = 60'000;
    const auto cast = generator::take_cast(*foot, spec);
    REQUIRE(cast.ok());
    const std::filesystem::path other = folder / "right.ply";
    REQUIRE(generator::write_cast(other, cast->mesh, generator::CastFormat::ply_binary, "test").ok());
    editor::model::Session session(setup());
    give(session, open_line());
    give(session, "add " + other.string() + " side=right unit=mm by=T1");
    give(session, "save");
}

namespace {

Vec2 whole(const Vec2& pixel) {
    return {std::floor(pixel.x()), std::floor(pixel.y())};
}

}  // namespace

void Dragger::learn() {
    const editor::ui::Box* plan = hand.screen->place_of("plan");
    REQUIRE(plan != nullptr);
    const Vec2 middle = whole(plan->centre()), off(20, 60);
    const auto place = [&](const Vec2& pixel) {
        hand.move(pixel);
        hand.move(pixel);
        REQUIRE(hand.screen->state().cursor);
        return Vec2(hand.screen->state().cursor->at.head<2>());
    };
    const Vec2 a = place(middle - off), b = place(middle + off);
    // x runs up the page, y across it
    scale_ = 2.0 * off.y() / (a.x() - b.x());
    ahead_ = Vec2(0, -scale_);
    aside_ = Vec2((b.y() > a.y() ? 1.0 : -1.0) * scale_, 0);
    origin_ = middle - off - a.x() * ahead_ - a.y() * aside_;
}

Vec2 Dragger::pixel(const Vec2& plan) {
    learn();
    return origin_ + plan.x() * ahead_ + plan.y() * aside_;
}

void Dragger::pixels(const Vec2& from, const Vec2& to, int held, int moves, bool release) {
    hand.move(from);
    hand.move(from);
    hand.hold(held == Hand::shift ? Hand::none : held);
    hand.press(true);
    hand.hold(held);
    for (int i = 1; i <= moves; ++i) hand.move(whole(from + (to - from) * i / moves));
    hand.frame();
    if (release) {
        hand.press(false);
        hand.hold(Hand::none);
        hand.frames(2);
    }
}

Vec2 Dragger::by(const std::string& part, const Vec2& mm, int held, bool release) {
    learn();
    const Vec2 from = whole(handle(part)), to = whole(from + mm.x() * ahead_ + mm.y() * aside_);
    pixels(from, to, held, 4, release);
    const double slow = held == Hand::ctrl ? 0.1 : 1.0;
    return slow * Vec2((to - from).dot(ahead_), (to - from).dot(aside_)) / (scale_ * scale_);
}

void with_foot(const std::string& foot, const std::function<void(Hand&)>& act) {
    static const Pair pair;  // every section begins with the same file
    Hand hand(pair.setup());
    hand.give(pair.open_line() + " discard=yes");
    hand.give("foot " + foot);
    hand.settle();
    act(hand);
    hand.give("close discard=yes");
}

void Dragger::arrow(ImGuiKey_ key, int held) {
    hand.key(key, held);
    hand.frames(60);
}

void one_step(Hand& hand, const std::function<void()>& act) {
    const std::string before = text_of(hand.session);
    const std::size_t steps = hand.session.history()->position();
    act();
    const std::string after = text_of(hand.session);
    CHECK((after != before));
    CHECK_FALSE(hand.session.history()->open());
    REQUIRE(hand.session.history()->position() == steps + 1);
    hand.give("undo");
    CHECK((text_of(hand.session) == before));
    hand.give("redo");
    CHECK((text_of(hand.session) == after));
    CHECK(hand.misfits() == "");
}

void done_again(const Hand& hand) {
    const std::string recording = hand.session.recording();
    editor::model::Session again({});
    const auto done = editor::model::run_script(again, recording, "recording", [](const std::string&) {});
    if (!done) FAIL(done.fault().message);
    CHECK((text_of(again) == text_of(hand.session)));
    CHECK(again.recording() == recording);
}

}  // namespace archwright::tests
