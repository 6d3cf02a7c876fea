#include "editor/view/gl_device.hpp"

#include <algorithm>

namespace archwright::editor::view {

Outcome<std::unique_ptr<GlDevice>> GlDevice::make(const GlFunctions::Find& find) {
    std::unique_ptr<GlDevice> device(new GlDevice);
    if (const char* missing = device->gl_.load(find))
        return Fault{FaultKind::output,
                     "screen",
                     std::string("The graphics driver has no ") + missing + "; OpenGL 3.3 is needed.",
                     {}};
    const auto* renderer = device->gl_.GetString(GL_RENDERER);
    if (renderer != nullptr) device->name_ = reinterpret_cast<const char*>(renderer);
    // Mesa's renderers on the processor
    for (const char* word : {"llvmpipe", "softpipe", "swrast"})
        if (device->name_.find(word) != std::string::npos) device->slow_ = true;
    device->gl_.GenVertexArrays(1, &device->points_);
    device->gl_.BindVertexArray(device->points_);
    return device;
}

GlDevice::~GlDevice() {
    for (auto& [id, target] : targets_) drop(target);
    for (auto& [id, buffer] : buffers_) gl_.DeleteBuffers(1, &buffer.name);
    for (auto& [id, texture] : textures_) gl_.DeleteTextures(1, &texture.name);
    for (auto& [id, program] : programs_) gl_.DeleteProgram(program.name);
    gl_.DeleteVertexArrays(1, &points_);
}

Id GlDevice::make_buffer() {
    Buffer buffer;
    gl_.GenBuffers(1, &buffer.name);
    buffers_[++last_] = buffer;
    return last_;
}

void GlDevice::fill(Id id, std::span<const std::byte> bytes) {
    Buffer& buffer = buffers_[id];
    gl_.BindVertexArray(points_);
    // an index buffer may be filled through the same binding: only its use tells them apart
    gl_.BindBuffer(GL_ARRAY_BUFFER, buffer.name);
    const auto size = static_cast<GLsizeiptr>(bytes.size());
    if (buffer.size == bytes.size() && !bytes.empty())
        gl_.BufferSubData(GL_ARRAY_BUFFER, 0, size, bytes.data());
    else
        gl_.BufferData(GL_ARRAY_BUFFER, size, bytes.data(), GL_DYNAMIC_DRAW);
    buffer.size = bytes.size();
}

void GlDevice::set_texture_form() const {
    gl_.TexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MIN_FILTER, GL_LINEAR);
    gl_.TexParameteri(GL_TEXTURE_2D, GL_TEXTURE_MAG_FILTER, GL_LINEAR);
    gl_.TexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_S, GL_CLAMP_TO_EDGE);
    gl_.TexParameteri(GL_TEXTURE_2D, GL_TEXTURE_WRAP_T, GL_CLAMP_TO_EDGE);
}

Id GlDevice::make_texture() {
    Texture texture;
    gl_.GenTextures(1, &texture.name);
    textures_[++last_] = texture;
    return last_;
}

void GlDevice::fill_texture(Id id, int width, int height, std::span<const std::uint8_t> rgba) {
    Texture& texture = textures_[id];
    gl_.ActiveTexture(GL_TEXTURE0);
    gl_.BindTexture(GL_TEXTURE_2D, texture.name);
    gl_.PixelStorei(GL_UNPACK_ALIGNMENT, 1);
    if (texture.width == width && texture.height == height) {
        gl_.TexSubImage2D(GL_TEXTURE_2D, 0, 0, 0, width, height, GL_RGBA, GL_UNSIGNED_BYTE, rgba.data());
        return;
    }
    gl_.TexImage2D(GL_TEXTURE_2D, 0, GL_RGBA8, width, height, 0, GL_RGBA, GL_UNSIGNED_BYTE, rgba.data());
    set_texture_form();
    texture.width = width;
    texture.height = height;
}

Id GlDevice::make_target() {
    const Id id = ++last_;
    targets_[id].texture_id = ++last_;
    return id;
}

