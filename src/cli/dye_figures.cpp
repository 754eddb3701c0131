#include "cli/dye_figures.h"

#include "loopread/base/text.h"

namespace loopread::cli {
namespace {

struct FigureSources {
    std::optional<double> typed, once;
    const ToldFigure* told = nullptr;
    double usual = 0;
};

std::string replaced_number(const std::string& words, double value) {
    const auto place = words.find('%');
    return words.substr(0, place) + number_text(value, 2) + words.substr(place + 1);
}

}  // namespace

DyeFigures dye_figures(const BlankOptions& options, const std::optional<YarnBase>& base, const ShowThrough* told,
                       Penetration penetration) {
    DyeFigures figures;
    const auto settled = [&](const FigureSources& from, const std::string& name, const std::string& words) {
        if (from.typed) return *from.typed;
        const bool is_told = from.told != nullptr && from.told->told();
        const double value = from.once ? *from.once : is_told ? from.told->value : from.usual;
        const std::string source = from.once ? "measured on " + base->measured_on
                                   : is_told ? std::string("as these two photos tell it")
                                             : std::string("not measured");
        figures.assumed.push_back(replaced_number(words, value) + " (" + name + ", " + source + ")");
        return value;
    };
    const YarnBase once = base.value_or(YarnBase{});
    if (penetration == Penetration::of_all || once.penetration)
        figures.penetration = settled({options.penetration, once.penetration,
                                       told != nullptr ? &told->penetration : nullptr, kDefaultPenetration},
                                      "penetration", "dye reached % of the yarn hidden in the loops");
    figures.wrap = settled({options.wrap, once.wrap, told != nullptr ? &told->wrap : nullptr, kDefaultWrap}, "wrap",
                           "paint goes % of the way round a thread");
    return figures;
}

}  // namespace loopread::cli
