#include "engine/solid/step_file.hpp"

#include <APIHeaderSection_MakeHeader.hxx>
#include <IFSelect_ReturnStatus.hxx>
#include <Interface_Check.hxx>
#include <Interface_CheckIterator.hxx>
#include <Interface_HArray1OfHAsciiString.hxx>
#include <Interface_Protocol.hxx>
#include <Interface_Static.hxx>
#include <STEPControl_Reader.hxx>
#include <STEPControl_Writer.hxx>
#include <StepBasic_Product.hxx>
#include <StepData_Protocol.hxx>
#include <StepData_StepModel.hxx>
#include <StepData_StepWriter.hxx>
#include <TColStd_SequenceOfAsciiString.hxx>
#include <TCollection_HAsciiString.hxx>
#include <TopExp.hxx>
#include <TopTools_IndexedMapOfShape.hxx>
#include <TopoDS.hxx>
#include <XSControl_WorkSession.hxx>
#include <sstream>

#include "engine/base/version.hpp"
#include "engine/solid/occt.hpp"

namespace archwright::solid {

std::string step_word(std::string text) {
    for (char& c : text)
        if (c < ' ' || c > '~' || c == '\\') c = '_';
    return text;
}

namespace {

Handle(TCollection_HAsciiString) words_of(const std::string& text) {
    return new TCollection_HAsciiString(step_word(text).c_str());
}

Handle(Interface_HArray1OfHAsciiString) list_of(const std::string& text) {
    Handle(Interface_HArray1OfHAsciiString) list = new Interface_HArray1OfHAsciiString(1, 1);
    list->SetValue(1, words_of(text));
    return list;
}

/// Replaces everything the library took from the clock, the path, the user or its own counters.
void pin(const Handle(StepData_StepModel) & model, const StepWords& words) {
    APIHeaderSection_MakeHeader header(model);
    header.SetName(words_of(words.product));
    header.SetTimeStamp(words_of(words.date));
    header.SetAuthor(list_of(""));
    header.SetOrganization(list_of(""));
    header.SetPreprocessorVersion(words_of("Open CASCADE Technology"));
    header.SetOriginatingSystem(words_of(std::string("Archwright ") + version));
    header.SetAuthorisation(words_of(""));
    header.SetDescription(list_of("Foot orthosis, mm"));
    header.Apply(model);
    for (int i = 1; i <= model->NbEntities(); ++i) {
        const auto product = Handle(StepBasic_Product)::DownCast(model->Value(i));
        if (product.IsNull()) continue;
        product->SetId(words_of(words.product));
        product->SetName(words_of(words.product));
        product->SetDescription(words_of(""));
    }
}

}  // namespace

Outcome<std::string> step_text(const Solid& solid, const StepWords& words, StepSchema schema) {
    return guarded(FaultKind::output, "write", "Making the STEP file", [&]() -> Outcome<std::string> {
        const std::lock_guard lane(file_lane());
        Interface_Static::SetIVal("write.step.schema", schema == StepSchema::ap242 ? 5 : 4);
        STEPControl_Writer writer;
        const Handle(StepData_StepModel) model = writer.Model(true);
        const Fault refused{FaultKind::output, "write", "The solid could not be turned into STEP.", {}};
        if (writer.Transfer(solid.body().shape, STEPControl_ManifoldSolidBrep) != IFSelect_RetDone)
            return refused;
        pin(model, words);
        StepData_StepWriter text(model);
        text.SendModel(Handle(StepData_Protocol)::DownCast(model->Protocol()));
        std::ostringstream stream;
        if (!text.CheckList().IsEmpty(true) || !text.Print(stream)) return refused;
        return std::move(stream).str();
    });
}

Outcome<StepReadBack> read_step(const std::filesystem::path& path) {
    const auto fault = [&](const std::string& what) {
        return Fault{
            FaultKind::input, "read", "Cannot read " + path.filename().string() + ": " + what + ".", {}};
    };
    Outcome<StepReadBack> read = guarded(
        FaultKind::input, "read", "Reading " + path.filename().string(), [&]() -> Outcome<StepReadBack> {
            const std::lock_guard lane(file_lane());
            STEPControl_Reader reader;
            if (reader.ReadFile(path.c_str()) != IFSelect_RetDone) return fault("it is not a STEP file");
            TColStd_SequenceOfAsciiString length, angle, solid_angle;
            reader.FileUnits(length, angle, solid_angle);
            reader.TransferRoots();
            TopTools_IndexedMapOfShape solids, faces;
            for (int i = 1; i <= reader.NbShapes(); ++i) {
                TopExp::MapShapes(reader.Shape(i), TopAbs_SOLID, solids);
                TopExp::MapShapes(reader.Shape(i), TopAbs_FACE, faces);
            }
            if (solids.Extent() != 1)
                return fault("it holds " + std::to_string(solids.Extent()) + " solids, not one");
            TopTools_IndexedMapOfShape own;
            TopExp::MapShapes(solids(1), TopAbs_FACE, own);
            if (own.Extent() != faces.Extent()) return fault("it holds faces that belong to no solid");
            StepReadBack back{make_solid(TopoDS::Solid(solids(1))), {}, {}, {}};
            if (length.Length() == 1) back.unit = length(1).ToCString();
            const Handle(StepData_StepModel) model = reader.StepModel();
            for (int i = 1; i <= model->NbEntities(); ++i)
                if (const auto product = Handle(StepBasic_Product)::DownCast(model->Value(i));
                    !product.IsNull())
                    back.product = product->Name()->ToCString();
            return back;
        });
    if (read) read->report = examine(read->solid);
    return read;
}

}  // namespace archwright::solid
