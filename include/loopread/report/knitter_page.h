#pragma once

#include <string>
#include <string_view>

namespace loopread {

/// What the dyer says to whoever buys one blank. Plain text in UTF-8; only the title must be there.
struct KnitterWords {
    std::string title, maker = {}, words = {};
    std::string address = {};   ///< of the shop page
    std::string code_png = {};  ///< QR code of the address, as a PNG file
};

/// The dye table page for the buyer of one blank: she gives her own knitting and sees her own pair; what paints, opens,
/// saves and mixes is not there.
/// @param page   dye_table_page()
/// @param state  what is on the blank: a JSON object with at least one member, as the page saves it (require)
std::string knitter_page(std::string_view page, std::string_view state, const KnitterWords& words);

}  // namespace loopread
