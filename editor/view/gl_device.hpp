// The device of OpenGL 3.3, core profile.
#pragma once

#include <map>
#include <memory>

#include "editor/view/device.hpp"
#include "editor/view/gl_functions.hpp"
#include "engine/base/outcome.hpp"

namespace archwright::editor::view {

/// Belongs to the context that was current when it was made; that one has to be current at every call.
class GlDevice : public Device {
  public:
    /// Fault (output) when the context lacks something; it names what.
    static Outcome<std::unique_ptr<GlDevice>> make(const GlFunctions::Find& find);
    ~GlDevice() override;

    Id make_buffer() override;
    void fill(Id buffer, std::span<const std::byte> bytes) override;
    Id make_texture() override;
    void fill_texture(Id texture, int width, int height, std::span<const std::uint8_t> rgba) override;
    Id make_target() override;
    void size_target(Id target, int width, int height, int samples) override;
    void clear(Id target, const std::array<float, 4>& colour, float depth) override;
    void clear_depth(Id target, float depth) override;
    Id resolve(Id target) override;
    Id make_program(std::string_view vertex, std::string_view fragment) override;
    void draw(const Call& call) override;
    void remove(Id id) override;
    std::uintptr_t native(Id texture) const override;
    std::string trouble() override;
    bool slow() const override { return slow_; }

    /// Makes a target what the screen's own drawing goes to; 0: the window.
    void draw_to(Id target, int width, int height);
    /// What a target of one sample holds, RGBA from the top left.
    std::vector<std::uint8_t> read(Id target);
    const std::string& name() const { return name_; }

  private:
    struct Target {
        int width = 0, height = 0, samples = 0;
        GLuint drawn = 0, shown = 0;   ///< framebuffers; the same at one sample
        GLuint colour = 0, depth = 0;  ///< renderbuffers
        GLuint texture = 0;
        Id texture_id = 0;
    };
    struct Buffer {
        GLuint name = 0;
        std::size_t size = 0;
    };
    struct Texture {
        GLuint name = 0;
        int width = 0, height = 0;
    };
    struct Program {
        GLuint name = 0;
        std::map<std::string, GLint> places;
    };

    GlDevice() = default;
    GLuint shader(GLenum kind, std::string_view source);
    void drop(Target& target);
    GLint place(Program& program, const std::string& name);
    void bind(const Target& target);
    void set_texture_form() const;

    GlFunctions gl_;
    std::string name_, trouble_;
    bool slow_ = false;
    Id last_ = 0;
    GLuint points_ = 0;  ///< the one vertex array
    std::map<Id, Buffer> buffers_;
    std::map<Id, Texture> textures_;
    std::map<Id, Target> targets_;
    std::map<Id, Program> programs_;
};

}  // namespace archwright::editor::view
