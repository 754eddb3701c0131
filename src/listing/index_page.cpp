#include "loopread/listing/index_page.h"

namespace loopread {
namespace {

constexpr const char* kStyle = R"css(
:root { --paper:#fbfaf7; --card:#fff; --text:#2b2a28; --quiet:#5f5a54; --rule:#d8d2c8; --mark:#8a3b2a; --accent:#2f6d80; }
@media (prefers-color-scheme: dark) { :root { --paper:#1f1e1c; --card:#2a2826; --text:#f0ece6; --quiet:#b9b2a8; --rule:#47433e; --mark:#f0a08c; --accent:#86b9c6; } }
* { box-sizing: border-box; }
body { margin: 0; background: var(--paper); color: var(--text); font: 16px/1.5 system-ui, "DejaVu Sans", sans-serif; }
main { max-width: 1320px; margin: 0 auto; padding: 24px; }
h1 { font-size: 26px; margin: 0 0 4px; overflow-wrap: anywhere; }
.sum { color: var(--quiet); margin: 0 0 20px; }
.cards { display: grid; grid-template-columns: repeat(auto-fill, minmax(380px, 1fr)); gap: 22px; }
@media (max-width: 460px) { .cards { grid-template-columns: 1fr; } }
article { background: var(--card); border: 1px solid var(--rule); border-radius: 6px; overflow: hidden; }
article img { display: block; width: 100%; height: auto; background: #fbfaf7; }
article div { padding: 12px 16px 14px; }
h2 { font-size: 19px; margin: 0 0 4px; overflow-wrap: anywhere; }
article p { margin: 0 0 6px; font-size: 15px; }
article ul { margin: 0 0 8px; padding: 0; list-style: none; color: var(--quiet); font-size: 14px; }
a { color: var(--accent); }
.links a { margin-right: 14px; font-size: 14.5px; }
.failed { border-left: 4px solid var(--mark); padding: 8px 16px; margin: 0 0 22px; background: var(--card); }
.failed h2 { font-size: 17px; }
table { border-collapse: collapse; font-size: 14.5px; width: 100%; }
td, th { text-align: left; vertical-align: top; padding: 4px 18px 4px 0; border-bottom: 1px solid var(--rule); overflow-wrap: anywhere; }
)css";

/// A folder's name as part of an address [RFC 3986, 2.3].
std::string in_address(const std::string& name) {
    static constexpr char kHex[] = "0123456789ABCDEF";
    std::string out;
    for (const char c : name) {
        const auto byte = static_cast<unsigned char>(c);
        const bool plain = (byte >= '0' && byte <= '9') || (byte >= 'A' && byte <= 'Z') ||
                           (byte >= 'a' && byte <= 'z') || byte == '-' || byte == '.' || byte == '_' || byte == '~';
        if (plain) {
            out += c;
            continue;
        }
        out += '%';
        out += kHex[byte >> 4];
        out += kHex[byte & 15U];
    }
    return out;
}

void add_card(std::string& html, const IndexedListing& one) {
    const std::string folder = in_address(one.folder);
    html += "<article><a href=\"" + folder + "/contact-sheet.jpg\"><img src=\"data:image/jpeg;base64," +
            base64(one.sheet.bytes) + "\" alt=\"" + html_escape(one.sheet.alt) + "\" width=\"" +
            std::to_string(one.sheet.width) + "\" height=\"" + std::to_string(one.sheet.height) + "\"></a><div><h2>" +
            html_escape(one.title) + "</h2>\n<p>" + html_escape(one.look) + "</p>\n<ul>\n";
    for (const std::string& fact : one.facts) html += "<li>" + html_escape(fact) + "</li>\n";
    html += "</ul>\n<p class=\"links\"><a href=\"" + folder + "/listing.txt\">text</a><a href=\"" + folder +
            "/slip.html\">slip</a>";
    if (!one.buyers_page.empty())
        html += "<a href=\"" + folder + "/" + in_address(one.buyers_page) + "\">page for the buyer</a>";
    html += "<a href=\"" + folder + "/\">all files</a></p></div></article>\n";
}

void add_failures(std::string& html, const std::vector<FailedListing>& failed) {
    if (failed.empty()) return;
    html += "<section class=\"failed\"><h2>Could not be listed</h2>\n<table><tr><th>Picture</th><th>Why</th></tr>\n";
    for (const FailedListing& one : failed)
        html += "<tr><td>" + html_escape(one.picture) + "</td><td>" + html_escape(one.why) + "</td></tr>\n";
    html += "</table></section>\n";
}

std::string quoted(const std::string& text) {
    std::string out = "\"";
    for (const char c : text) out += c == '"' ? std::string("\"\"") : std::string(1, c == '\n' || c == '\r' ? ' ' : c);
    return out + "\"";
}

}  // namespace

std::string index_html(const IndexPage& page) {
    std::string html = "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n";
    html += "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n";
    html +=
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; img-src data:; style-src "
        "'unsafe-inline'\">\n";
    html += "<title>" + html_escape(page.title) + "</title>\n<style>" + std::string(kStyle) +
            "</style>\n</head>\n<body>\n<main>\n<h1>" + html_escape(page.title) + "</h1>\n<p class=\"sum\">" +
            std::to_string(page.listings.size()) + (page.listings.size() == 1 ? " listing" : " listings") +
            (page.failed.empty() ? "" : ", " + std::to_string(page.failed.size()) + " could not be made") + "</p>\n";
    add_failures(html, page.failed);
    html += "<section class=\"cards\">\n";
    for (const IndexedListing& one : page.listings) add_card(html, one);
    html += "</section>\n</main>\n</body>\n</html>\n";
    return html;
}

std::string failures_csv(const std::vector<FailedListing>& failed) {
    std::string csv = "picture,fault\n";
    for (const FailedListing& one : failed) csv += quoted(one.picture) + "," + quoted(one.why) + "\n";
    return csv;
}

}  // namespace loopread
