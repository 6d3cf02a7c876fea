// The words of a design sheet.
#pragma once

#include "exporters/papers/design_sheet.hpp"

namespace archwright::exporters::papers {

/// Fills in verdict, approval, rows and lists: what the reports say of the same device, in fewer words.
void tell_design(DesignSheet& sheet, const design::Job& job, const build::Device& device,
                 const std::vector<FlexLoad>& bench);

}  // namespace archwright::exporters::papers
