#pragma once

#include <string>
#include <string_view>

namespace loopread {

/// The dye table page as it was built into this program: one HTML file that needs nothing beside it.
/// Empty where the program was built without it (CMake option LOOPREAD_PAGE).
std::string_view dye_table_page();

/// The page with a document to start from, in place of the page's own.
/// @param page   holds `<script type="application/json" id="start-state">` once (require)
/// @param state  JSON; cannot end the script early, whatever texts are in it
std::string with_start_state(std::string_view page, std::string_view state);

}  // namespace loopread
