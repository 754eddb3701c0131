#include "loopread/report/knitter_page.h"

#include "loopread/base/require.h"
#include "loopread/report/dye_table.h"
#include "loopread/report/page.h"

namespace loopread {
namespace {

/// A JSON string (RFC 8259, section 7; from memory).
std::string json_string(std::string_view text) {
    constexpr std::string_view kHex = "0123456789abcdef";
    std::string out = "\"";
    for (const char c : text) {
        const auto byte = static_cast<unsigned char>(c);
        if (byte < 0x20) {
            out += "\\u00";
            out += kHex[byte >> 4];
            out += kHex[byte & 15];
            continue;
        }
        if (c == '"' || c == '\\') out += '\\';
        out += c;
    }
    return out + '"';
}

std::string reading(const KnitterWords& words) {
    std::string json = "\"reading\":{\"title\":" + json_string(words.title) + ",\"maker\":" + json_string(words.maker) +
                       ",\"words\":" + json_string(words.words) + ",\"address\":" + json_string(words.address);
    if (!words.code_png.empty()) json += ",\"qr\":" + json_string("data:image/png;base64," + base64(words.code_png));
    return json + "}";
}

}  // namespace

std::string knitter_page(std::string_view page, std::string_view state, const KnitterWords& words) {
    require(state.size() > 2 && state.front() == '{' && state.back() == '}', "a state is a JSON object with members");
    require(!words.title.empty(), "a blank has a title");
    return with_start_state(page, "{" + reading(words) + "," + std::string(state.substr(1)));
}

}  // namespace loopread
