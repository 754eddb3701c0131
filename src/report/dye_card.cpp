#include "loopread/report/dye_card.h"

#include <algorithm>
#include <set>
#include <string_view>

#include "loopread/base/text.h"
#include "loopread/dye/words.h"

namespace loopread {
namespace {

// Millimetres and points: it is made for paper. 188 x 258 mm fit an A4 and a Letter page inside their margins.
constexpr const char* kCardStyle = R"css(
@page { margin: 9mm 12mm; }
:root { --text:#1f1e1c; --quiet:#5f5a54; --rule:#c4bdb2; --mark:#8a3b2a; }
* { box-sizing: border-box; }
body { margin: 0; color: var(--text); font: 8pt/1.3 system-ui, "DejaVu Sans", sans-serif; -webkit-print-color-adjust: exact; print-color-adjust: exact; }
.sheet { width: 188mm; min-height: 258mm; display: flex; flex-direction: column; background: #fff; }
@media screen { body { background: #e4dfd6; } .sheet { width: 212mm; min-height: 276mm; margin: 6mm auto; padding: 10mm 12mm; box-shadow: 0 1px 8px rgba(0,0,0,.25); } }
header { display: flex; gap: 8mm; justify-content: space-between; align-items: flex-end; border-bottom: 1.6pt solid var(--text); padding-bottom: 2mm; }
h1 { font-size: 18pt; line-height: 1.1; margin: 0; font-weight: 650; letter-spacing: -.01em; overflow-wrap: anywhere; }
header p { margin: 1mm 0 0; color: var(--quiet); font-size: 9pt; }
.fill { display: grid; grid-template-columns: auto 44mm; gap: 1.2mm 2.5mm; font-size: 7.4pt; color: var(--quiet); flex: none; align-items: end; }
.fill span:nth-child(even) { border-bottom: .6pt solid var(--text); min-height: 4.6mm; color: var(--text); font-size: 9pt; overflow-wrap: anywhere; }
.top { display: flex; gap: 5mm; margin-top: 2.6mm; }
.top figure { margin: 0; flex: none; }
.top img { display: block; max-width: 44mm; max-height: 76mm; width: auto; height: auto; }
.amounts { flex: 1; min-width: 0; }
h2 { font-size: 7.6pt; text-transform: uppercase; letter-spacing: .07em; margin: 2.2mm 0 .9mm; font-weight: 650; }
.amounts h2:first-child { margin-top: 0; }
table { border-collapse: collapse; width: 100%; }
th { text-align: left; font-weight: 500; color: var(--quiet); font-size: 7pt; border-bottom: .8pt solid var(--text); padding: 0 3mm .5mm 0; }
td { border-bottom: .4pt solid var(--rule); padding: .7mm 3mm .7mm 0; vertical-align: baseline; overflow-wrap: anywhere; }
th.n, td.n { text-align: right; white-space: nowrap; }
td.big { font-weight: 650; font-size: 9.6pt; }
td small { display: block; font-weight: 400; font-size: 6.6pt; line-height: 1.15; color: var(--quiet); }
th:last-child, td:last-child { padding-right: 0; }
.plain { margin: 0; padding: 0; list-style: none; }
.plain li { margin: 0 0 .5mm; }
b { font-weight: 650; }
ol, .cautions ul { margin: 0; padding: 0; list-style: none; columns: 3; column-gap: 5mm; }
ol { counter-reset: step; }
ol li { counter-increment: step; position: relative; padding-left: 5.4mm; margin-bottom: 1mm; break-inside: avoid; }
ol li::before { content: counter(step); position: absolute; left: 0; top: .1mm; width: 3.8mm; height: 3.8mm; border: .7pt solid var(--text); border-radius: 50%; font-size: 6.6pt; line-height: 3.4mm; text-align: center; }
.cautions ul { font-size: 7pt; line-height: 1.25; }
.cautions li { position: relative; padding-left: 2.6mm; margin-bottom: .6mm; break-inside: avoid; }
.cautions li::before { content: "\25B8"; position: absolute; left: -.2mm; color: var(--mark); }
sup { font-size: 5.6pt; line-height: 0; color: var(--quiet); }
.warn { border-left: 2.2pt solid var(--mark); padding: .2mm 0 .2mm 2mm; margin: 1mm 0 0; font-size: 7.6pt; }
.told { color: var(--quiet); font-size: 6.5pt; line-height: 1.25; margin: .8mm 0 0; }
.told b { font-weight: 600; }
.notes { flex: 1 1 0; min-height: 26mm; display: flex; flex-direction: column; }
.notes p { margin: 0 0 .4mm; }
.roomy { font-size: 9.4pt; line-height: 1.38; }
.roomy ol, .roomy .cautions ul { columns: 2; }
.roomy .cautions ul { font-size: 8pt; line-height: 1.3; }
.roomy table { font-size: 10pt; }
.roomy td.big { font-size: 12pt; }
.roomy th { font-size: 8pt; }
.roomy h2 { font-size: 8.6pt; margin: 3.6mm 0 1.2mm; }
.roomy .told { font-size: 7.4pt; }
.dense { font-size: 7.4pt; line-height: 1.25; }
.dense .cautions ul { font-size: 6.4pt; line-height: 1.2; }
.dense td.big { font-size: 8.6pt; }
.dense td { padding-top: .4mm; padding-bottom: .4mm; }
.dense h2 { margin-top: 1.6mm; margin-bottom: .6mm; }
.dense ol li { margin-bottom: .6mm; }
.dense .told { font-size: 6pt; }
.tight { font-size: 7pt; }
.tight td.big { font-size: 7.8pt; }
.tight td small { display: inline; margin-left: 1.2mm; font-size: 6.2pt; }
.tight td { padding-top: .25mm; padding-bottom: .25mm; }
.tight .cautions ul { font-size: 6.2pt; }
.tight .cautions li, .tight ol li { margin-bottom: .3mm; }
.tight .warn { font-size: 6.8pt; margin-top: .6mm; }
.tight .notes { min-height: 20mm; }
.tight .lines div { height: 5.4mm; }
.lines { flex: 1 1 0; min-height: 0; overflow: hidden; }
.lines div { border-bottom: .5pt solid var(--rule); height: 6.6mm; }
)css";

/// Letters as large as the page allows, by eye.
std::string density_of(const DyeCard& card) {
    constexpr std::size_t kRoomy = 6, kUsual = 3, kDense = 9;
    const std::size_t lines = card_lines(card.recipe);
    if (!card.picture && card.recipe.pastes.empty() && lines <= kRoomy) return " roomy";
    return lines <= kUsual ? "" : lines <= kDense ? " dense" : " dense tight";
}

/// Escaped, with numbers tied to their units, so that no line breaks between them.
std::string tied(const std::string& text) {
    std::string out = html_escape(text);
    for (std::size_t i = 1; i + 1 < out.size(); ++i) {
        if (out[i] != ' ' || out[i - 1] < '0' || out[i - 1] > '9') continue;
        for (const std::string_view unit : {"\u00b0", "%", "ml", "l ", "g ", "US "})
            if (out.compare(i + 1, unit.size(), unit) == 0) {
                out.replace(i, 1, "&nbsp;");
                break;
            }
    }
    return out;
}

/// What ends in "(not measured)" is put together, so that it is said once.
std::vector<std::string> told_briefly(const std::vector<std::string>& assumed) {
    static constexpr std::string_view kMark = " (not measured)";
    std::vector<std::string> brief;
    std::string unmeasured;
    for (const std::string& what : assumed)
        if (what.ends_with(kMark))
            unmeasured += (unmeasured.empty() ? "" : ", ") + what.substr(0, what.size() - kMark.size());
        else
            brief.push_back(what);
    if (!unmeasured.empty()) brief.push_back("not measured: " + unmeasured);
    return brief;
}

std::string cell(const std::string& kind, const std::string& content) {
    return "<td" + (kind.empty() ? "" : " class=\"" + kind + "\"") + ">" + content + "</td>";
}

/// "59 ml (1/4 US cup)": what stands in brackets goes on a line of its own.
std::string measured(const std::string& text) {
    const auto bracket = text.find(" (");
    if (bracket == std::string::npos) return html_escape(text);
    return html_escape(text.substr(0, bracket)) + "<small>" +
           html_escape(text.substr(bracket + 2, text.size() - bracket - 3)) + "</small>";
}

/// Writes the card from top to bottom; sources become numbers, told at its foot.
class CardWriter {
public:
    explicit CardWriter(const DyeCard& card) : card_(card), recipe_(card.recipe), units_(recipe_.request.units) {}

    std::string body() && {
        add_head();
        html_ += "<div class=\"top\">\n";
        add_picture();
        html_ += "<div class=\"amounts\">\n";
        add_dyes();
        add_used();
        add_paste();
        add_bath();
        html_ += "</div>\n</div>\n";
        for (const std::string& warning : recipe_.warnings) html_ += "<p class=\"warn\">" + tied(warning) + "</p>\n";
        add_steps();
        add_cautions();
        add_told();
        add_notes();
        return std::move(html_);
    }

private:
    /// The numbers of sources that are told with semicolons between.
    std::string numbers(std::string_view sources) {
        std::string text;
        for (std::size_t from = 0; from <= sources.size();) {
            const std::size_t end = std::min(sources.find("; ", from), sources.size());
            const std::string source(sources.substr(from, end - from));
            const auto found = std::find(sources_.begin(), sources_.end(), source);
            const auto number = found - sources_.begin() + 1;
            if (found == sources_.end()) sources_.push_back(source);
            text += (text.empty() ? "" : ",") + std::to_string(number);
            from = end + 2;
        }
        return "<sup>" + text + "</sup>";
    }

    void add_head() {
        html_ += "<header><div><h1>" + html_escape(card_.title) + "</h1>\n<p>" + tied(total_words(recipe_)) +
                 "</p></div>\n<div class=\"fill\"><span>Batch</span><span>" + html_escape(card_.batch) +
                 "</span><span>Date</span><span></span><span>Dyer</span><span></span></div></header>\n";
    }

    void add_picture() {
        if (!card_.picture) return;
        html_ += "<figure><img src=\"data:image/png;base64," + base64(card_.picture->bytes) + "\" alt=\"" +
                 html_escape(card_.picture->alt) + "\"></figure>\n";
    }

    std::string place_cell(const std::string& place) const {
        for (const PlaceAmount& at : recipe_.places)
            if (at.place.name == place)
                return "painted area<small>covers " + number_text(100 * at.place.covered, 1) + " % of the yarn" +
                       (at.place.strength == 1 ? "" : ", strength " + number_text(at.place.strength, 3)) + "</small>";
        return recipe_.places.empty() ? "all of it" : "all of it, in the bath";
    }

    void add_dyes() {
        if (recipe_.dyes.empty() && recipe_.places.empty()) return;
        html_ +=
            "<h2>Amounts</h2>\n<table><tr><th>Dye</th><th>Goes on</th><th class=\"n\">Yarn</th><th "
            "class=\"n\">Depth</th><th class=\"n\">Stock</th><th class=\"n\">Measure off</th><th class=\"n\">or "
            "dry dye</th></tr>\n";
        std::set<std::string> named;
        for (const DyeAmount& dye : recipe_.dyes) {
            named.insert(dye.wanted.place);
            html_ += "<tr>" + cell("", "<b>" + html_escape(dye.wanted.name) + "</b>") +
                     cell("", place_cell(dye.wanted.place)) + cell("n", fibre_text(dye.fibre, Units::metric)) +
                     cell("n", depth_text(dye.depth)) + cell("n", stock_text(dye.wanted.stock)) +
                     cell("n big", dye.stock ? measured(volume_text(*dye.stock, units_)) : kUnknown) +
                     cell("n", dye.dye ? powder_text(*dye.dye) : kUnknown) + "</tr>\n";
        }
        for (const PlaceAmount& at : recipe_.places)
            if (!named.contains(at.place.name)) add_undyed_place(at);
        html_ += "</table>\n";
    }

    /// An area that no dye is named for; perhaps a paste is.
    void add_undyed_place(const PlaceAmount& at) {
        const bool paste = std::any_of(recipe_.pastes.begin(), recipe_.pastes.end(),
                                       [&](const PasteAmount& one) { return one.given.place == at.place.name; });
        const std::string dye = paste ? "see paste" : kUnknown;
        html_ += "<tr>" + cell("", "<b>" + html_escape(at.place.name) + "</b>") + cell("", place_cell(at.place.name)) +
                 cell("n", fibre_text(at.fibre, Units::metric)) + cell("n", dye) + cell("n", "") +
                 cell("n", paste ? "" : kUnknown) + cell("n", paste ? "" : kUnknown) + "</tr>\n";
    }

    void add_used() {
        if (recipe_.used.empty()) return;
        html_ +=
            "<h2>What went in</h2>\n<table><tr><th>Dye</th><th>Went on</th><th class=\"n\">Stock</th><th "
            "class=\"n\">Used</th><th class=\"n\">That is</th><th class=\"n\">Planned</th></tr>\n";
        for (const UsedAmount& dye : recipe_.used)
            html_ += "<tr>" + cell("", "<b>" + html_escape(dye.used.name) + "</b>") +
                     cell("", place_cell(dye.used.place)) + cell("n", stock_text(dye.used.stock)) +
                     cell("n", dye.used.used ? measured(volume_text(*dye.used.used, units_)) : kUnknown) +
                     cell("n big", depth_text(dye.depth)) + cell("n", dye.planned ? depth_text(dye.planned) : "-") +
                     "</tr>\n";
        html_ += "</table>\n";
    }

    void add_paste() {
        if (recipe_.pastes.empty() && recipe_.steps_paler.empty()) return;
        html_ += "<h2>Paste</h2>\n<ul class=\"plain\">\n";
        for (const PasteAmount& paste : recipe_.pastes) {
            const std::string& place = paste.given.place;
            html_ += "<li>" + (place.empty() ? "" : "<b>" + html_escape(place) + "</b> ") +
                     number_text(paste.given.strength.value, 3) + " g of dye in 100 ml";
            for (const std::string& line : paste_words(paste, units_)) html_ += "; " + tied(line);
            html_ += paste.given.jar ? ".</li>\n" : ". Jar before ............... g, after ............... g.</li>\n";
        }
        if (!recipe_.steps_paler.empty()) html_ += "<li><b>Paler steps</b> ";
        for (std::size_t i = 0; i < recipe_.steps_paler.size(); ++i)
            html_ += (i > 0 ? "; " : "") + number_text(recipe_.steps_paler[i].strength, 3) + ": " +
                     in_words(recipe_.steps_paler[i]);
        if (!recipe_.steps_paler.empty()) html_ += ", never water" + numbers(kCommonPractice) + "</li>\n";
        html_ += "</ul>\n";
    }

    void add_bath() {
        html_ += recipe_.acid ? "<h2>Acid and bath</h2>\n" : "<h2>Bath</h2>\n";
        html_ += "<ul class=\"plain\">\n";
        if (recipe_.acid)
            html_ += "<li><b>Acid</b> " + tied(acid_words(*recipe_.acid, units_)) + numbers(recipe_.acid->source) +
                     "</li>\n";
        html_ += "<li><b>Bath</b> " + tied(bath_words(recipe_)) + numbers(published_ratios().source) + "</li>\n</ul>\n";
    }

    void add_steps() {
        html_ += "<h2>Steps</h2>\n<ol>\n";
        for (const DyeStep& step : recipe_.steps)
            html_ += "<li><b>" + html_escape(std::string(step.heading)) + ".</b> " + tied(step.words) +
                     numbers(step.source) + "</li>\n";
        html_ += "</ol>\n";
    }

    void add_cautions() {
        html_ += "<section class=\"cautions\"><h2>Take care</h2>\n<ul>\n";
        for (const Caution& caution : recipe_.cautions)
            html_ += "<li>" + html_escape(std::string(caution.words)) + numbers(caution.source) + "</li>\n";
        html_ += "</ul></section>\n";
    }

    void add_told() {
        if (!recipe_.assumed.empty()) {
            html_ += "<p class=\"told\"><b>Assumed</b> ";
            const std::vector<std::string> brief = told_briefly(recipe_.assumed);
            for (std::size_t i = 0; i < brief.size(); ++i) html_ += (i > 0 ? "; " : "") + html_escape(brief[i]);
            html_ += "</p>\n";
        }
        html_ += "<p class=\"told\"><b>Sources</b> ";
        for (std::size_t i = 0; i < sources_.size(); ++i)
            html_ += (i > 0 ? "; " : "") + std::to_string(i + 1) + " " + html_escape(sources_[i]);
        html_ += "</p>\n";
    }

    void add_notes() {
        constexpr int kLines = 30;  // more than fit: what the page has no room for is cut off
        html_ += "<section class=\"notes\"><h2>Notes</h2>\n";
        for (const std::string& note : card_.notes) html_ += "<p>" + html_escape(note) + "</p>\n";
        html_ += "<div class=\"lines\">";
        for (int i = 0; i < kLines; ++i) html_ += "<div></div>";
        html_ += "</div></section>\n";
    }

    const DyeCard& card_;
    const Recipe& recipe_;
    Units units_;
    std::string html_;
    std::vector<std::string> sources_;
};

}  // namespace

std::size_t card_lines(const Recipe& recipe) {
    std::set<std::string> rows;
    for (const PlaceAmount& at : recipe.places) rows.insert(at.place.name);
    for (const DyeAmount& dye : recipe.dyes) rows.erase(dye.wanted.place);
    const std::size_t used = recipe.used.empty() ? 0 : recipe.used.size() + 1;
    return rows.size() + recipe.dyes.size() + used + 3 * recipe.pastes.size() + recipe.warnings.size();
}

std::string dye_card_html(const DyeCard& card) {
    std::string html = "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n";
    html += "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n";
    html +=
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; img-src data:; style-src "
        "'unsafe-inline'\">\n";
    html += "<title>" + html_escape(card.title) + "</title>\n<style>" + std::string(kCardStyle) +
            "</style>\n</head>\n<body>\n<main class=\"sheet" + density_of(card) + "\">\n";
    html += CardWriter(card).body();
    html += "</main>\n</body>\n</html>\n";
    return html;
}

}  // namespace loopread
