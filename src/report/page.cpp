#include "loopread/report/page.h"

#include <cstdint>

namespace loopread {
namespace {

constexpr const char* kPageStyle = R"css(
:root { --paper:#fbfaf7; --card:#ffffff; --text:#2b2a28; --quiet:#5f5a54; --rule:#d8d2c8; --mark:#8a3b2a; --accent:#2f6d80; }
@media (prefers-color-scheme: dark) { :root { --paper:#1f1e1c; --card:#2a2826; --text:#f0ece6; --quiet:#b9b2a8; --rule:#47433e; --mark:#f0a08c; --accent:#86b9c6; } }
* { box-sizing: border-box; }
body { margin: 0; background: var(--paper); color: var(--text); font: 16px/1.5 system-ui, "DejaVu Sans", sans-serif; }
main { max-width: 1280px; margin: 0 auto; padding: 18px 24px 48px; }
.pictures { display: flex; gap: 26px; align-items: flex-start; margin: 14px 0 18px; }
.pictures figure { margin: 0; flex: 0 1 auto; }
.pictures img { display: block; width: auto; height: auto; max-width: 100%; max-height: min(500px, calc(100vh - 300px)); min-height: 240px; object-fit: contain; border-radius: 3px; box-shadow: 0 1px 6px rgba(0,0,0,.18); background: #fbfaf7; }
.pictures figure:first-child { flex: none; }
figcaption { color: var(--quiet); font-size: 13.5px; margin-top: 6px; }
h1 { font-size: 15px; font-weight: 600; color: var(--quiet); margin: 0 0 6px; letter-spacing: .01em; }
.sentence { font-size: 25px; line-height: 1.28; margin: 0 0 8px; font-weight: 600; }
.sure { font-size: 17px; line-height: 1.4; margin: 0 0 8px; }
.change { font-size: 17px; line-height: 1.4; margin: 0; padding: 8px 14px; background: var(--card); border-left: 4px solid var(--accent); }
.change strong { font-weight: 600; }
h2 { font-size: 15px; margin: 16px 0 4px; }
ul { margin: 0; padding-left: 18px; }
.told { display: grid; grid-template-columns: 1fr 1fr; gap: 4px 40px; }
.told li { font-size: 14px; color: var(--quiet); }
.told .facts li { color: var(--text); font-size: 15px; }
.warn { border-left: 4px solid var(--mark); padding: 6px 12px; margin: 10px 0; background: var(--card); font-size: 14px; }
.below figure { margin: 34px 0 0; }
.below img { display: block; max-width: 100%; height: auto; border-radius: 3px; box-shadow: 0 1px 6px rgba(0,0,0,.18); }
@media (max-width: 900px) { .pictures { gap: 14px; flex-wrap: wrap; } .pictures img { max-height: 420px; } .told { display: block; } .sentence { font-size: 21px; } }
@media print { .pictures img { max-height: 420px; } }
)css";

void add_figure(std::string& html, const PagePicture& picture) {
    const std::string kind = picture.bytes.rfind("\x89PNG", 0) == 0 ? "png" : "jpeg";
    html += "<figure><img src=\"data:image/" + kind + ";base64," + base64(picture.bytes) + "\" alt=\"" +
            html_escape(picture.alt) + "\" width=\"" + std::to_string(picture.width) + "\" height=\"" +
            std::to_string(picture.height) + "\"><figcaption>" + html_escape(picture.caption) +
            "</figcaption></figure>\n";
}

void add_list(std::string& html, const std::string& heading, const std::string& kind,
              const std::vector<std::string>& items) {
    if (items.empty()) return;
    if (!heading.empty()) html += "<h2>" + html_escape(heading) + "</h2>\n";
    html += "<ul class=\"" + kind + "\">\n";
    for (const std::string& item : items) html += "<li>" + html_escape(item) + "</li>\n";
    html += "</ul>\n";
}

}  // namespace

std::string html_escape(const std::string& text) {
    std::string out;
    for (const char c : text) switch (c) {
            case '&':
                out += "&amp;";
                break;
            case '<':
                out += "&lt;";
                break;
            case '>':
                out += "&gt;";
                break;
            case '"':
                out += "&quot;";
                break;
            case '\'':
                out += "&#39;";
                break;
            default:
                out += c;
        }
    return out;
}

std::string base64(const std::string& bytes) {
    static constexpr char kDigits[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    std::string out;
    out.reserve((bytes.size() + 2) / 3 * 4);
    for (std::size_t i = 0; i < bytes.size(); i += 3) {
        std::uint32_t three = 0;
        for (std::size_t k = 0; k < 3; ++k)
            three = three << 8 | (i + k < bytes.size() ? static_cast<unsigned char>(bytes[i + k]) : 0U);
        for (std::size_t k = 0; k < 4; ++k) out += i + k <= bytes.size() ? kDigits[three >> (18 - 6 * k) & 63] : '=';
    }
    return out;
}

std::string page_html(const PreviewPage& page) {
    std::string html = "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n";
    html += "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n";
    html +=
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; img-src data:; style-src "
        "'unsafe-inline'\">\n";
    html += "<title>" + html_escape(page.title) + "</title>\n<style>" + std::string(kPageStyle) +
            "</style>\n</head>\n<body>\n<main>\n";
    html += "<h1>" + html_escape(page.title) + "</h1>\n<p class=\"sentence\">" + html_escape(page.sentence) + "</p>\n";
    if (!page.how_sure.empty()) html += "<p class=\"sure\">" + html_escape(page.how_sure) + "</p>\n";
    if (!page.change.empty())
        html += "<p class=\"change\"><strong>" + html_escape(page.change_heading) + "</strong> " +
                html_escape(page.change) + "</p>\n";
    html += "<div class=\"pictures\">\n";
    for (const PagePicture& picture : page.first_screen) add_figure(html, picture);
    html += "</div>\n";
    for (const std::string& warning : page.warnings) html += "<p class=\"warn\">" + html_escape(warning) + "</p>\n";
    html += "<div class=\"told\">\n<div>\n";
    add_list(html, "What to know", "facts", page.facts);
    html += "</div>\n<div>\n";
    add_list(html, "What this rests on", "assumed", page.assumed);
    html += "</div>\n</div>\n<div class=\"below\">\n";
    for (const PagePicture& picture : page.below) add_figure(html, picture);
    add_list(html, "Files beside this page", "files", page.files);
    html += "</div>\n</main>\n</body>\n</html>\n";
    return html;
}

}  // namespace loopread
