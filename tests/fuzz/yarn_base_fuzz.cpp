// The file of --save-base: wrap and penetration as measured on a yarn.

#include <cmath>

#include "cli/show_through.h"
#include "fuzz/promises.h"

namespace {

using namespace loopread;
using fuzz::hold;

constexpr std::size_t kMostBytes = 5000;
constexpr double kLastDigit = 0.0005 + 1e-12;  // the file has three decimals
constexpr const char* kDay = "2025-04-30";

ToldFigure told(const std::optional<double>& value) {
    ToldFigure figure;
    if (value)
        figure.value = *value;
    else
        figure.why_not = "nobody said";
    return figure;
}

void hold_share(const std::optional<double>& share) {
    hold(!share || (*share >= 0 && *share <= 1), "a share lies between 0 and 1");
}

bool agree(const std::optional<double>& one, const std::optional<double>& other) {
    return one.has_value() == other.has_value() && (!one || std::abs(*one - *other) <= kLastDigit);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (size > kMostBytes) return 0;
    const fuzz::InputFile file(fuzz::text_of(data, size));
    const auto base = fuzz::unless_refused([&] { return cli::read_base(file.path()); });
    if (!base) return 0;
    hold(base->wrap || base->penetration, "a base tells something");
    hold_share(base->wrap);
    hold_share(base->penetration);
    cli::ShowThroughFound found;
    found.figures.wrap = told(base->wrap);
    found.figures.penetration = told(base->penetration);
    found.painted_name = base->measured_on;
    file.write(cli::base_bytes(found, kDay).value());
    const cli::YarnBase again = cli::read_base(file.path());
    hold(agree(again.wrap, base->wrap) && agree(again.penetration, base->penetration), "figures read back");
    hold(again.measured_on == std::string(kDay) + ", " + base->measured_on, "words read back");
    return 0;
}
