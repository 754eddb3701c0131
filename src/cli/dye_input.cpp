#include "cli/dye_input.h"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <map>
#include <set>

#include "cli/option_facts.h"
#include "loopread/base/error.h"
#include "loopread/base/text.h"
#include "loopread/blank/design_picture.h"
#include "loopread/photo/write.h"

namespace loopread::cli {
namespace {

[[noreturn]] void refuse(const std::string& what) {
    throw Error(ErrorKind::usage, what);
}

struct NamedValue {
    std::string name, value;  ///< the name may be empty
};

/// NAME=VALUE, or only VALUE. A name may hold an equals sign, a value cannot.
NamedValue named_value(const std::string& text) {
    const auto equals = text.rfind('=');
    if (equals == std::string::npos) return {"", trimmed(text)};
    return {trimmed(std::string_view(text).substr(0, equals)), trimmed(std::string_view(text).substr(equals + 1))};
}

NamedValue named(const std::string& text, const std::string& option, const std::string& example) {
    NamedValue value = named_value(text);
    if (value.name.empty() || value.value.empty())
        refuse(option + ": '" + text + "' is not NAME=AMOUNT; write it like " + example);
    return value;
}

bool is_unknown(const std::string& text) {
    return text == "unknown" || text == "?";
}

/// 2g/100ml, or 2%.
StockStrength paste_strength(const std::string& text) {
    const auto slash = text.find('/');
    if (slash == std::string::npos) return {parsed_percent(text, "--paste")};
    const Grams dye = parsed_weight(std::string_view(text).substr(0, slash), "--paste");
    const Millilitres liquid = parsed_volume(std::string_view(text).substr(slash + 1), "--paste");
    if (!(liquid.value > 0)) refuse("--paste: '" + text + "' has no liquid; write it like 2g/100ml");
    return {100 * dye.value / liquid.value};
}

WeighedJar weighed_jar(const std::string& text) {
    const auto comma = text.find(',');
    if (comma == std::string::npos)
        refuse("--jar: '" + text + "' is not two weights, before and after; write it like 250g,180g");
    return {parsed_weight(std::string_view(text).substr(0, comma), "--jar"),
            parsed_weight(std::string_view(text).substr(comma + 1), "--jar")};
}

/// 1, 0.5 or 1/2.
double strength_of(const std::string& text) {
    const auto slash = text.find('/');
    const auto over = parsed_number(std::string_view(text).substr(0, slash));
    const auto under = slash == std::string::npos ? std::optional(1.0) : parsed_number(text.substr(slash + 1));
    if (!over || !under || !(*under > 0))
        refuse("--strengths: '" + text + "' is not a strength; write them like 1,1/2,1/4");
    return *over / *under;
}

std::vector<double> strengths_of(const std::string& text) {
    std::vector<double> strengths;
    if (text.empty()) return strengths;
    for (std::size_t from = 0; from <= text.size();) {
        const std::size_t comma = std::min(text.find(',', from), text.size());
        strengths.push_back(strength_of(trimmed(std::string_view(text).substr(from, comma - from))));
        from = comma + 1;
    }
    return strengths;
}

/// Turns words into a request, one option after another.
class RequestReader {
public:
    RequestReader(const DyeOptions& options, const std::optional<DyedDesign>& design)
        : options_(options), design_(design) {}

    DyeRequest read() {
        RecipeRequest& request = out_.request;
        if (options_.fibre.empty()) refuse("--fibre: is missing; weigh the yarn dry and write it like --fibre 100g");
        request.fibre = parsed_weight(options_.fibre, "--fibre");
        if (options_.dyes.empty() && options_.used.empty() && options_.pastes.empty())
            refuse("--dye: no dye is named; write it like --dye blue-1=0.4%");
        request.units = units();
        request.dye_class = dye_class();
        if (design_)
            for (const AreaShare& area : design_->areas)
                request.places.push_back({area.name, area.strength, area.covered, area.dyed});
        read_stocks();
        for (const std::string& text : options_.dyes) read_dye(text);
        for (const std::string& text : options_.used) read_used(text);
        for (const auto& [name, stock] : stocks_)
            if (!asked_stocks_.contains(name)) refuse("--stock: '" + name + "' is no dye of --dye or --used");
        read_pastes();
        request.strengths = strengths_of(options_.strengths);
        request.acid = acid();
        if (!options_.ratio.empty()) request.ratio = ratio();
        request.deep = options_.allow_deep ? RecipeRequest::Deep::allowed : RecipeRequest::Deep::refused;
        if (options_.ratio.empty() && request.dye_class == DyeClass::acid)
            assume("a bath of 30 ml on 1 g of yarn (--ratio)");
        return std::move(out_);
    }

private:
    void assume(const std::string& words) { out_.assumed.push_back(words); }