void GlDevice::drop(Target& target) {
    textures_.erase(target.texture_id);
    if (target.shown != target.drawn) gl_.DeleteFramebuffers(1, &target.shown);
    gl_.DeleteFramebuffers(1, &target.drawn);
    gl_.DeleteRenderbuffers(1, &target.colour);
    gl_.DeleteRenderbuffers(1, &target.depth);
    gl_.DeleteTextures(1, &target.texture);
    const Id keep = target.texture_id;
    target = Target{};
    target.texture_id = keep;
}

void GlDevice::size_target(Id id, int width, int height, int samples) {
    Target& target = targets_[id];
    width = std::clamp(width, 1, 16384);
    height = std::clamp(height, 1, 16384);
    if (target.width == width && target.height == height && target.samples == samples) return;
    drop(target);
    target.width = width;
    target.height = height;
    target.samples = samples;
    gl_.GenTextures(1, &target.texture);
    gl_.ActiveTexture(GL_TEXTURE0);
    gl_.BindTexture(GL_TEXTURE_2D, target.texture);
    gl_.TexImage2D(GL_TEXTURE_2D, 0, GL_RGBA8, width, height, 0, GL_RGBA, GL_UNSIGNED_BYTE, nullptr);
    set_texture_form();
    textures_[target.texture_id] = {target.texture, width, height};

    const bool several = samples > 1;
    gl_.GenRenderbuffers(1, &target.depth);
    gl_.BindRenderbuffer(GL_RENDERBUFFER, target.depth);
    gl_.RenderbufferStorageMultisample(GL_RENDERBUFFER, several ? samples : 0, GL_DEPTH_COMPONENT24, width,
                                       height);
    gl_.GenFramebuffers(1, &target.drawn);
    gl_.BindFramebuffer(GL_FRAMEBUFFER, target.drawn);
    gl_.FramebufferRenderbuffer(GL_FRAMEBUFFER, GL_DEPTH_ATTACHMENT, GL_RENDERBUFFER, target.depth);
    target.shown = target.drawn;
    if (several) {
        gl_.GenRenderbuffers(1, &target.colour);
        gl_.BindRenderbuffer(GL_RENDERBUFFER, target.colour);
        gl_.RenderbufferStorageMultisample(GL_RENDERBUFFER, samples, GL_RGBA8, width, height);
        gl_.FramebufferRenderbuffer(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_RENDERBUFFER, target.colour);
        if (gl_.CheckFramebufferStatus(GL_FRAMEBUFFER) != GL_FRAMEBUFFER_COMPLETE)
            trouble_ = "The graphics driver makes no picture of several samples a pixel.";
        gl_.GenFramebuffers(1, &target.shown);
        gl_.BindFramebuffer(GL_FRAMEBUFFER, target.shown);
    }
    gl_.FramebufferTexture2D(GL_FRAMEBUFFER, GL_COLOR_ATTACHMENT0, GL_TEXTURE_2D, target.texture, 0);
    if (gl_.CheckFramebufferStatus(GL_FRAMEBUFFER) != GL_FRAMEBUFFER_COMPLETE)
        trouble_ = "The graphics driver makes no picture of this size.";
}

void GlDevice::bind(const Target& target) {
    gl_.BindFramebuffer(GL_FRAMEBUFFER, target.drawn);
    gl_.Viewport(0, 0, target.width, target.height);
    gl_.Disable(GL_SCISSOR_TEST);
}

void GlDevice::clear(Id id, const std::array<float, 4>& colour, float depth) {
    bind(targets_[id]);
    gl_.ColorMask(GL_TRUE, GL_TRUE, GL_TRUE, GL_TRUE);
    gl_.DepthMask(GL_TRUE);
    gl_.ClearColor(colour[0], colour[1], colour[2], colour[3]);
    gl_.ClearDepth(depth);
    gl_.Clear(GL_COLOR_BUFFER_BIT | GL_DEPTH_BUFFER_BIT);
}

void GlDevice::clear_depth(Id id, float depth) {
    bind(targets_[id]);
    gl_.DepthMask(GL_TRUE);
    gl_.ClearDepth(depth);
    gl_.Clear(GL_DEPTH_BUFFER_BIT);
}

