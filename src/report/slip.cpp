#include "loopread/report/slip.h"

#include "loopread/base/require.h"

namespace loopread {
namespace {

constexpr const char* kSlipStyle = R"css(
@page { size: A5 portrait; margin: 0; }
:root { --text:#2b2a28; --quiet:#6b665f; --rule:#c9c2b8; --mark:#2f6d80; }
* { box-sizing: border-box; }
html { background: #e9e5de; -webkit-print-color-adjust: exact; print-color-adjust: exact; }
body { margin: 0; color: var(--text); font: 8.6pt/1.36 "DejaVu Sans", system-ui, sans-serif; }
.slip { width: 148mm; height: 209.5mm; overflow: hidden; margin: 0 auto; padding: 9mm 10mm 7mm; background: #fff; display: flex; flex-direction: column; }
@media screen { body { padding: 6mm 0; } .slip { box-shadow: 0 1px 8px rgba(0,0,0,.25); } }
@media print { html { background: #fff; } }
header { display: flex; gap: 6mm; align-items: flex-start; border-bottom: 1.4pt solid var(--mark); padding-bottom: 2.6mm; }
header div { flex: 1; min-width: 0; }
h1 { font-size: 15pt; line-height: 1.16; margin: 0 0 .8mm; overflow-wrap: anywhere; max-height: 2.4em; overflow: hidden; }
.maker { margin: 0 0 1mm; color: var(--mark); font-weight: 600; overflow-wrap: anywhere; max-height: 1.4em; overflow: hidden; }
.facts { margin: 0; padding: 0; list-style: none; color: var(--quiet); font-size: 7.6pt; line-height: 1.34; }
figure { margin: 0; flex: none; text-align: center; }
figcaption { font-size: 6.2pt; color: var(--quiet); line-height: 1.2; }
.code img { width: 24mm; height: 24mm; image-rendering: pixelated; display: block; margin: 0 auto .6mm; }
.code figcaption { width: 34mm; overflow-wrap: anywhere; }
.body { display: flex; gap: 6mm; margin-top: 3mm; flex: 1 1 auto; min-height: 0; }
.blank { width: 21mm; }
.blank img { width: 100%; height: auto; max-height: 92mm; object-fit: cover; object-position: top; display: block; border: .4pt solid var(--rule); }
.blank .edge { color: var(--mark); font-weight: 600; font-size: 6.6pt; display: block; border-bottom: 1.6pt dashed var(--mark); margin-bottom: 1mm; padding-bottom: .6mm; }
ol { list-style: none; margin: 0; padding: 0; counter-reset: step; flex: 1; }
ol li { position: relative; padding-left: 7mm; margin-bottom: 2.1mm; counter-increment: step; }
ol li::before { content: counter(step); position: absolute; left: 0; top: .2mm; width: 4.6mm; height: 4.6mm; border-radius: 50%; background: var(--mark); color: #fff; font-size: 7.4pt; line-height: 4.6mm; text-align: center; font-weight: 600; }
ol b { display: block; font-size: 9.2pt; }
.tags { display: flex; gap: 5mm; border-top: .6pt dashed var(--rule); padding-top: 3mm; margin-top: 2mm; }
.tag { flex: 1; display: flex; flex-direction: column; justify-content: center; border: .8pt dashed var(--quiet); border-radius: 2mm; padding: 1.8mm 3mm 1.8mm 11mm; position: relative; min-height: 18mm; font-size: 7.2pt; line-height: 1.3; overflow: hidden; }
.tag::before { content: ""; position: absolute; left: 3.4mm; top: 50%; width: 4mm; height: 4mm; margin-top: -2mm; border: .8pt solid var(--quiet); border-radius: 50%; }
.tag strong { display: block; font-size: 13pt; line-height: 1.1; }
.tag span { color: var(--quiet); display: block; overflow-wrap: anywhere; max-height: 2.6em; overflow: hidden; }
.cut { color: var(--quiet); font-size: 6.4pt; margin: 1mm 0 0; }
)css";

struct Step {
    std::string heading, words;
};

std::vector<Step> steps_of_whole_blank(int strands) {
    // Soaking: a magazine's tutorial on ravelled yarn (2007) and a page of knitting tips (2003). That one edge comes
    // apart and the other locks: a text on weft-knit structures. The rest is common practice, no source.
    std::vector<Step> steps = {{"Find the edge that comes apart",
                                "It is the top one in the picture. Tug its loose end: a row comes off stitch by "
                                "stitch. If it locks, you are at "
                                "the wrong edge; turn the blank round. Never cut."}};
    if (strands == 2)
        steps.push_back(
            {"Tie on tags A and B, then wind both strands alike",
             "Two strands come off together. Tie tag A to the end of one and tag B to the end of the other, "
             "then wind each into a ball of its own, both the same way. The tagged ends lie in the middle."});
    else
        steps.push_back(
            {"Wind it up",
             "One strand comes off. Tie the tag to its end and wind it into one ball; the tagged end lies in "
             "the middle. For two socks, weigh the ball and stop at half."});
    return steps;
}

std::vector<Step> steps_of_wound_yarn(int strands) {
    if (strands == 2)
        return {{"Two balls, wound alike",
                 "Ball A and ball B came off one blank side by side. The ends tagged A and B came off first. Keep the "
                 "tags on until both socks are done."}};
    return {{"One ball from one blank",
             "The tagged end came off the blank first. For two socks, weigh the ball and stop at half."}};
}

std::vector<Step> steps_of(const ParcelSlip& slip) {
    const bool pair = slip.strands == 2;
    std::vector<Step> steps =
        slip.parcel == Parcel::whole_blank ? steps_of_whole_blank(slip.strands) : steps_of_wound_yarn(slip.strands);
    if (pair)
        steps.push_back({"Start both socks from the same end",
                         "Both from the tagged ends, or both from the other ends: then the colours come in the same "
                         "order. One of each gives you two different socks."});
    steps.push_back({"Soak the crimp out, if you like",
                     "Wind the yarn round a chair back, tie it loosely in three or four places, soak it 15 to 30 "
                     "minutes in cool to lukewarm water, press it in a towel and hang it up without a weight. Knit "
                     "it when it is dry. It knits crimped too; it only looks uneven until the first wash."});
    if (!slip.knitting.empty()) steps.push_back({"What it knits up as", slip.knitting});
    steps.push_back({"First wash", "It may release colour: wash alone, cool."});
    return steps;
}

/// An address that breaks at its own joints.
std::string breakable(const std::string& text) {
    std::string out;
    for (const char c : text) {
        out += html_escape(std::string(1, c));
        if (c == '/' || c == '?' || c == '&' || c == '-' || c == '_') out += "<wbr>";
    }
    return out;
}

/// @param above  words over the picture of a blank
void add_picture(std::string& html, const std::string& kind, const PagePicture& picture, const std::string& above) {
    const std::string type = picture.bytes.rfind("\x89PNG", 0) == 0 ? "png" : "jpeg";
    html += "<figure class=\"" + kind + "\">" + (kind == "blank" ? "<span class=\"edge\">" + above + "</span>" : "") +
            "<img src=\"data:image/" + type + ";base64," + base64(picture.bytes) + "\" alt=\"" +
            html_escape(picture.alt) + "\"><figcaption>" + breakable(picture.caption) + "</figcaption></figure>\n";
}

void add_head(std::string& html, const ParcelSlip& slip) {
    html += "<header><div><h1>" + html_escape(slip.title) + "</h1>\n";
    if (!slip.maker.empty()) html += "<p class=\"maker\">dyed by " + html_escape(slip.maker) + "</p>\n";
    html += "<ul class=\"facts\">\n";
    for (const std::string& fact : slip.facts) html += "<li>" + html_escape(fact) + "</li>\n";
    html += "</ul></div>\n";
    if (slip.code) add_picture(html, "code", *slip.code, "");
    html += "</header>\n";
}

void add_tags(std::string& html, const ParcelSlip& slip) {
    html += "<section class=\"tags\">\n";
    const std::vector<std::string> letters =
        slip.strands == 2 ? std::vector<std::string>{"A", "B"} : std::vector<std::string>{""};
    for (const std::string& letter : letters)
        html += "<div class=\"tag\"><strong>" + (letter.empty() ? std::string("The ball") : "Ball " + letter) +
                "</strong>this end came off the blank first<span>" + html_escape(slip.title) + "</span></div>\n";
    html += "</section>\n<p class=\"cut\">Cut out, punch the hole, tie to the yarn.</p>\n";
}

}  // namespace

std::string slip_html(const ParcelSlip& slip) {
    require(slip.strands == 1 || slip.strands == 2, "a blank has one strand or two");
    std::string html = "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n";
    html += "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n";
    html +=
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; img-src data:; style-src "
        "'unsafe-inline'\">\n";
    html += "<title>" + html_escape(slip.title) + "</title>\n<style>" + std::string(kSlipStyle) +
            "</style>\n</head>\n<body>\n<main class=\"slip\">\n";
    add_head(html, slip);
    html += "<div class=\"body\">\n<ol>\n";
    for (const Step& step : steps_of(slip))
        html += "<li><b>" + html_escape(step.heading) + "</b>" + html_escape(step.words) + "</li>\n";
    html += "</ol>\n";
    if (slip.blank)
        add_picture(html, "blank", *slip.blank,
                    slip.parcel == Parcel::whole_blank ? "comes apart here" : "came off first here");
    html += "</div>\n";
    add_tags(html, slip);
    html += "</main>\n</body>\n</html>\n";
    return html;
}

}  // namespace loopread
