#pragma once

#include <string>

namespace loopread::wasm {

/// A fault as the page says it: the core's names of options as the page's own words.
std::string page_words(std::string fault);

}  // namespace loopread::wasm
