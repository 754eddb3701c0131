#include "cli/skein_pictures.h"

#include <CLI/CLI.hpp>
#include <algorithm>
#include <cmath>
#include <future>

#include "cli/option_facts.h"
#include "loopread/base/error.h"
#include "loopread/base/parallel.h"
#include "loopread/base/text.h"
#include "loopread/draw/wound_sheet.h"
#include "loopread/photo/write.h"

namespace loopread::cli {
namespace {

constexpr int kSmallestPicture = 200, kLargestPicture = 4000;
constexpr double kLeastGirthMm = 800, kMostGirthMm = 3000;
constexpr double kLongestMm = 2'000'000;  // a strand of 2 km takes some 400 MB to draw
constexpr Grams kUsualBall{50};
constexpr double kUsualLengthMm = 211'000;

struct Named {
    const char* name;
    WoundKind kind;
};
constexpr Named kPictures[] = {{"skein", WoundKind::skein}, {"hank", WoundKind::hank},
                               {"ball", WoundKind::ball},   {"cake", WoundKind::cake},
                               {"pair", WoundKind::pair},   {"half-ravelled", WoundKind::half_ravelled}};

std::string picture_names() {
    std::string names;
    for (const Named& picture : kPictures) names += (names.empty() ? "" : ", ") + std::string(picture.name);
    return names;
}

void check_only(const std::vector<std::string>& only) {
    for (const std::string& name : only)
        if (std::none_of(std::begin(kPictures), std::end(kPictures), [&](const Named& p) { return p.name == name; }))
            throw Error(ErrorKind::usage, "--only: '" + name + "' is not one of " + picture_names());
}

struct PictureSize {
    int columns, rows;
};
PictureSize size_of(const SkeinOptions& o) {
    if (o.pixels < kSmallestPicture || o.pixels > kLargestPicture)
        throw Error(ErrorKind::usage, "--pixels: " + std::to_string(o.pixels) + " must lie between " +
                                          std::to_string(kSmallestPicture) + " and " + std::to_string(kLargestPicture) +
                                          " (the longer side)");
    if (o.aspect == "square") return {o.pixels, o.pixels};
    if (o.aspect == "4:3") return {o.pixels, static_cast<int>(std::lround(o.pixels * 3 / 4.0))};
    if (o.aspect == "4:5") return {static_cast<int>(std::lround(o.pixels * 4 / 5.0)), o.pixels};
    throw Error(ErrorKind::usage, "--aspect: '" + o.aspect + "' is not one of square, 4:3, 4:5");
}

Ground ground_of(const std::string& on, const ColourBook& colours) {
    if (on == "linen") return {.kind = GroundKind::linen};
    if (on == "slate") return {.kind = GroundKind::slate};
    if (on == "white") return {};
    return {GroundKind::plain, linear_from_srgb8(colours.colour(on, "--on (white, linen, slate or a colour)"))};
}

Grams weight_of(const std::string& text) {
    const std::string trimmed_text = trimmed(text);
    std::optional<double> grams;
    if (trimmed_text.size() > 1 && trimmed_text.back() == 'g')
        grams = parsed_number(std::string_view(trimmed_text).substr(0, trimmed_text.size() - 1));
    if (!grams || !(*grams > 0 && *grams <= 1000))
        throw Error(ErrorKind::usage, "--ball: '" + text + "' is not the weight of a ball; write it like 50g");
    return {*grams};
}

/// The weight of a strand gives the yarn's thickness; without it the usual one is taken.
Millimetres diameter_of(const ColourRun& run, const SkeinSettings& settings, std::vector<std::string>& assumed) {
    Tex tex{kUsualBall.value / (kUsualLengthMm / 1e6)};
    if (settings.ball_weight)
        tex = {settings.ball_weight->value / (run.length_mm() / 1e6)};
    else
        assumed.push_back("yarn of " + number_text(tex.value, 0) +
                          " g a kilometre, as if 211 m weighed 50 g (not weighed; --ball)");
    const Millimetres diameter = yarn_diameter(tex);
    if (diameter.value < 0.2 || diameter.value > 3)
        throw Error(ErrorKind::usage, "--ball: " + number_text(settings.ball_weight->value, 1) + " g over " +
                                          number_text(run.length_mm() / 1000, 1) + " m makes yarn " +
                                          number_text(diameter.value, 2) +
                                          " mm thick, which is no knitting yarn; check the weight of one strand");
    return diameter;
}

const char* ball_name(std::size_t strand) {
    return strand == 0 ? "ball A" : "ball B";
}

void check_length(const std::vector<ColourRun>& strands, Millimetres girth) {
    for (std::size_t s = 0; s < strands.size(); ++s) {
        const double length = strands[s].length_mm();
        const std::string told =
            std::string("the yarn of ") + ball_name(s) + " is " + number_text(length / 1000, 2) + " m long, ";
        if (length < girth.value)
            throw Error(ErrorKind::input, told + "shorter than one turn of " + number_text(girth.value / 1000, 2) +
                                              " m; give more yarn or a smaller --girth");
        if (length > kLongestMm)
            throw Error(ErrorKind::input, told + "longer than " + number_text(kLongestMm / 1000, 0) +
                                              " m, which is too much to draw; give a shorter strand");
    }
}

std::string words_of(WoundKind kind, const WoundPictureOptions& o, std::size_t strands) {
    const std::string whose = strands < 2 ? "the yarn" : std::string(ball_name(static_cast<std::size_t>(o.strand)));
    const std::string outside = o.outside == Outside::far_end ? "the end that comes off the blank last is outside"
                                                              : "the end that comes off the blank first is outside";
    switch (kind) {
        case WoundKind::skein:
            return "A twisted skein of " + whose;
        case WoundKind::hank:
            return "A hank of " + whose + ", laid open and tied twice";
        case WoundKind::ball:
            return "A hand-wound ball of " + whose + "; " + outside;
        case WoundKind::cake:
            return "A cake of " + whose + ", flat on top; " + outside;
        case WoundKind::pair:
            return "Ball A on the left and ball B on the right; " + outside;
        case WoundKind::together:
            return "Ball A and ball B wound together as one ball; " + outside;
        case WoundKind::half_ravelled:
            return "The blank half ravelled, with the yarn that has come off beside it";
    }
    return {};
}

std::string caption_of(WoundKind kind, bool from_blank) {
    const std::string origin = from_blank ? "computed from the dyed blank" : "computed from the yarn's colours";
    return kind == WoundKind::pair ? "ball A, ball B: " + origin : origin;
}

/// Why a picture cannot be made; nothing if it can.
std::string missing_for(WoundKind kind, const YarnInput& yarn) {
    if (kind == WoundKind::pair && yarn.strands.size() < 2) return "needs two strands, and here is one";
    if (kind == WoundKind::half_ravelled && !yarn.blank) return "needs a blank, and this is a yarn file";
    return {};
}

LaidYarn laid(const YarnInput& yarn, const WoundPictureOptions& picture, const WindingOptions& winding) {
    if (picture.kind != WoundKind::half_ravelled) return laid_yarn(yarn.strands, picture);
    return laid_half_ravelled({yarn.strands, dyed_through(*yarn.blank, winding)}, {.layout = yarn.blank->layout,
                                                                                   .shape = yarn.blank->shape,
                                                                                   .winding = winding,
                                                                                   .diameter = picture.diameter,
                                                                                   .seed = picture.seed});
}

/// The files, in the order of the plans. One is painted at a time, with all cores; meanwhile the next one's yarn is
/// laid and the one before packed.
std::vector<std::string> files_of(const std::vector<WoundPictureOptions>& plans, const YarnInput& yarn,
                                  const WindingOptions& winding) {
    const auto laying = [&](std::size_t i) {
        return begun([&yarn, &winding, picture = plans[i]] { return laid(yarn, picture, winding); });
    };
    std::vector<std::future<std::string>> packing;
    std::future<LaidYarn> next;
    if (!plans.empty()) next = laying(0);
    for (std::size_t i = 0; i < plans.size(); ++i) {
        const LaidYarn now = next.get();
        if (i + 1 < plans.size()) next = laying(i + 1);
        packing.push_back(begun([drawn = painted_picture(now, plans[i]).picture,
                                 words = caption_of(plans[i].kind, yarn.blank.has_value())]() mutable {
            return png_bytes(with_caption(std::move(drawn), words));
        }));
    }
    std::vector<std::string> files;
    for (std::future<std::string>& file : packing) files.push_back(file.get());
    return files;
}

Json sizes_json(const std::vector<ColourRun>& strands, const WoundPictureOptions& o) {
    const ColourRun& run = strands[static_cast<std::size_t>(o.strand)];
    const WoundYarn yarn{run.length(), o.diameter, 1};
    const CakeSize cake = cake_size(yarn);
    return {{"yarn_diameter_mm", rounded(o.diameter.value, 3)},
            {"girth_m", rounded(o.girth.value / 1000, 3)},
            {"turns", rounded(hank_turns(run.length(), o.girth), 2)},
            {"ball_diameter_cm", rounded(ball_diameter(yarn).value / 10, 2)},
            {"cake_diameter_cm", rounded(cake.diameter.value / 10, 2)},
            {"cake_height_cm", rounded(cake.height.value / 10, 2)}};
}

}  // namespace

void add_skein_pictures(CLI::App& command, SkeinOptions& o) {
    const std::string group = "The pictures";
    const auto option = [&](const std::string& name, auto& value, const std::string& text) {
        return command.add_option(name, value, text)->group(group)->capture_default_str();
    };
    option("--pixels", o.pixels, "longer side of each picture, in pixels");
    option("--aspect", o.aspect, "width to height of each picture");
    option("--on", o.on, "what it lies on");
    option("--girth", o.girth, "once round the reel of skein and hank");
    option("--strand", o.strand, "of skein, hank, ball and cake: 1 is ball A, 2 is ball B");
    option("--outside", o.outside,
           "which end lies outside on balls and cakes; wound straight from the blank it is the far end");
    option("--ball", o.ball_weight, "weight of one ball: gives the yarn's thickness (50g on 211m)");
    option("--only", o.only, "draw only this picture; may be given again (all of them)")->allow_extra_args(false);
    command.add_flag("--crimp", o.crimp, "skein and hank of yarn just unravelled, with its waves")->group(group);
    command.add_flag("--together", o.together, "the pair as one ball, both strands wound side by side")->group(group);
    say_values(command, {{"--aspect", "square|4:3|4:5"},
                         {"--on", "white|linen|slate|COLOUR"},
                         {"--girth", "LENGTH"},
                         {"--strand", "1|2"},
                         {"--outside", "far-end|ravel-end"},
                         {"--ball", "WEIGHT"},
                         {"--only", "skein|hank|ball|cake|pair|half-ravelled"}});
}

SkeinSettings settled_skein(const SkeinOptions& o, const BlankOptions& blank) {
    SkeinSettings settings;
    const PictureSize size = size_of(o);
    settings.picture.columns = size.columns;
    settings.picture.rows = size.rows;
    settings.picture.ground = ground_of(o.on, colour_book(blank));
    settings.picture.girth = parsed_length(o.girth, "--girth");
    if (settings.picture.girth.value < kLeastGirthMm || settings.picture.girth.value > kMostGirthMm)
        throw Error(ErrorKind::usage, "--girth: must lie between " + number_text(kLeastGirthMm / 1000, 1) + "m and " +
                                          number_text(kMostGirthMm / 1000, 0) + "m; reels measure 1.4 to 2 m round");
    if (o.strand == "1" || o.strand == "A" || o.strand == "ball A")
        settings.picture.strand = 0;
    else if (o.strand == "2" || o.strand == "B" || o.strand == "ball B")
        settings.picture.strand = 1;
    else
        throw Error(ErrorKind::usage, "--strand: '" + o.strand + "' is not one of 1, 2 (the pair shows both)");
    if (o.outside != "far-end" && o.outside != "ravel-end")
        throw Error(ErrorKind::usage, "--outside: '" + o.outside + "' is not one of far-end, ravel-end");
    settings.picture.outside = o.outside == "far-end" ? Outside::far_end : Outside::ravel_end;
    settings.picture.crimp = o.crimp ? Crimp::just_unravelled : Crimp::washed_out;
    settings.together = o.together;
    if (!o.ball_weight.empty()) settings.ball_weight = weight_of(o.ball_weight);
    check_only(o.only);
    settings.only = o.only;
    return settings;
}

WoundPictures wound_pictures(const YarnInput& yarn, const SkeinSettings& settings, const BlankOptions& blank_options,
                             std::uint64_t seed) {
    WoundPictureOptions picture = settings.picture;
    if (static_cast<std::size_t>(picture.strand) >= yarn.strands.size())
        throw Error(ErrorKind::usage, "--strand: there is only one ball here; leave it out");
    check_length(yarn.strands, picture.girth);
    WoundPictures out;
    picture.seed = seed;
    picture.diameter = diameter_of(yarn.strands[static_cast<std::size_t>(picture.strand)], settings, out.assumed);
    if (yarn.blank) picture.loop = yarn.blank->layout.loop_length;
    out.summary = sizes_json(yarn.strands, picture);
    std::vector<WoundPictureOptions> plans;
    for (const auto& [name, kind] : kPictures) {
        const bool asked = std::find(settings.only.begin(), settings.only.end(), name) != settings.only.end();
        if (!settings.only.empty() && !asked) continue;
        picture.kind = kind == WoundKind::pair && settings.together ? WoundKind::together : kind;
        const std::string missing = missing_for(kind, yarn);
        if (!missing.empty()) {
            if (asked) throw Error(ErrorKind::usage, std::string("--only: ") + name + " " + missing);
            out.notes.push_back(std::string(name) + ".png " + missing + ": left out");
            continue;
        }
        plans.push_back(picture);
        out.pictures.push_back({name,
                                words_of(picture.kind, picture, yarn.strands.size()) + " (" +
                                    caption_of(WoundKind::skein, yarn.blank.has_value()) + ").",
                                {}});
    }
    std::vector<std::string> files = files_of(plans, yarn, winding_options(blank_options, seed));
    for (std::size_t i = 0; i < files.size(); ++i) out.pictures[i].png = std::move(files[i]);
    return out;
}

}  // namespace loopread::cli