    Units units() const {
        if (options_.units == "metric") return Units::metric;
        if (options_.units == "us") return Units::us;
        refuse("--units: '" + options_.units + "' is not one of metric, us");
    }

    DyeClass dye_class() {
        if (options_.dye_class.empty()) {
            assume("acid dyes (--class if they are of another kind)");
            return DyeClass::acid;
        }
        if (options_.dye_class == "acid") return DyeClass::acid;
        if (options_.dye_class == "metal-complex") return DyeClass::metal_complex;
        if (options_.dye_class == "reactive") return DyeClass::reactive;
        refuse("--class: '" + options_.dye_class + "' is not one of acid, metal-complex, reactive");
    }

    AcidAtHand acid() const {
        AcidAtHand acid;
        if (options_.acid == "citric")
            acid.kind = AcidKind::citric;
        else if (options_.acid == "acetic")
            refuse(
                "--acid: concentrated acetic acid burns skin and eyes and is not handled here; use vinegar of 4 to 6 % "
                "or citric acid");
        else if (!options_.acid.empty() && options_.acid != "vinegar")
            refuse("--acid: '" + options_.acid + "' is not one of vinegar, citric");
        if (!options_.acid_strength.empty())
            acid.strength_pct = parsed_percent(options_.acid_strength, "--acid-strength");
        check_acid(acid);
        return acid;
    }

    double ratio() const {
        const auto ratio = parsed_number(options_.ratio.substr(0, options_.ratio.rfind(":1")));
        if (!ratio) refuse("--ratio: '" + options_.ratio + "' is not a number; 30 means 30 ml of bath on 1 g of yarn");
        return *ratio;
    }

    void read_stocks() {
        bool all = false;
        for (const std::string& text : options_.stocks) {
            const NamedValue value = named_value(text);
            const StockStrength stock{parsed_percent(value.value, "--stock")};
            if (value.name.empty()) {
                if (all) refuse("--stock: is given twice; write NAME=STRENGTH for a dye of its own");
                all = true;
                stock_ = stock;
                if (!(stock.value > 0))
                    refuse("--stock: a stock of 0 % holds no dye; say how many grams are in 100 ml, like 1%");
            } else if (!stocks_.emplace(value.name, stock).second) {
                refuse("--stock: '" + value.name + "' is named twice");
            }
        }
        stock_said_ = all;
    }

    bool is_area(const std::string& name) const {
        const auto& places = out_.request.places;
        return std::any_of(places.begin(), places.end(), [&](const DyedPlace& p) { return p.name == name; });
    }

    /// AREA, or AREA:DYE where an area takes more than one; anything else is dyed in the bath.
    struct Whereabouts {
        std::string place, dye;
    };
    Whereabouts whereabouts(const std::string& name) const {
        if (is_area(name)) return {name, name};
        for (auto colon = name.find(':'); colon != std::string::npos; colon = name.find(':', colon + 1)) {
            const std::string area = trimmed(std::string_view(name).substr(0, colon));
            if (is_area(area)) return {area, trimmed(std::string_view(name).substr(colon + 1))};
        }
        return {"", name};
    }

    StockStrength stock_of(const std::string& name, const std::string& dye) {
        for (const std::string& one : {name, dye})
            if (const auto found = stocks_.find(one); found != stocks_.end()) {
                asked_stocks_.insert(one);
                return found->second;
            }
        if (!stock_said_ && !stock_assumed_) {
            assume("stock of 1 %, 1 g in 100 ml (--stock)");
            stock_assumed_ = true;
        }
        return stock_;
    }

    void tell_bath(const Whereabouts& where) {
        if (!design_ || !where.place.empty()) return;
        std::string names;
        for (const DyedPlace& place : out_.request.places) names += (names.empty() ? "" : ", ") + place.name;
        assume("'" + where.dye + "' goes in the bath, as it is no area of " + design_->name +
               (names.empty() ? "" : " (" + names + ")"));
    }

    void read_dye(const std::string& text) {
        const NamedValue value = named(text, "--dye", "blue-1=0.4% or blue-1=unknown");
        const Whereabouts where = whereabouts(value.name);
        WantedDye dye{value.name, where.place, {}, stock_of(value.name, where.dye)};
        if (!is_unknown(value.value)) dye.depth = DepthOfShade{parsed_percent(value.value, "--dye")};
        tell_bath(where);
        out_.request.dyes.push_back(dye);
    }

