#include "cli/options.h"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cmath>

#include "cli/option_facts.h"
#include "loopread/base/error.h"
#include "loopread/base/text.h"
#include "loopread/blank/defaults.h"
#include "loopread/fabric/fabric.h"
#include "loopread/loop/shape.h"
#include "loopread/shape/garments.h"

namespace loopread::cli {
namespace {

/// The value that goes with a word, or a usage error that lists the words.
template <class T>
T chosen(const std::string& option, const std::string& word, const std::vector<std::pair<std::string, T>>& choices) {
    std::string words;
    for (const auto& [name, value] : choices) {
        if (name == word) return value;
        words += (words.empty() ? "" : ", ") + name;
    }
    throw Error(ErrorKind::usage, option + ": '" + word + "' is not one of " + words);
}

void check_share(const std::string& option, double value) {
    if (!(value >= 0 && value <= 1)) throw Error(ErrorKind::usage, option + ": must lie between 0 and 1");
}

Gauge read_gauge(const std::string& text) {
    const auto cross = text.find('x');
    const auto stitches = parsed_number(std::string_view(text).substr(0, cross));
    const auto rows =
        cross == std::string::npos ? std::nullopt : parsed_number(std::string_view(text).substr(cross + 1));
    if (!stitches || !rows)
        throw Error(ErrorKind::usage, "--gauge: '" + text + "' is not stitches x rows in 10 cm; write it like 32x42");
    const Gauge gauge{*stitches, *rows};
    check_gauge(gauge);
    return gauge;
}

/// With less yarn no loop reaches over its own width, however it is drawn.
void check_stitch(const Knitting& knitting, const std::string& option) {
    const double widths = knitting.yarn_per_stitch / knitting.gauge.stitch_width();
    if (widths < least_loop_length())
        throw Error(ErrorKind::usage, option + ": leaves a stitch " + number_text(widths, 2) +
                                          " times its own width of yarn, and a knitted loop needs " +
                                          number_text(least_loop_length(), 2) +
                                          " times; check it against the size of a stitch");
}

}  // namespace

void add_common(CLI::App& command, CommonOptions& options, const std::string& output_is) {
    if (!output_is.empty()) {
        command.add_option("-o,--output", options.output, output_is)->required()->check([](const std::string& typed) {
            return std::string(typed.empty() ? "is empty; name where the results go" : "");
        });
        say_values(command, {{"--output", "FOLDER"}});
    }
    command.add_flag("--json", options.json, "print the summary for other programs (JSON), and nothing else");
    command
        .add_option("--seed", options.seed, "steers all that is left to chance; the same number gives the same files")
        ->capture_default_str()
        ->check([](const std::string& typed) {
            const bool good = parsed_whole(typed).value_or(-1) >= 0;
            return good ? std::string() : "'" + typed + "' is not a whole number from 0";
        });
    command.add_option("--config", options.config, "a text file (TOML) of options, a line each, like stitches = 72");
    say_values(command, {{"--config", "FILE"}, {"--seed", "NUMBER"}});
}

void add_blank(CLI::App& command, BlankOptions& o) {
    const std::string group = "The blank";
    const auto option = [&](const std::string& name, auto& value, const std::string& text) {
        return command.add_option(name, value, text)->group(group)->capture_default_str();
    };
    option("--blank", o.blank,
           "stitches across x rows. Count, size, strand length and loop follow from one another: give what you "
           "measured (46x214)");
    option("--size", o.size, "width x length, lying flat (24x86cm)");
    option("--counted", o.counted,
           "stitches x rows that you counted in 10 cm of the blank itself, like 19x25: with --size it gives --blank; "
           "what you will knit is --gauge");
    option("--strands", o.strands, "strands held together in the blank (2)");
    option("--strand-length", o.strand_length, "yarn in one strand (211m)");
    option("--loop", o.loop, "yarn in one loop (21.4mm)");
    option("--construction", o.construction, "knitted to and fro as one layer, or round as two");
    option("--ravel-edge", o.ravel_edge, "where in the picture the blank comes apart");
    option("--tail", o.tail, "where the loose end hangs, ravel edge on top");
    option("--rotate", o.rotate, "lay the design turned clockwise by so many degrees");
    command.add_flag("--mirror", o.mirror, "lay the design mirrored left-right")->group(group);
    option(
        "--fit", o.fit,
        "stretch: the picture is the blank; tile: it repeats at true scale; cover: it fills the blank and is cut off "
        "where it hangs over (stretch; after a quarter turn tile)");
    option("--painted", o.painted, "the side you painted: its face is the knit side, its back the purl side");
    option(
        "--corners", o.corners,
        "where the blank lies in a photo, clockwise from its top left, in pixels of the upright picture; or picture: "
        "it fills the picture (found by itself)");
    option("--white", o.white,
           "a white or grey patch in a photo: left, top, width and height in pixels of the upright picture");
    option("--other-side", o.other_side,
           "a picture of the other side, ravel edge where it is in the first; a photo may lie any way round");
    option("--other-corners", o.other_corners, "as --corners, in the photo of the other side (found by itself)");
    option("--other-white", o.other_white, "as --white, in the photo of the other side");
    option("--ground", o.ground,
           "what the paint went on: undyed yarn, a dip that is told from the picture (auto), a colour, or a picture");
    option("--undyed", o.undyed, "colour of the undyed yarn");
    option("--wrap", o.wrap, "how far paint goes round a thread: 0 not at all, 1 all round (0.7)");
    option("--penetration", o.penetration,
           "how much of the yarn hidden in the loops the dye reached: 0 none, 1 all (0.4; of a layered design each "
           "layer's own)");
    option(
        "--base", o.base,
        "a file of --save-base: wrap and penetration as measured on this yarn; --wrap and --penetration go before it");
    option("--creep", o.creep, "how far a painted edge spreads sideways before it sets (2mm; of a photo 0mm)");
    option("--treat-as", o.treat_as,
           "what the picture is: a blank as photographed, or a flat design (told from the file)");
    option("--winding", o.turn, "yarn in which the two strands turn once about each other")
        ->each([&o](const std::string&) { o.turn_given = true; });
    option("--wander", o.wander, "how unevenly they turn: degrees off in 10 cm")->each([&o](const std::string&) {
        o.wander_given = true;
    });
    option("--max-megapixels", o.max_megapixels, "larger pictures are refused");
    option("--colour", o.colours, "a colour name of your own, like fog=#d0d4d8; once for each")
        ->allow_extra_args(false);  // once for each name: else it would take the INPUT after it for a colour too
    say_values(command, {{"--blank", "STITCHESxROWS"},
                         {"--size", "WIDTHxLENGTH"},
                         {"--counted", "STITCHESxROWS"},
                         {"--strands", "1|2"},
                         {"--strand-length", "LENGTH"},
                         {"--loop", "LENGTH"},
                         {"--construction", "flat|tube"},
                         {"--ravel-edge", "top|bottom|left|right"},
                         {"--tail", "left|right"},
                         {"--rotate", "0|90|180|270"},
                         {"--fit", "stretch|tile|cover"},
                         {"--painted", "face|back|knit-side|purl-side"},
                         {"--corners", "picture|X,Y,X,Y,X,Y,X,Y"},
                         {"--white", "X,Y,W,H"},
                         {"--other-side", "FILE"},
                         {"--other-corners", "picture|X,Y,X,Y,X,Y,X,Y"},
                         {"--other-white", "X,Y,W,H"},
                         {"--ground", "undyed|auto|COLOUR|FILE"},
                         {"--undyed", "COLOUR"},
                         {"--wrap", "SHARE"},
                         {"--penetration", "SHARE"},
                         {"--base", "FILE"},
                         {"--creep", "LENGTH"},
                         {"--treat-as", "photo|design"},
                         {"--winding", "LENGTH"},
                         {"--wander", "DEGREES"},
                         {"--colour", "NAME=COLOUR"}});
}

std::vector<double> parsed_numbers(const std::string& text, std::size_t count, const std::string& option,
                                   const std::string& example) {
    std::vector<double> numbers;
    for (std::size_t from = 0; from <= text.size();) {
        const std::size_t comma = std::min(text.find(',', from), text.size());
        const auto number = parsed_number(std::string_view(text).substr(from, comma - from));
        if (!number) break;
        numbers.push_back(*number);
        from = comma + 1;
        if (comma == text.size() && numbers.size() == count) return numbers;
    }
    throw Error(ErrorKind::usage,
                option + ": '" + text + "' is not " + std::to_string(count) + " numbers; write them like " + example);
}

LengthPair size_of(const CountPair& blank, const Density& counted, Construction construction) {
    const int columns = construction == Construction::tube ? (blank.first + 1) / 2 : blank.first;
    return {Millimetres{100 * columns / counted.stitches}, Millimetres{100 * blank.second / counted.rows}};
}

std::optional<Density> counted_density(const BlankOptions& o) {
    if (o.counted.empty()) return std::nullopt;
    const auto cross = o.counted.find('x');
    const auto stitches = parsed_number(std::string_view(o.counted).substr(0, cross));
    const auto rows =
        cross == std::string::npos ? std::nullopt : parsed_number(std::string_view(o.counted).substr(cross + 1));
    constexpr double kMost = 200;  // in 10 cm: half a millimetre each
    if (!stitches || !rows || !(*stitches > 0 && *stitches <= kMost && *rows > 0 && *rows <= kMost))
        throw Error(ErrorKind::usage,
                    "--counted: '" + o.counted + "' is not stitches x rows in 10 cm of the blank; write it like 19x25");
    return Density{*stitches, *rows};
}

std::vector<std::string> density_warnings(const BlankOptions& o, double stitches, double rows) {
    // Sock yarn is knitted at 27 to 32 stitches in 10 cm (Craft Yarn Council, Standard Yarn Weight System, category 1).
    // Blanks are knitted looser, the usual one at 19: the band goes down to half of that figure. chosen
    constexpr double kFewest = 27.0 / 2, kMost = 32;
    constexpr double kCountsDiffer = 0.05;
    std::vector<std::string> warnings;
    if (stitches < kFewest || stitches > kMost)
        warnings.push_back(number_text(stitches, 1) +
                           " stitches in 10 cm look unlikely for a blank of sock yarn (13.5 to 32 are usual): check "
                           "--size or --corners");
    const std::optional<Density> counted = counted_density(o);
    const auto differs = [](double one, double other) { return std::abs(one - other) > kCountsDiffer * other; };
    if (counted && (differs(stitches, counted->stitches) || differs(rows, counted->rows)))
        warnings.push_back("--counted says " + o.counted + " in 10 cm, the blank comes out at " +
                           number_text(stitches, 1) + "x" + number_text(rows, 1) +
                           "; count again by hand, or check --size and --corners");
    return warnings;
}

GivenMeasures given_measures(const BlankOptions& o) {
    GivenMeasures given;
    if (!o.blank.empty()) given.blank = parsed_count_pair(o.blank, "--blank");
    if (!o.size.empty()) given.size = parsed_length_pair(o.size, "--size");
    if (!o.strand_length.empty()) given.strand_length = parsed_length(o.strand_length, "--strand-length");
    if (!o.loop.empty()) given.loop = parsed_length(o.loop, "--loop");
    given.strands = o.strands;
    given.construction = chosen<Construction>("--construction", o.construction,
                                              {{"flat", Construction::flat}, {"tube", Construction::tube}});
    if (const std::optional<Density> counted = counted_density(o)) {
        const int layers = given.construction == Construction::tube ? 2 : 1;
        if (given.size && !given.blank)
            given.blank = CountPair{
                layers * std::max(1, static_cast<int>(std::lround(given.size->first.value * counted->stitches / 100))),
                std::max(1, static_cast<int>(std::lround(given.size->second.value * counted->rows / 100)))};
        else if (given.blank && !given.size)
            given.size = size_of(*given.blank, *counted, given.construction);
    }
    return given;
}

Lay chosen_lay(const BlankOptions& o) {
    Lay lay;
    lay.ravel_edge = chosen<RavelEdge>("--ravel-edge", o.ravel_edge,
                                       {{"top", RavelEdge::top},
                                        {"bottom", RavelEdge::bottom},
                                        {"left", RavelEdge::left},
                                        {"right", RavelEdge::right}});
    lay.rotate = chosen<QuarterTurn>("--rotate", o.rotate,
                                     {{"0", QuarterTurn::none},
                                      {"90", QuarterTurn::clockwise_90},
                                      {"180", QuarterTurn::clockwise_180},
                                      {"270", QuarterTurn::clockwise_270}});
    lay.mirror = o.mirror ? Mirror::left_right : Mirror::no;
    lay.fit = o.fit.empty() ? usual_fit(lay.rotate)
                            : chosen<Fit>("--fit", o.fit,
                                          {{"stretch", Fit::stretch}, {"tile", Fit::tile}, {"cover", Fit::cover}});
    return lay;
}

Tail chosen_tail(const BlankOptions& o) {
    return chosen<Tail>("--tail", o.tail, {{"left", Tail::left}, {"right", Tail::right}});
}

Painted chosen_side(const BlankOptions& o) {
    return chosen<Painted>("--painted", o.painted,
                           {{"face", Painted::face},
                            {"back", Painted::back},
                            {"knit side", Painted::face},
                            {"purl side", Painted::back},
                            {"knit-side", Painted::face},
                            {"purl-side", Painted::back}});
}

void check_paint(const BlankOptions& o) {
    if (o.wrap) check_share("--wrap", *o.wrap);
    if (o.penetration) check_share("--penetration", *o.penetration);
    if (!(o.max_megapixels > 0)) throw Error(ErrorKind::usage, "--max-megapixels: must be over 0");
}

ColourBook colour_book(const BlankOptions& o) {
    ColourBook book;
    for (const std::string& colour : o.colours) book.add(colour);
    return book;
}

WindingOptions winding_options(const BlankOptions& o, std::uint64_t seed) {
    if (!(o.wander >= 0 && o.wander <= 3600))
        throw Error(ErrorKind::usage, "--wander: must lie between 0 and 3600 degrees");
    return {parsed_length(o.turn, "--winding"), {o.wander}, seed};
}

void add_knitting(CLI::App& command, KnitOptions& o) {
    const std::string group = "The knitting";
    const auto option = [&](const std::string& name, auto& value, const std::string& text) {
        return command.add_option(name, value, text)->group(group)->capture_default_str();
    };
    option("--stitches", o.stitches, "stitches in a round (64; of a hat, scarf, cowl or shawl its usual width)");
    option("--gauge", o.gauge, "stitches x rows in 10 cm of your knitting (32x42)");
    option("--yarn-per-stitch", o.yarn_per_stitch, "yarn in one stitch of your knitting (from the gauge: 13.1mm)");
    option("--yarn-per-round", o.yarn_per_round,
           "yarn in one round, measured in your own knitting (from stitches and gauge: 83.9cm)");
    option("--shape", o.shape, "what you knit: a tube in the round, a flat piece to and fro, or a garment");
    option("--rounds", o.rounds,
           "rounds or rows to knit; of a sock give its lengths instead (all the yarn gives; of a garment its usual "
           "length)");
    option("--strand", o.strand, "which ball is knitted: 1 is ball A, 2 is ball B");
    option("--start", o.start, "which end is knitted first; the ravel end came off the blank first");
    option("--alternate", o.alternate, "change between two ends of yarn every so many rounds");
    const std::string sock = "A sock";
    const auto sock_option = [&](const std::string& name, std::string& value, const std::string& text) {
        return command.add_option(name, value, text)->group(sock);
    };
    sock_option("--heel", o.heel, "with a flap and gusset, of short rows, or put in last (flap)");
    command.add_flag("--from-toe", o.from_toe, "knitted from the toe up")->group(sock);
    command.add_flag("--ribbed-leg", o.ribbed_leg, "the leg in rib, like the cuff")->group(sock);
    sock_option("--foot-round", o.foot_round, "around the ball of the foot, like 22cm: gives the stitches");
    sock_option("--foot-length", o.foot_length, "heel to tip of the toe, like 24cm (50 rounds between heel and toe)");
    sock_option("--leg", o.leg, "length of the leg below the cuff, like 14cm (60 rounds)");
    sock_option("--cuff", o.cuff, "length of the ribbed cuff, like 4cm (16 rounds)");
    say_values(command, {{"--gauge", "STITCHESxROWS"},
                         {"--yarn-per-stitch", "LENGTH"},
                         {"--yarn-per-round", "LENGTH"},
                         {"--shape", "tube|flat|sock|hat|scarf|cowl|shawl"},
                         {"--strand", "1|2|both|A|B"},
                         {"--start", "ravel-end|far-end"},
                         {"--heel", "flap|short-row|afterthought"},
                         {"--foot-round", "LENGTH"},
                         {"--foot-length", "LENGTH"},
                         {"--leg", "LENGTH"},
                         {"--cuff", "LENGTH"}});
}

namespace {

/// The sock's own options, or a usage error where they are given for something else.
SockCut sock_cut(const KnitOptions& o, const std::string& shape) {
    SockCut cut;
    const std::pair<const char*, bool> given[] = {{"--heel", !o.heel.empty()},
                                                  {"--from-toe", o.from_toe},
                                                  {"--ribbed-leg", o.ribbed_leg},
                                                  {"--foot-round", !o.foot_round.empty()},
                                                  {"--foot-length", !o.foot_length.empty()},
                                                  {"--leg", !o.leg.empty()},
                                                  {"--cuff", !o.cuff.empty()}};
    for (const auto& [name, is_given] : given)
        if (is_given && shape != "sock")
            throw Error(ErrorKind::usage, std::string(name) + ": is for a sock; add --shape sock, or leave it out");
    if (!o.heel.empty())
        cut.heel =
            chosen<Heel>("--heel", o.heel,
                         {{"flap", Heel::flap}, {"short-row", Heel::short_row}, {"afterthought", Heel::afterthought}});
    cut.start = o.from_toe ? Start::toe : Start::cuff;
    cut.leg = o.ribbed_leg ? Texture::rib : Texture::plain;
    if (!o.foot_round.empty()) cut.foot_round = parsed_length(o.foot_round, "--foot-round");
    if (!o.foot_length.empty()) cut.foot_length = parsed_length(o.foot_length, "--foot-length");
    if (!o.leg.empty()) cut.leg_length = parsed_length(o.leg, "--leg");
    if (!o.cuff.empty()) cut.cuff_length = parsed_length(o.cuff, "--cuff");
    return cut;
}

/// Stitches of the plain rounds; where there is none, of the longest row.
int stitches_of(const Garment& garment) {
    int plain = 0, most = 0;
    for (const Round& round : garment.rounds) {
        most = std::max(most, round.stitches);
        if (counts_for_pooling(round)) plain = std::max(plain, round.stitches);
    }
    return plain > 0 ? plain : most;
}

void settle_shape(Knitting& knitting, const KnitOptions& o) {
    std::vector<std::pair<std::string, std::string>> shapes;
    for (const std::string_view name : shape_names()) shapes.emplace_back(name, name);
    knitting.shape = chosen<std::string>("--shape", o.shape, shapes);
    if (o.stitches && (*o.stitches < 1 || *o.stitches > 2000))
        throw Error(ErrorKind::usage, "--stitches: must lie between 1 and 2000");
    if (o.rounds && (*o.rounds < 1 || *o.rounds > 100'000))
        throw Error(ErrorKind::usage, "--rounds: must lie between 1 and 100,000");
    knitting.size = {
        .stitches = o.stitches, .rounds = o.rounds, .gauge = knitting.gauge, .sock = sock_cut(o, knitting.shape)};
    const bool by_yarn = knitting.shape == "tube" || knitting.shape == "flat";
    if (by_yarn && !o.stitches) knitting.size.stitches = 64;
    GarmentSize tried = knitting.size;
    if (by_yarn) tried.rounds = 1;
    knitting.stitches = stitches_of(garment(knitting.shape, tried));
}

void settle_yarn(Knitting& knitting, const KnitOptions& o) {
    if (!o.yarn_per_stitch.empty() && !o.yarn_per_round.empty())
        throw Error(ErrorKind::usage, "--yarn-per-round: give it or --yarn-per-stitch, not both");
    if (!o.yarn_per_round.empty()) {
        knitting.yarn_per_stitch = parsed_length(o.yarn_per_round, "--yarn-per-round") / knitting.stitches;
    } else if (!o.yarn_per_stitch.empty()) {
        knitting.yarn_per_stitch = parsed_length(o.yarn_per_stitch, "--yarn-per-stitch");
    } else {
        knitting.yarn_per_stitch = yarn_per_stitch(knitting.gauge);
        knitting.assumed.push_back(number_text(knitting.yarn_per_round().value / 10, 1) + " cm of yarn in a round of " +
                                   std::to_string(knitting.stitches) + " stitches (from the gauge, not measured)");
    }
    if (o.gauge.empty())
        knitting.assumed.push_back("a gauge of " + number_text(knitting.gauge.stitches, 1) + " stitches x " +
                                   number_text(knitting.gauge.rows, 1) + " rows in 10 cm (not measured)");
    check_stitch(knitting, !o.yarn_per_round.empty()    ? "--yarn-per-round"
                           : !o.yarn_per_stitch.empty() ? "--yarn-per-stitch"
                                                        : "--gauge");
}

}  // namespace

Worked Knitting::worked() const {
    return shape == "flat" || shape == "scarf" || shape == "shawl" ? Worked::back_and_forth : Worked::in_the_round;
}

Knitting settled(const KnitOptions& o, int strands_at_hand) {
    Knitting knitting;
    if (!o.gauge.empty()) knitting.gauge = read_gauge(o.gauge);
    settle_shape(knitting, o);
    settle_yarn(knitting, o);
    if (o.alternate) {
        if (*o.alternate < 1 || *o.alternate > 100)
            throw Error(ErrorKind::usage, "--alternate: must lie between 1 and 100 rounds");
        knitting.alternate = *o.alternate;
    }
    const int ball = chosen<int>("--strand", o.strand,
                                 {{"1", 1}, {"2", 2}, {"both", 0}, {"A", 1}, {"B", 2}, {"ball A", 1}, {"ball B", 2}});
    if (ball > strands_at_hand) throw Error(ErrorKind::usage, "--strand: there is only one ball here; leave it out");
    if (ball == 0)
        for (int s = 1; s <= strands_at_hand; ++s) knitting.strands.push_back(s);
    else
        knitting.strands.push_back(ball);
    knitting.start = chosen<Knitting::Start>(
        "--start", o.start, {{"ravel-end", Knitting::Start::ravel_end}, {"far-end", Knitting::Start::far_end}});
    return knitting;
}

CountRange parsed_count_range(const std::string& text, const std::string& option) {
    const auto dash = text.find('-');
    const auto first = parsed_whole(std::string_view(text).substr(0, dash));
    const auto last = dash == std::string::npos ? first : parsed_whole(std::string_view(text).substr(dash + 1));
    if (!first || !last)
        throw Error(ErrorKind::usage,
                    option + ": '" + text + "' is not a range of stitch counts; write it like 40-120");
    if (*first > *last)
        throw Error(ErrorKind::usage, option + ": '" + text + "' runs backwards; write the smaller count first, like " +
                                          std::to_string(*last) + "-" + std::to_string(*first));
    constexpr long long kMost = 600;
    if (*first < 1 || *last > kMost)
        throw Error(ErrorKind::usage, option + ": '" + text + "' must lie between 1 and " + std::to_string(kMost));
    return {static_cast<int>(*first), static_cast<int>(*last)};
}

void add_chance(CLI::App& command, ChanceOptions& o) {
    const std::string group = "Simulated knitters (all figures are chosen, none is measured)";
    const auto option = [&](const std::string& name, auto& value, const std::string& text) {
        command.add_option(name, value, text)->group(group)->capture_default_str();
    };
    option("--counts", o.counts, "stitch counts to look at, besides those of 75 to 100 cm of yarn in a round");
    option("--knitters", o.knitters, "how many knit it");
    option("--length-sd", o.length_sd, "how much the yarn in a stitch differs from knitter to knitter; 0.05 is 5 %");
    option("--drift-sd", o.drift_sd, "how much it wanders within one knitting");
    option("--drift-length", o.drift_length, "yarn over which that is forgotten");
    option("--pooling-from", o.pooling_from, "part of the colour in rounds that must stack to count as pooling");
    option("--contrast-from", o.contrast_from, "colour difference that pools must have to count; about 1 is just seen");
    say_values(command, {{"--counts", "FROM-TO"},
                         {"--length-sd", "SHARE"},
                         {"--drift-sd", "SHARE"},
                         {"--drift-length", "LENGTH"},
                         {"--pooling-from", "SHARE"}});
}

RiskOptions risk_options(const ChanceOptions& o, std::uint64_t seed) {
    const auto within = [](const std::string& option, double value, double least, double most) {
        if (!(value >= least && value <= most))
            throw Error(ErrorKind::usage,
                        option + ": must lie between " + number_text(least, 2) + " and " + number_text(most, 2));
    };
    within("--knitters", o.knitters, 1, 10'000);
    within("--length-sd", o.length_sd, 0, 0.2);
    within("--drift-sd", o.drift_sd, 0, 0.2);
    within("--pooling-from", o.pooling_from, 0.01, 1);
    within("--contrast-from", o.contrast_from, 0, 100);
    RiskOptions risk;
    risk.knitters = o.knitters;
    risk.length_sd = o.length_sd;
    risk.drift_sd = o.drift_sd;
    risk.drift_mm = parsed_length(o.drift_length, "--drift-length").value;
    risk.pooling_from = o.pooling_from;
    risk.contrast_from = o.contrast_from;
    risk.seed = seed;
    return risk;
}

std::vector<int> swept_counts(const ChanceOptions& o, const Knitting& knitting) {
    return loopread::swept_counts(parsed_count_range(o.counts, "--counts"), knitting.yarn_per_stitch,
                                  knitting.stitches);
}

std::string chance_in_words(const RiskOptions& risk) {
    return std::to_string(risk.knitters) + " simulated knitters whose loops differ by " +
           number_text(100 * risk.length_sd, 1) + " % (standard deviation) and drift by " +
           number_text(100 * risk.drift_sd, 1) + " %; pooling counts from " + number_text(risk.pooling_from, 2) +
           " of the colour within rounds and a contrast of " + number_text(risk.contrast_from, 1) +
           " (chosen figures, a model)";
}

}  // namespace loopread::cli
