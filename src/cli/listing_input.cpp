#include "cli/listing_input.h"

#include <algorithm>
#include <cctype>

#include "loopread/base/error.h"
#include "loopread/base/text.h"
#include "loopread/draw/qr.h"
#include "loopread/listing/typed_words.h"

namespace loopread::cli {
namespace {

constexpr std::size_t kLongestTitle = 120, kLongestMaker = 80, kLongestWords = 4000;

[[noreturn]] void refused(const std::string& option, const std::string& fault) {
    throw Error(ErrorKind::usage, option + ": " + fault);
}

void check_words(const std::string& words, const std::string& option, std::size_t most, Lines lines) {
    const std::string fault = fault_of_words(words, most, lines);
    if (!fault.empty()) refused(option, fault);
}

void check_address(const std::string& address) {
    if (address.empty()) return;
    const bool web = address.starts_with("https://") || address.starts_with("http://");
    const bool plain =
        std::all_of(address.begin(), address.end(), [](unsigned char c) { return c > 0x20 && c < 0x7f; });
    if (!web || !plain || address.find("://") + 3 == address.size())
        refused("--address", "give the page as it stands in a browser, like https://example.org/shop/lanterns");
    if (address.size() > kLongestQrAddress)
        refused("--address", "is too long for a code on a label; " + std::to_string(kLongestQrAddress) +
                                 " letters at most, use a short link");
}

Offer offer_of(const std::string& text) {
    if (text == "whole") return Offer::whole;
    if (text == "ravelled") return Offer::ravelled;
    if (text == "both") return Offer::both;
    refused("--offer", "'" + text + "' is not one of whole, ravelled, both");
}

}  // namespace

ListingRequest listing_request(const ListingOptions& options, Outputs& outputs) {
    ListingRequest request;
    request.wound = settled_skein(options.wound, options.blank);
    if (!options.fibre.empty()) request.fibre = parsed_fibre(options.fibre);
    request.offer = offer_of(options.offer);
    check_words(options.title, "--title", kLongestTitle, Lines::one);
    check_words(options.maker, "--maker", kLongestMaker, Lines::one);
    check_words(options.words, "--words", kLongestWords, Lines::several);
    check_address(options.address);
    if (!options.names.empty()) {
        constexpr std::uintmax_t kMostBytes = 1'000'000;
        outputs.keep_safe(options.names);
        request.names = parsed_colour_names(file_bytes(options.names, kMostBytes), options.names);
    }
    return request;
}

std::string listing_title(const ListingOptions& options, const std::filesystem::path& image) {
    if (!trimmed(options.title).empty()) return trimmed(options.title);
    std::string title = printable(image.stem().string());
    std::replace_if(
        title.begin(), title.end(), [](char c) { return c == '-' || c == '_'; }, ' ');
    title = trimmed(title);
    if (title.empty()) return "Sock blank";
    title.front() = static_cast<char>(std::toupper(static_cast<unsigned char>(title.front())));
    return title;
}

}  // namespace loopread::cli
