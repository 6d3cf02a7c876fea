// The model: cast and shell on their ground, drawn into a picture that is kept until something changes.
#pragma once

#include <array>
#include <map>
#include <memory>
#include <string>

#include "editor/view/device.hpp"
#include "editor/view/eye.hpp"

namespace archwright::editor::view {

/// How the cast stands in the model.
enum class CastMode { on, lifted, glass, off };
/// By the word of the view's setting.
CastMode cast_mode(std::string_view word);
/// A lifted cast stands this much higher, mm.
inline constexpr double lift_mm = 58.0;

/// Everything a picture of the model depends on.
struct ModelSetting {
    CastMode cast = CastMode::lifted;
    Map map = Map::wall;
    MapLook look;
    double bent = 0;  ///< the shell as it gives on the bench, so many times as far; 0: as it is
    bool dark = false;
    bool faded = false;         ///< it is not what the job asks for now
    bool moving = false;        ///< fewer triangles and samples where drawing is slow
    int width = 1, height = 1;  ///< pixels
    double scale = 1;           ///< of lines and margins
    Eye eye;
    std::vector<picture::SectionCut> cuts;
};

/// Skins of one foot on a device. Filled again in place when another is shown.
class Skins {
  public:
    explicit Skins(Device& device) : device_(device) {}
    ~Skins();
    Skins(const Skins&) = delete;
    Skins& operator=(const Skins&) = delete;

    struct Body {
        Id points = 0, normals = 0, corners = 0, few = 0;
        std::size_t count = 0, few_count = 0;
        const Skin* of = nullptr;  ///< what it holds now
        std::shared_ptr<const std::vector<std::uint32_t>> corners_of{};
    };
    /// Buffers of a map's values; 0 where there are none.
    struct Values {
        Id foot_side = 0, underside = 0, cast = 0;
    };
    /// The device holds these now.
    void show(std::shared_ptr<const Shown> shown);
    const std::shared_ptr<const Shown>& shown() const { return shown_; }
    const Body& cast() const { return cast_; }
    const Body& foot_side() const { return foot_side_; }
    const Body& underside() const { return underside_; }
    const Body& rest() const { return rest_; }
    const std::vector<Body>& parts() const { return parts_; }
    /// The shell as it gives on the bench, so many times as far: foot side, underside, rest; null where it
    /// does not stand there.
    const std::array<Body, 3>* bent(double times);
    /// Of what is shown; filled when they are there and were not yet.
    Values values(Map map);
    /// Zeros, as many as any body has points.
    Id nothing() const { return nothing_; }

  private:
    struct Held {
        Id foot_side = 0, underside = 0, cast = 0;
        std::uint64_t of = 0;      ///< number of the Shown they are of
        std::uint64_t number = 0;  ///< of the values (Shown::values_number)
    };
    void fill(Body& body, const Skin& skin);
    void remove(Body& body);

    Device& device_;
    std::shared_ptr<const Shown> shown_;
    std::shared_ptr<const Shown> held_;  ///< of which the bodies are: no other skin comes to lie in its place
    Body cast_, foot_side_, underside_, rest_;
    std::vector<Body> parts_;
    std::array<Body, 3> bent_;
    std::shared_ptr<const Shown::Bent> bent_of_;
    std::map<Map, Held> values_;
    Id nothing_ = 0;
    std::size_t nothing_count_ = 0;
};

/// How a body shows a map, as uniforms: range, limit, isolines. `scale`: pixels a logical one.
void add_map(Call& call, const MapLook& look, Map map, double scale, bool dark);

/// A colour map as a texture.
class MapTexture {
  public:
    explicit MapTexture(Device& device) : device_(device) {}
    ~MapTexture() { device_.remove(texture_); }
    MapTexture(const MapTexture&) = delete;
    MapTexture& operator=(const MapTexture&) = delete;
    Id of(const picture::ColourMap& map);

  private:
    Device& device_;
    Id texture_ = 0;
    const picture::ColourMap* held_ = nullptr;
};

class ModelView {
  public:
    ModelView(Device& device, Skins& skins);
    ~ModelView();
    ModelView(const ModelView&) = delete;
    ModelView& operator=(const ModelView&) = delete;

    /// The picture, drawn again only when it has to be; its rows stand from below. 0 when nothing is shown.
    Id draw(const ModelSetting& setting);
    /// Times it was drawn.
    std::size_t drawn() const { return drawn_; }
    /// The camera of the last picture.
    const picture::Camera& camera() const { return camera_; }

  private:
    void draw_shadow(const Shown& shown, CastMode cast);
    void draw_ground(const Shown& shown, const ModelSetting& setting);
    void draw_lines(const Shown& shown, const ModelSetting& setting, bool after_cast);
    void line(const std::vector<Vec3>& points, bool closed, double width, const picture::Colour& colour,
              double alpha);
    void flush_lines();
    Call body_call(const Skins::Body& body, const Shown& shown, const ModelSetting& setting, double lift);
    void draw_shell(const Shown& shown, const ModelSetting& setting);
    void draw_cast(const Shown& shown, const ModelSetting& setting, double lift);

    Device& device_;
    Skins& skins_;
    MapTexture map_;
    Id mesh_program_ = 0, ground_program_ = 0, line_program_ = 0, shadow_program_ = 0, blur_program_ = 0;
    Id target_ = 0, shadow_[2] = {0, 0}, quad_ = 0, ground_quad_ = 0, line_at_ = 0, line_colour_ = 0;
    std::vector<float> line_points_, line_colours_;
    picture::Camera camera_{Side::right, -Vec3::UnitY(), Vec3::UnitZ(), 0.0};
    Eigen::Matrix4d clip_ = Eigen::Matrix4d::Identity();
    int width_ = 1, height_ = 1;
    std::string key_;
    std::weak_ptr<const Shown> drawn_of_, shadow_of_;
    CastMode shadow_cast_ = CastMode::off;
    const std::vector<std::vector<Vec3>>& cut_of_cast(const std::shared_ptr<const Shown>& shown,
                                                      const picture::SectionCut& cut);
    std::weak_ptr<const Shown> cuts_of_;  ///< whose cast these cut
    std::vector<std::pair<picture::SectionCut, std::vector<std::vector<Vec3>>>> cuts_;  ///< newest last
    std::array<float, 4> shadow_box_{};
    Id picture_ = 0, shadow_picture_ = 0;
    std::size_t drawn_ = 0;
};

}  // namespace archwright::editor::view
