#include "loopread/report/dye_table.h"

#include "loopread/base/require.h"

#ifdef LOOPREAD_PAGE
// Of dye_table_page.S.
extern "C" const char loopread_dye_table_page[];
extern "C" const char loopread_dye_table_page_end[];
#endif

namespace loopread {
namespace {

constexpr std::string_view kStart = R"(<script type="application/json" id="start-state">)";
constexpr std::string_view kEnd = "</script>";

/// JSON that HTML takes for text: neither a tag nor a comment begins in it.
std::string as_script(std::string_view json) {
    std::string out;
    out.reserve(json.size());
    for (const char c : json)
        if (c == '<')
            out += "\\u003c";
        else
            out += c;
    return out;
}

}  // namespace

std::string_view dye_table_page() {
#ifdef LOOPREAD_PAGE
    return {loopread_dye_table_page, static_cast<std::size_t>(loopread_dye_table_page_end - loopread_dye_table_page)};
#else
    return {};
#endif
}

std::string with_start_state(std::string_view page, std::string_view state) {
    const std::size_t start = page.find(kStart);
    require(start != std::string_view::npos, "the page has a place for a start state");
    const std::size_t from = start + kStart.size();
    const std::size_t to = page.find(kEnd, from);
    require(to != std::string_view::npos && page.find(kStart, from) == std::string_view::npos,
            "the page has one place for a start state");
    return std::string(page.substr(0, from)) + as_script(state) + std::string(page.substr(to));
}

}  // namespace loopread