    void read_used(const std::string& text) {
        const NamedValue value = named(text, "--used", "blue-1=5ml or blue-1=unknown");
        const Whereabouts where = whereabouts(value.name);
        UsedDye dye{value.name, where.place, {}, stock_of(value.name, where.dye)};
        if (!is_unknown(value.value)) dye.used = parsed_volume(value.value, "--used");
        out_.request.used.push_back(dye);
    }

    std::string paste_place(const std::string& name, const std::string& option) const {
        const auto& places = out_.request.places;
        if (is_area(name)) return name;
        if (name.empty() && places.size() <= 1) return places.empty() ? "" : places.front().name;
        if (places.empty()) refuse(option + ": '" + name + "' is no area, as there is no --design; leave the name out");
        std::string names;
        for (const DyedPlace& place : places) names += (names.empty() ? "" : ", ") + place.name;
        refuse(option + ": say which area, like '" + places.front().name + "=...'; there are " + names);
    }

    void read_pastes() {
        std::map<std::string, WeighedJar> jars;
        for (const std::string& text : options_.jars) {
            const NamedValue value = named_value(text);
            if (!jars.emplace(paste_place(value.name, "--jar"), weighed_jar(value.value)).second)
                refuse("--jar: '" + text + "' is a second jar for one area; add up their weights");
        }
        for (const std::string& text : options_.pastes) {
            const NamedValue value = named_value(text);
            JarOfPaste paste{paste_place(value.name, "--paste"), paste_strength(value.value), {}};
            if (const auto jar = jars.find(paste.place); jar != jars.end()) {
                paste.jar = jar->second;
                jars.erase(jar);
            }
            out_.request.pastes.push_back(paste);
        }
        if (!jars.empty()) refuse("--jar: needs a --paste to go with it, like --paste 2g/100ml");
    }