Id GlDevice::resolve(Id id) {
    const Target& target = targets_[id];
    if (target.shown != target.drawn) {
        gl_.BindFramebuffer(GL_READ_FRAMEBUFFER, target.drawn);
        gl_.BindFramebuffer(GL_DRAW_FRAMEBUFFER, target.shown);
        gl_.BlitFramebuffer(0, 0, target.width, target.height, 0, 0, target.width, target.height,
                            GL_COLOR_BUFFER_BIT, GL_NEAREST);
    }
    return target.texture_id;
}

GLuint GlDevice::shader(GLenum kind, std::string_view source) {
    const GLuint made = gl_.CreateShader(kind);
    const std::string whole = "#version 330 core\n" + std::string(source);
    const char* text = whole.c_str();
    gl_.ShaderSource(made, 1, &text, nullptr);
    gl_.CompileShader(made);
    GLint good = 0;
    gl_.GetShaderiv(made, GL_COMPILE_STATUS, &good);
    if (good == 0) {
        char words[1024] = {};
        gl_.GetShaderInfoLog(made, sizeof words - 1, nullptr, words);
        trouble_ = std::string("A shader is refused: ") + words;
    }
    return made;
}

Id GlDevice::make_program(std::string_view vertex, std::string_view fragment) {
    Program program;
    const GLuint v = shader(GL_VERTEX_SHADER, vertex), f = shader(GL_FRAGMENT_SHADER, fragment);
    program.name = gl_.CreateProgram();
    gl_.AttachShader(program.name, v);
    gl_.AttachShader(program.name, f);
    gl_.LinkProgram(program.name);
    gl_.DeleteShader(v);
    gl_.DeleteShader(f);
    GLint good = 0;
    gl_.GetProgramiv(program.name, GL_LINK_STATUS, &good);
    if (good == 0) {
        char words[1024] = {};
        gl_.GetProgramInfoLog(program.name, sizeof words - 1, nullptr, words);
        if (trouble_.empty()) trouble_ = std::string("A program is refused: ") + words;
        gl_.DeleteProgram(program.name);
        return 0;
    }
    programs_[++last_] = program;
    return last_;
}

GLint GlDevice::place(Program& program, const std::string& name) {
    const auto known = program.places.find(name);
    if (known != program.places.end()) return known->second;
    return program.places[name] = gl_.GetUniformLocation(program.name, name.c_str());
}

