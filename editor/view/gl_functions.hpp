// The functions of OpenGL 3.3 that we call, found at run time.
#pragma once

#include <GL/glcorearb.h>

#include <functional>

namespace archwright::editor::view {

// name without "gl", type
#define ARCHWRIGHT_GL(X)                                                       \
    X(GetString, PFNGLGETSTRINGPROC)                                           \
    X(GetError, PFNGLGETERRORPROC)                                             \
    X(GenBuffers, PFNGLGENBUFFERSPROC)                                         \
    X(DeleteBuffers, PFNGLDELETEBUFFERSPROC)                                   \
    X(BindBuffer, PFNGLBINDBUFFERPROC)                                         \
    X(BufferData, PFNGLBUFFERDATAPROC)                                         \
    X(BufferSubData, PFNGLBUFFERSUBDATAPROC)                                   \
    X(GenVertexArrays, PFNGLGENVERTEXARRAYSPROC)                               \
    X(DeleteVertexArrays, PFNGLDELETEVERTEXARRAYSPROC)                         \
    X(BindVertexArray, PFNGLBINDVERTEXARRAYPROC)                               \
    X(EnableVertexAttribArray, PFNGLENABLEVERTEXATTRIBARRAYPROC)               \
    X(DisableVertexAttribArray, PFNGLDISABLEVERTEXATTRIBARRAYPROC)             \
    X(VertexAttribPointer, PFNGLVERTEXATTRIBPOINTERPROC)                       \
    X(GenTextures, PFNGLGENTEXTURESPROC)                                       \
    X(DeleteTextures, PFNGLDELETETEXTURESPROC)                                 \
    X(ActiveTexture, PFNGLACTIVETEXTUREPROC)                                   \
    X(BindTexture, PFNGLBINDTEXTUREPROC)                                       \
    X(TexImage2D, PFNGLTEXIMAGE2DPROC)                                         \
    X(TexSubImage2D, PFNGLTEXSUBIMAGE2DPROC)                                   \
    X(TexParameteri, PFNGLTEXPARAMETERIPROC)                                   \
    X(PixelStorei, PFNGLPIXELSTOREIPROC)                                       \
    X(GenFramebuffers, PFNGLGENFRAMEBUFFERSPROC)                               \
    X(DeleteFramebuffers, PFNGLDELETEFRAMEBUFFERSPROC)                         \
    X(BindFramebuffer, PFNGLBINDFRAMEBUFFERPROC)                               \
    X(FramebufferTexture2D, PFNGLFRAMEBUFFERTEXTURE2DPROC)                     \
    X(FramebufferRenderbuffer, PFNGLFRAMEBUFFERRENDERBUFFERPROC)               \
    X(CheckFramebufferStatus, PFNGLCHECKFRAMEBUFFERSTATUSPROC)                 \
    X(BlitFramebuffer, PFNGLBLITFRAMEBUFFERPROC)                               \
    X(GenRenderbuffers, PFNGLGENRENDERBUFFERSPROC)                             \
    X(DeleteRenderbuffers, PFNGLDELETERENDERBUFFERSPROC)                       \
    X(BindRenderbuffer, PFNGLBINDRENDERBUFFERPROC)                             \
    X(RenderbufferStorageMultisample, PFNGLRENDERBUFFERSTORAGEMULTISAMPLEPROC) \
    X(CreateShader, PFNGLCREATESHADERPROC)                                     \
    X(ShaderSource, PFNGLSHADERSOURCEPROC)                                     \
    X(CompileShader, PFNGLCOMPILESHADERPROC)                                   \
    X(GetShaderiv, PFNGLGETSHADERIVPROC)                                       \
    X(GetShaderInfoLog, PFNGLGETSHADERINFOLOGPROC)                             \
    X(DeleteShader, PFNGLDELETESHADERPROC)                                     \
    X(CreateProgram, PFNGLCREATEPROGRAMPROC)                                   \
    X(AttachShader, PFNGLATTACHSHADERPROC)                                     \
    X(LinkProgram, PFNGLLINKPROGRAMPROC)                                       \
    X(GetProgramiv, PFNGLGETPROGRAMIVPROC)                                     \
    X(GetProgramInfoLog, PFNGLGETPROGRAMINFOLOGPROC)                           \
    X(DeleteProgram, PFNGLDELETEPROGRAMPROC)                                   \
    X(UseProgram, PFNGLUSEPROGRAMPROC)                                         \
    X(GetUniformLocation, PFNGLGETUNIFORMLOCATIONPROC)                         \
    X(Uniform1i, PFNGLUNIFORM1IPROC)                                           \
    X(Uniform1f, PFNGLUNIFORM1FPROC)                                           \
    X(Uniform2f, PFNGLUNIFORM2FPROC)                                           \
    X(Uniform3f, PFNGLUNIFORM3FPROC)                                           \
    X(Uniform4f, PFNGLUNIFORM4FPROC)                                           \
    X(UniformMatrix4fv, PFNGLUNIFORMMATRIX4FVPROC)                             \
    X(Enable, PFNGLENABLEPROC)                                                 \
    X(Disable, PFNGLDISABLEPROC)                                               \
    X(DepthFunc, PFNGLDEPTHFUNCPROC)                                           \
    X(DepthMask, PFNGLDEPTHMASKPROC)                                           \
    X(ColorMask, PFNGLCOLORMASKPROC)                                           \
    X(BlendEquation, PFNGLBLENDEQUATIONPROC)                                   \
    X(BlendFuncSeparate, PFNGLBLENDFUNCSEPARATEPROC)                           \
    X(ClearColor, PFNGLCLEARCOLORPROC)                                         \
    X(ClearDepth, PFNGLCLEARDEPTHPROC)                                         \
    X(Clear, PFNGLCLEARPROC)                                                   \
    X(Viewport, PFNGLVIEWPORTPROC)                                             \
    X(Scissor, PFNGLSCISSORPROC)                                               \
    X(ReadPixels, PFNGLREADPIXELSPROC)                                         \
    X(Finish, PFNGLFINISHPROC)                                                 \
    X(DrawArrays, PFNGLDRAWARRAYSPROC)                                         \
    X(DrawElements, PFNGLDRAWELEMENTSPROC)

struct GlFunctions {
#define ARCHWRIGHT_GL_MEMBER(name, type) type name = nullptr;
    ARCHWRIGHT_GL(ARCHWRIGHT_GL_MEMBER)
#undef ARCHWRIGHT_GL_MEMBER

    using Find = std::function<void*(const char* name)>;
    /// The name of the first that is missing; null when all are there.
    const char* load(const Find& find) {
#define ARCHWRIGHT_GL_LOAD(name, type)               \
    name = reinterpret_cast<type>(find("gl" #name)); \
    if (name == nullptr) return "gl" #name;
        ARCHWRIGHT_GL(ARCHWRIGHT_GL_LOAD)
#undef ARCHWRIGHT_GL_LOAD
        return nullptr;
    }
};

}  // namespace archwright::editor::view