    const DyeOptions& options_;
    const std::optional<DyedDesign>& design_;
    DyeRequest out_;
    StockStrength stock_{1.0};
    bool stock_said_ = false, stock_assumed_ = false;
    std::map<std::string, StockStrength> stocks_;
    std::set<std::string> asked_stocks_;
};

/// Layers that share a name get numbers, so that each can be named.
void number_names(std::vector<AreaShare>& areas) {
    std::set<std::string> names;
    for (AreaShare& area : areas) {
        const std::string name = area.name;
        for (int number = 2; !names.insert(area.name).second; ++number) area.name = name + " " + std::to_string(number);
    }
}

PagePicture design_figure(const Paint& paint, const std::string& name) {
    constexpr int kRows = 720;  // at the size it is printed, finer than the eye
    const Picture8 picture = encoded(design_picture(paint, kRows));
    return {png_bytes(picture), "the design " + name + " as it lies on the blank", name, picture.columns(),
            picture.rows()};
}

}  // namespace

void add_dyeing(CLI::App& command, DyeOptions& o) {
    const auto option = [&](const std::string& name, auto& value, const std::string& text) {
        return command.add_option(name, value, text);
    };
    const auto list = [&](const std::string& name, std::vector<std::string>& value, const std::string& text) {
        return command.add_option(name, value, text)->allow_extra_args(false);
    };
    option("--fibre", o.fibre, "weight of the dry yarn, like 100g, 4oz or 1lb");
    list("--dye", o.dyes,
         "one dye and its depth, once for each dye: blue-1=0.4% is 0.4 g of dry dye on 100 g of yarn, unknown where "
         "nobody knows. With --design the name is that of an area, or AREA:DYE; any other goes in the bath");
    list("--stock", o.stocks, "grams of dye in 100 ml of stock, like 2%, or black=2% for one dye (1%)");
    list("--used", o.used, "what went in, to learn what depth that was: blue-1=5ml, 2tsp or unknown");
    option("--design", o.design, "a picture of the blank or a design.toml: amounts for each painted area");
    option("--areas", o.areas, "areas that a flat picture is parted into at the most, 1 to 24")
        ->capture_default_str()
        ->check([](const std::string& typed) {
            const long long areas = parsed_whole(typed).value_or(0);
            return std::string(areas >= 1 && areas <= 24 ? "" : "'" + typed + "' does not lie between 1 and 24");
        });
    list("--paste", o.pastes, "dye in the paste, like 2g/100ml; with AREA= where there are several");
    list("--jar", o.jars, "weight of the jar of paste before and after painting, like 250g,180g");
    option("--strengths", o.strengths, "paler steps of the paste, like 1,1/2,1/4");
    option("--acid", o.acid, "the acid you have (vinegar)");
    option("--acid-strength", o.acid_strength,
           "grams of acid in 100 ml, as on the label (vinegar 5%; citric as dry crystals)");
    option("--ratio", o.ratio, "ml of bath on 1 g of yarn (30)");
    option("--class", o.dye_class, "kind of dye; acid and heat are given for acid dyes only (acid)");
    option("--units", o.units, "us adds ounces, US spoons and cups and degrees Fahrenheit")->capture_default_str();
    command.add_flag("--allow-deep", o.allow_deep, "allow more than 8 % of dye on the yarn");
    option("--batch", o.batch, "a name or number for the batch, printed on the card");
    list("--note", o.notes, "a line for the notes of the card; may be given again");
    option("--record", o.record, "write every setting to this file, to dye the same again");
    option("--from-record", o.from_record,
           "read the settings from a file of --record; what is typed beside it goes before it, like --fibre 250g");
    say_values(command, {{"--fibre", "WEIGHT"},
                         {"--dye", "NAME=DEPTH"},
                         {"--stock", "[DYE=]STRENGTH"},
                         {"--used", "NAME=AMOUNT"},
                         {"--design", "FILE"},
                         {"--paste", "[AREA=]WEIGHT/VOLUME"},
                         {"--jar", "[AREA=]BEFORE,AFTER"},
                         {"--strengths", "PARTS"},
                         {"--acid", "vinegar|citric"},
                         {"--acid-strength", "PERCENT"},
                         {"--ratio", "NUMBER"},
                         {"--class", "acid|metal-complex|reactive"},
                         {"--units", "metric|us"},
                         {"--batch", "NAME"},
                         {"--note", "WORDS"},
                         {"--record", "FILE"},
                         {"--from-record", "FILE"}});
}

DyedDesign read_dyed_design(const DyeOptions& options, Outputs& outputs) {
    BlankSource source(options.design, options.blank, outputs);
    const WindingOptions winding = winding_options(options.blank, options.common.seed);
    DyedDesign design;
    design.name = options.design.stem().string();
    Paint paint = source.paint(source.asked_lay());
    design.picture = design_figure(paint, design.name);
    std::vector<double> strengths;
    if (source.design()) {
        for (const DesignLayer& layer : source.design()->layers) strengths.push_back(layer.strength);
        design.assumed.emplace_back(
            "depths are those of full strength; each layer's strength thins it, and its penetration says how far the "
            "dye goes");
    } else {
        constexpr double kOfGround = 6;  // CIEDE2000, chosen: loops and paper differ by less
        paint = colour_areas(paint, options.areas, kOfGround, options.common.seed).paint;
        strengths.assign(paint.layers.size(), 1.0);
        design.assumed.push_back("the painted areas are where the picture's " + std::to_string(strengths.size()) +
                                 " colours lie, without the ground (--areas)");
    }
    paint = source.crept(std::move(paint));
    const BlankInput blank = source.blank();
    design.areas = painted_areas(blank.layout, paint, blank.shape, blank.shares, winding, strengths);
    number_names(design.areas);
    design.assumed.insert(design.assumed.begin(), blank.assumed.begin(), blank.assumed.end());
    design.warnings = blank.warnings;
    return design;
}

DyeRequest read_dyeing(const DyeOptions& options, const std::optional<DyedDesign>& design) {
    return RequestReader(options, design).read();
}

DyeRequest for_other_weight(const DyeOptions& options, const std::optional<DyedDesign>& design, Grams fibre) {
    DyeRequest dyeing = read_dyeing(options, design);
    RecipeRequest& request = dyeing.request;
    std::vector<std::string> dyes = options.dyes;
    for (const UsedAmount& used : recipe(request).used) {
        const auto planned = std::any_of(request.dyes.begin(), request.dyes.end(),
                                         [&](const WantedDye& dye) { return dye.name == used.used.name; });
        if (planned) continue;
        request.dyes.push_back({used.used.name, used.used.place, used.depth, used.used.stock});
        dyes.push_back(used.used.name + "=" + (used.depth ? number_text(used.depth->value, 9) + "%" : "unknown"));
    }
    const auto weighed = [](const JarOfPaste& paste) { return paste.jar.has_value(); };
    if (!request.used.empty() || std::any_of(request.pastes.begin(), request.pastes.end(), weighed))
        dyeing.assumed.push_back("what went in and what the jars weighed was for " +
                                 fibre_text(request.fibre, Units::metric) + " of yarn: it is left out");
    request.used.clear();
    for (JarOfPaste& paste : request.pastes) paste.jar.reset();
    request.fibre = fibre;
    dyeing.changed = {{"dye", dyes}, {"used", {}}, {"jar", {}}};
    return dyeing;
}

}  // namespace loopread::cli