void GlDevice::draw(const Call& call) {
    const auto found = programs_.find(call.program);
    if (found == programs_.end() || call.count == 0) return;
    Program& program = found->second;
    bind(targets_[call.target]);
    gl_.UseProgram(program.name);
    for (const Uniform& uniform : call.uniforms) {
        const GLint at = place(program, uniform.name);
        const std::vector<float>& v = uniform.values;
        if (at < 0) continue;
        switch (v.size()) {
            case 1:
                gl_.Uniform1f(at, v[0]);
                break;
            case 2:
                gl_.Uniform2f(at, v[0], v[1]);
                break;
            case 3:
                gl_.Uniform3f(at, v[0], v[1], v[2]);
                break;
            case 4:
                gl_.Uniform4f(at, v[0], v[1], v[2], v[3]);
                break;
            case 16:
                gl_.UniformMatrix4fv(at, 1, GL_FALSE, v.data());
                break;
            default:
                break;
        }
    }
    int unit = 0;
    for (const auto& [name, texture] : call.textures) {
        gl_.ActiveTexture(static_cast<GLenum>(GL_TEXTURE0 + unit));
        const auto known = textures_.find(texture);
        gl_.BindTexture(GL_TEXTURE_2D, known == textures_.end() ? 0 : known->second.name);
        const GLint at = place(program, name);
        if (at >= 0) gl_.Uniform1i(at, unit);
        ++unit;
    }
    gl_.BindVertexArray(points_);
    for (std::size_t i = 0; i < call.streams.size(); ++i) {
        gl_.BindBuffer(GL_ARRAY_BUFFER, buffers_[call.streams[i].buffer].name);
        gl_.EnableVertexAttribArray(static_cast<GLuint>(i));
        gl_.VertexAttribPointer(static_cast<GLuint>(i), call.streams[i].components, GL_FLOAT, GL_FALSE, 0,
                                nullptr);
    }
    const auto turn = [&](GLenum what, bool on) { (on ? gl_.Enable : gl_.Disable)(what); };
    turn(GL_CULL_FACE, false);
    turn(GL_DEPTH_TEST, call.depth != Call::Depth::off);
    gl_.DepthFunc(call.depth == Call::Depth::further ? GL_GREATER : GL_LEQUAL);
    gl_.DepthMask(call.write_depth ? GL_TRUE : GL_FALSE);
    const GLboolean colour = call.write_colour ? GL_TRUE : GL_FALSE;
    gl_.ColorMask(colour, colour, colour, colour);
    turn(GL_BLEND, call.blend != Call::Blend::off);
    gl_.BlendEquation(call.blend == Call::Blend::most ? GL_MAX : GL_FUNC_ADD);
    gl_.BlendFuncSeparate(GL_SRC_ALPHA, GL_ONE_MINUS_SRC_ALPHA, GL_ONE, GL_ONE_MINUS_SRC_ALPHA);
    const GLenum kind = call.strip ? GL_TRIANGLE_STRIP : GL_TRIANGLES;
    if (call.indices != 0) {
        gl_.BindBuffer(GL_ELEMENT_ARRAY_BUFFER, buffers_[call.indices].name);
        gl_.DrawElements(kind, static_cast<GLsizei>(call.count), GL_UNSIGNED_INT,
                         reinterpret_cast<const void*>(4 * call.first));
    } else {
        gl_.DrawArrays(kind, static_cast<GLint>(call.first), static_cast<GLsizei>(call.count));
    }
    for (std::size_t i = 0; i < call.streams.size(); ++i)
        gl_.DisableVertexAttribArray(static_cast<GLuint>(i));
    // others draw with the same context: leave it as they expect
    gl_.DepthMask(GL_TRUE);
    gl_.ColorMask(GL_TRUE, GL_TRUE, GL_TRUE, GL_TRUE);
    gl_.BlendEquation(GL_FUNC_ADD);
}

void GlDevice::remove(Id id) {
    if (const auto it = buffers_.find(id); it != buffers_.end()) {
        gl_.DeleteBuffers(1, &it->second.name);
        buffers_.erase(it);
    } else if (const auto texture = textures_.find(id); texture != textures_.end()) {
        gl_.DeleteTextures(1, &texture->second.name);
        textures_.erase(texture);
    } else if (const auto target = targets_.find(id); target != targets_.end()) {
        drop(target->second);
        targets_.erase(target);
    } else if (const auto program = programs_.find(id); program != programs_.end()) {
        gl_.DeleteProgram(program->second.name);
        programs_.erase(program);
    }
}

std::uintptr_t GlDevice::native(Id texture) const {
    const auto it = textures_.find(texture);
    return it == textures_.end() ? 0 : it->second.name;
}

std::string GlDevice::trouble() {
    return std::exchange(trouble_, {});
}

void GlDevice::draw_to(Id id, int width, int height) {
    if (id == 0) {
        gl_.BindFramebuffer(GL_FRAMEBUFFER, 0);
        gl_.Viewport(0, 0, width, height);
    } else {
        bind(targets_[id]);
    }
}

std::vector<std::uint8_t> GlDevice::read(Id id) {
    const Target& target = targets_[id];
    const auto row = 4 * static_cast<std::size_t>(target.width);
    const auto rows = static_cast<std::size_t>(target.height);
    std::vector<std::uint8_t> below(row * rows);
    gl_.BindFramebuffer(GL_FRAMEBUFFER, target.shown);
    gl_.PixelStorei(GL_PACK_ALIGNMENT, 1);
    gl_.ReadPixels(0, 0, target.width, target.height, GL_RGBA, GL_UNSIGNED_BYTE, below.data());
    std::vector<std::uint8_t> pixels(row * rows);
    for (std::size_t y = 0; y < rows; ++y)
        std::copy_n(below.begin() + static_cast<std::ptrdiff_t>((rows - 1 - y) * row), row,
                    pixels.begin() + static_cast<std::ptrdiff_t>(y * row));
    return pixels;
}

}  // namespace archwright::editor::view
