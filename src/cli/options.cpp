#include "cli/options.h"

#include <CLI/CLI.hpp>
#include <cmath>

#include "loopread/base/error.h"
#include "loopread/base/text.h"
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
        throw Error(ErrorKind::usage, option + ": gives a stitch " + number_text(widths, 2) +
                                          " of its widths of yarn, too short for a knitted loop (it needs " +
                                          number_text(least_loop_length(), 2) +
                                          "); check it against the size of a stitch");
}

}  // namespace

void add_common(CLI::App& command, CommonOptions& options, const std::string& output_is) {
    command.add_option("-o,--output", options.output, output_is)->required()->check([](const std::string& typed) {
        return std::string(typed.empty() ? "is empty; name where the results go" : "");
    });
    command.add_flag("--json", options.json, "print the summary as JSON, and nothing else");
    command.add_option("--seed", options.seed, "of everything left to chance; the same seed gives the same bytes")
        ->capture_default_str()
        ->check([](const std::string& typed) {
            const bool good = parsed_whole(typed).value_or(-1) >= 0;
            return good ? std::string() : "'" + typed + "' is not a whole number from 0";
        });
    command.add_option("--config", options.config, "a TOML file of option names and values");
}

void add_blank(CLI::App& command, BlankOptions& o) {
    const std::string group = "The blank";
    const auto option = [&](const std::string& name, auto& value, const std::string& text) {
        return command.add_option(name, value, text)->group(group)->capture_default_str();
    };
    option("--blank", o.blank, "stitches across x rows, like 46x214");
    option("--size", o.size, "width x length, like 24x86cm");
    option("--strands", o.strands, "strands held together: 1 or 2 (usual)");
    option("--strand-length", o.strand_length, "yarn in one strand, like 211m");
    option("--loop", o.loop, "yarn in one loop, like 21mm");
    option("--construction", o.construction, "flat or tube");
    option("--ravel-edge", o.ravel_edge, "where in the picture it comes apart: top, bottom, left or right");
    option("--tail", o.tail, "where the loose end hangs, ravel edge on top: left or right");
    option("--rotate", o.rotate, "lay the design turned clockwise: 0, 90, 180 or 270");
    command.add_flag("--mirror", o.mirror, "lay the design mirrored left-right")->group(group);
    option("--fit", o.fit, "stretch (the picture is the blank), tile or cover");
    option("--painted", o.painted, "the painted side: face (knit side) or back (purl side)");
    option("--other-side", o.other_side, "a picture of the other side");
    option("--ground", o.ground, "what the yarn was before the paint: undyed, auto, a colour or a picture");
    option("--undyed", o.undyed, "colour of the undyed yarn");
    option("--wrap", o.wrap, "0..1: how far paint goes round a thread (0.7)");
    option("--penetration", o.penetration, "0..1: the part of covered yarn that the dye reached (0.4)");
    option("--creep", o.creep, "sideways spread of a painted edge (2mm for a design, 0mm for a photo)");
    option("--treat-as", o.treat_as, "photo or design");
    option("--winding", o.turn, "two strands wind once about each other in so much yarn");
    option("--wander", o.wander, "degrees that the winding wanders in 10 cm");
    option("--max-megapixels", o.max_megapixels, "refuse larger pictures");
    option("--colour", o.colours, "NAME=#rrggbb: a colour name of your own")
        ->allow_extra_args(false);  // once for each name: else it would take the INPUT after it for a colour too
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
    lay.fit = chosen<Fit>("--fit", o.fit, {{"stretch", Fit::stretch}, {"tile", Fit::tile}, {"cover", Fit::cover}});
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
    option("--stitches", o.stitches, "stitches in a round");
    option("--gauge", o.gauge, "stitches x rows in 10 cm");
    option("--yarn-per-stitch", o.yarn_per_stitch, "like 13mm; follows from the gauge if not given");
    option("--yarn-per-round", o.yarn_per_round, "like 84cm: measured in your own knitting");
    option("--shape", o.shape, "tube (in the round) or flat (back and forth)");
    option("--rounds", o.rounds, "how many; all that the yarn gives if not given");
    option("--strand", o.strand, "1 (ball A), 2 (ball B) or both");
    option("--start", o.start, "which end is knitted first: ravel-end or far-end");
}

Knitting settled(const KnitOptions& o, int strands_at_hand) {
    Knitting knitting;
    knitting.stitches = o.stitches;
    if (o.stitches < 1 || o.stitches > 2000) throw Error(ErrorKind::usage, "--stitches: must lie between 1 and 2000");
    if (o.rounds && (*o.rounds < 1 || *o.rounds > 100'000))
        throw Error(ErrorKind::usage, "--rounds: must lie between 1 and 100,000");
    knitting.gauge = read_gauge(o.gauge);
    knitting.shape = chosen<std::string>("--shape", o.shape, {{"tube", "tube"}, {"flat", "flat"}});
    knitting.rounds = o.rounds;
    if (!o.yarn_per_stitch.empty() && !o.yarn_per_round.empty())
        throw Error(ErrorKind::usage, "--yarn-per-round: give it or --yarn-per-stitch, not both");
    if (!o.yarn_per_round.empty()) {
        knitting.yarn_per_stitch = parsed_length(o.yarn_per_round, "--yarn-per-round") / o.stitches;
    } else if (!o.yarn_per_stitch.empty()) {
        knitting.yarn_per_stitch = parsed_length(o.yarn_per_stitch, "--yarn-per-stitch");
    } else {
        knitting.yarn_per_stitch = yarn_per_stitch(knitting.gauge);
        knitting.assumed.push_back(number_text(knitting.yarn_per_round().value / 10, 1) + " cm of yarn in a round of " +
                                   std::to_string(o.stitches) + " stitches (from the gauge, not measured)");
    }
    check_stitch(knitting, !o.yarn_per_round.empty()    ? "--yarn-per-round"
                           : !o.yarn_per_stitch.empty() ? "--yarn-per-stitch"
                                                        : "--gauge");
    const int ball = chosen<int>("--strand", o.strand,
                                 {{"1", 1}, {"2", 2}, {"both", 0}, {"A", 1}, {"B", 2}, {"ball A", 1}, {"ball B", 2}});
    if (ball > strands_at_hand) throw Error(ErrorKind::usage, "--strand: there is only one strand here; leave it out");
    if (ball == 0)
        for (int s = 1; s <= strands_at_hand; ++s) knitting.strands.push_back(s);
    else
        knitting.strands.push_back(ball);
    knitting.start = chosen<Knitting::Start>(
        "--start", o.start, {{"ravel-end", Knitting::Start::ravel_end}, {"far-end", Knitting::Start::far_end}});
    return knitting;
}

}  // namespace loopread::cli
