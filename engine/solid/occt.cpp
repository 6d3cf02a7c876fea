#include "engine/solid/occt.hpp"

#include <Interface_Static.hxx>
#include <Message.hxx>
#include <Message_Messenger.hxx>
#include <STEPControl_Controller.hxx>

namespace archwright::solid {

Solid make_solid(const TopoDS_Solid& shape) {
    return Solid(std::make_shared<const Solid::Body>(Solid::Body{shape}));
}

void prepare_library() {
    static std::once_flag once;
    std::call_once(once, [] {
        Message::DefaultMessenger()->ChangePrinters().Clear();
        STEPControl_Controller::Init();
        Interface_Static::SetCVal("write.step.unit", "MM");
        Interface_Static::SetCVal("xstep.cascade.unit", "MM");
        Interface_Static::SetIVal("write.step.assembly", 0);
    });
}

std::mutex& file_lane() {
    static std::mutex lane;
    return lane;
}

}  // namespace archwright::solid
