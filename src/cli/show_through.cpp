#include "cli/show_through.h"

#include <toml++/toml.h>

#include <chrono>
#include <ctime>
#include <sstream>

#include "cli/summary.h"
#include "loopread/base/error.h"
#include "loopread/base/files.h"
#include "loopread/base/text.h"

namespace loopread::cli {
namespace {

const char* const kCannotTell = "cannot tell";

Json figure_json(const ToldFigure& figure) {
    return figure.told() ? Json(rounded(figure.value, 3)) : Json(kCannotTell);
}

void add_figure(Json& json, const std::string& name, const ToldFigure& figure) {
    json[name] = figure_json(figure);
    json[name + "_range"] = {rounded(figure.low, 3), rounded(figure.high, 3)};
    if (!figure.told()) json[name + "_why_not"] = figure.why_not;
}

std::string figure_words(const std::string& name, const ToldFigure& figure) {
    if (!figure.told()) return name + ": cannot tell (" + figure.why_not + ")";
    return name + " " + number_text(figure.value, 2) + " (" + number_text(figure.low, 2) + " to " +
           number_text(figure.high, 2) + " fit about as well)";
}

double share_in(const toml::table& table, const std::string& key, const std::string& file) {
    const auto value = table[key].value<double>();
    if (!value || !(*value >= 0 && *value <= 1))
        throw Error(ErrorKind::input,
                    file + ": " + key + " is not a number from 0 to 1; write it anew with --save-base");
    return *value;
}

}  // namespace

ShowThroughFound show_through_found(const ShowThrough& figures, const OtherSideReading& other) {
    ShowThroughFound found;
    found.figures = figures;
    found.agreement = other.agreement;
    found.turned_over = other.turned_over;
    found.correlation = other.correlation;
    found.mean_shift = other.mean_shift;
    found.largest_shift = other.largest_shift;
    return found;
}

Json show_through_json(const ShowThroughFound& found) {
    const ShowThrough& f = found.figures;
    Json json = {{"lightness_difference", rounded(f.lightness_difference, 2)},
                 {"pale_flecks_share", rounded(f.pale_flecks_share, 4)}};
    add_figure(json, "wrap", f.wrap);
    add_figure(json, "penetration", f.penetration);
    json["residual"] = rounded(f.residual, 4);
    json["painted_share"] = rounded(f.painted_share, 3);
    json["undyed_share"] = rounded(f.ground_share, 3);
    json["light_matched"] = f.light_matched;
    json["agreement"] = found.agreement == Agreement::agree ? "agree" : kCannotTell;
    json["correlation"] = rounded(found.correlation, 3);
    json["turned_over"] = found.turned_over;
    json["mean_shift_stitches"] = rounded(found.mean_shift, 2);
    json["largest_shift_stitches"] = rounded(found.largest_shift, 2);
    return json;
}

std::string show_through_in_words(const ShowThroughFound& found) {
    const ShowThrough& f = found.figures;
    const double lighter = -f.lightness_difference;
    return "Of the painted stitches the other side is " + number_text(std::abs(lighter), 1) + " L* " +
           (lighter >= 0 ? "lighter" : "darker") + (f.light_matched ? "" : " (if both photos were exposed alike)") +
           "; " + number_text(100 * f.pale_flecks_share, 1) + " % of the paint as photographed is pale flecks.\n" +
           "As the two photos tell it: " + figure_words("wrap", f.wrap) + ", " +
           figure_words("penetration", f.penetration) + ".";
}

YarnBase read_base(const std::filesystem::path& file) {
    toml::table table;
    try {
        table = toml::parse(file_bytes(file, 100'000));
    } catch (const toml::parse_error& fault) {
        throw_problems(file.string(),
                       {{static_cast<int>(fault.source().begin.line), std::string(fault.description())}});
    }
    YarnBase base;
    if (table.contains("wrap")) base.wrap = share_in(table, "wrap", file.string());
    if (table.contains("penetration")) base.penetration = share_in(table, "penetration", file.string());
    if (!base.wrap && !base.penetration)
        throw Error(ErrorKind::input,
                    file.string() + ": holds neither wrap nor penetration; write it with --save-base");
    const auto text = [&](const char* key) { return table[key].value_or(std::string()); };
    for (const std::string& part : {text("when"), text("painted_side"), text("other_side")})
        if (!part.empty()) base.measured_on += (base.measured_on.empty() ? "" : ", ") + part;
    if (base.measured_on.empty()) base.measured_on = file.filename().string();
    return base;
}

std::optional<std::string> base_bytes(const ShowThroughFound& found, const std::string& today) {
    const ShowThrough& f = found.figures;
    if (!f.wrap.told() && !f.penetration.told()) return std::nullopt;
    std::ostringstream out;
    out << "# How far dye goes in this yarn, as two photos tell it; read again with --base.\n";
    const auto add = [&](const std::string& name, const ToldFigure& figure) {
        if (!figure.told()) {
            out << "# " << name << ": cannot tell\n";
            return;
        }
        out << name << " = " << number_text(figure.value, 3) << '\n'
            << name << "_range = [" << number_text(figure.low, 3) << ", " << number_text(figure.high, 3) << "]\n";
    };
    add("wrap", f.wrap);
    add("penetration", f.penetration);
    const std::pair<const char*, std::string> texts[] = {
        {"when", today}, {"painted_side", found.painted_name}, {"other_side", found.other_name}};
    for (const auto& [name, text] : texts) out << name << " = " << toml_text(text) << '\n';
    return out.str();
}

std::string today() {
    const std::time_t now = std::chrono::system_clock::to_time_t(std::chrono::system_clock::now());
    std::tm utc{};
    gmtime_r(&now, &utc);
    char text[11];
    std::strftime(text, sizeof text, "%Y-%m-%d", &utc);
    return text;
}

}  // namespace loopread::cli
