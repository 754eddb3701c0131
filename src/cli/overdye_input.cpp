#include "cli/overdye_input.h"

#include <algorithm>
#include <cmath>
#include <set>

#include "cli/show_through.h"
#include "loopread/base/error.h"
#include "loopread/base/text.h"
#include "loopread/blank/defaults.h"
#include "loopread/overdye/shared_out.h"
#include "loopread/overdye/strengths.h"
#include "loopread/photo/read.h"

namespace loopread::cli {
namespace fs = std::filesystem;
namespace {

constexpr std::size_t kMostLayers = 64;  // as a design file takes them
constexpr double kShapesAlike = 0.02;    // of masks; chosen: under this nobody sees the stretch

struct AskedStrength {
    std::string words;
    double value = 1;
};

/// 1, 0.5, 1/2: a part of the paste at full strength.
AskedStrength parsed_strength(std::string_view typed, const std::string& option) {
    const std::string text(trimmed(typed));
    const std::size_t slash = text.find('/');
    const auto above = parsed_number(std::string_view(text).substr(0, slash));
    const auto below = slash == std::string::npos ? std::optional<double>(1.0)
                                                  : parsed_number(std::string_view(text).substr(slash + 1));
    if (!above || !below || !(*below > 0))
        throw Error(ErrorKind::usage, option + ": '" + text + "' is not a strength; write it like 1/2 or 0.5");
    const double value = *above / *below;
    if (!(value > 0))
        throw Error(ErrorKind::usage, option + ": '" + text + "' is no strength; leave the stencil out instead");
    if (value > 1)
        throw Error(ErrorKind::usage, option + ": '" + text +
                                          "' is over 1, the paste at full strength; give the colour of the stronger "
                                          "paste and thin from there");
    return {text, value};
}

std::vector<std::string> split(const std::string& text, char at) {
    std::vector<std::string> parts(1);
    for (const char c : text)
        if (c == at)
            parts.emplace_back();
        else
            parts.back() += c;
    return parts;
}

struct AskedStencil {
    fs::path file;
    Srgb8 colour;
    AskedStrength strength;
};

AskedStencil parsed_stencil(const std::string& text, const ColourBook& book) {
    const std::size_t equals = text.rfind('=');
    if (equals == std::string::npos || equals == 0 || equals + 1 == text.size())
        throw Error(ErrorKind::usage,
                    "--stencil: '" + text + "' is not FILE=COLOUR@STRENGTH; write it like lanterns.png=red-1@1/2");
    const std::string dye = text.substr(equals + 1);
    const std::size_t sign = dye.rfind('@');
    AskedStencil stencil{text.substr(0, equals), {}, {"1", 1}};
    stencil.colour = book.colour(dye.substr(0, sign), "--stencil");
    if (sign != std::string::npos) stencil.strength = parsed_strength(dye.substr(sign + 1), "--stencil");
    return stencil;
}

void refuse_photo_options(const BlankOptions& o) {
    const std::pair<const char*, bool> given[] = {
        {"--corners", !o.corners.empty()},         {"--white", !o.white.empty()},
        {"--other-side", !o.other_side.empty()},   {"--other-corners", !o.other_corners.empty()},
        {"--other-white", !o.other_white.empty()}, {"--treat-as", !o.treat_as.empty()}};
    for (const auto& [name, is_given] : given)
        if (is_given)
            throw Error(ErrorKind::usage,
                        std::string(name) + ": is for a photo, and overdye reads stencils only; leave it out");
    if (o.ground == "auto")
        throw Error(ErrorKind::usage,
                    "--ground: there is no picture here to estimate it from; give a colour, several, or a picture");
}

bool names_a_file(const std::string& text) {
    std::error_code ignored;
    return fs::exists(text, ignored) || fs::path(text).has_extension();
}

/// From options to a painted blank, one step after another.
class OverdyeReading {
public:
    OverdyeReading(const DyeingOptions& dyeing, const BlankOptions& blank, std::uint64_t seed, Outputs& outputs)
        : dyeing_(dyeing), options_(blank), seed_(seed), outputs_(outputs), book_(colour_book(blank)) {
        refuse_photo_options(options_);
        check_paint(options_);
        lay_ = chosen_lay(options_);
        for (const std::string& text : dyeing_.stencils) asked_.push_back(parsed_stencil(text, book_));
        read_ladder();
        read_hues();
    }

    OverdyeInput read() {
        for (const AskedStencil& stencil : asked_) {
            outputs_.keep_safe(stencil.file);
            headers_.push_back(picture_header(stencil.file, options_.max_megapixels));
        }
        settle_layout();
        lay_ground();
        lay_stencils();
        warn_of_overlaps();
        return std::move(in_);
    }

private:
    // ---- what was typed

    void read_ladder() {
        if (asked_.empty())
            throw Error(ErrorKind::usage, "--stencil: give at least one, like --stencil lanterns.png=red-1");
        if (!dyeing_.strengths.empty() && dyeing_.even_steps)
            throw Error(ErrorKind::usage, "--even-steps: works the strengths out itself; leave --strengths out");
        if (!dyeing_.strengths.empty())
            for (const std::string& text : split(dyeing_.strengths, ','))
                ladder_.push_back(parsed_strength(text, "--strengths"));
        constexpr int kMostSteps = 12;
        if (dyeing_.even_steps && (*dyeing_.even_steps < 1 || *dyeing_.even_steps > kMostSteps))
            throw Error(ErrorKind::usage,
                        "--even-steps: '" + std::to_string(*dyeing_.even_steps) + "' steps; give 1 to 12");
        const std::string option = dyeing_.even_steps ? "--even-steps" : "--strengths";
        const std::size_t steps = step_count();
        if (steps > 0 && asked_.size() > 1 && asked_.size() != steps)
            throw Error(ErrorKind::usage,
                        option + ": " + std::to_string(asked_.size()) + " stencils and " + std::to_string(steps) +
                            (steps == 1 ? " strength" : " strengths") +
                            " do not go together; give as many strengths as stencils (they go in turn), one stencil "
                            "(its motifs take the strengths in turn), or each stencil its own: FILE=COLOUR@1/2");
        if (dyeing_.even_steps)
            for (const AskedStencil& stencil : asked_)
                if (!(stencil.colour == asked_.front().colour) ||
                    stencil.strength.value != asked_.front().strength.value)
                    throw Error(ErrorKind::usage,
                                "--even-steps: steps of one dye from one full strength; give all stencils the same "
                                "colour, or each its own strength: FILE=COLOUR@1/2");
        if (asked_.size() > kMostLayers || steps > kMostLayers)
            throw Error(ErrorKind::usage, "--stencil: a design has at most 64 layers");
    }

    std::size_t step_count() const {
        return dyeing_.even_steps ? static_cast<std::size_t>(*dyeing_.even_steps) : ladder_.size();
    }

    void read_hues() {
        undyed_ = book_.colour(options_.undyed, "--undyed");
        const std::string& ground = options_.ground;
        const bool picture = ground != "undyed" && names_a_file(ground);
        if (ground == "undyed")
            hues_ = {undyed_};
        else if (!picture)
            for (const std::string& one : split(ground, ',')) hues_.push_back(book_.colour(trimmed(one), "--ground"));
        const std::string& as = dyeing_.ground_as;
        if (!as.empty() && as != "along" && as != "across" && as != "broken")
            throw Error(ErrorKind::usage, "--ground-as: '" + as + "' is not one of along, across, broken");
        if (!as.empty() && hues_.size() < 2)
            throw Error(ErrorKind::usage, "--ground-as: needs two colours or more, like --ground blue-1,teal-3");
        as_ = as == "across" ? GroundAs::across : as == "broken" ? GroundAs::broken : GroundAs::along;
    }

    // ---- the blank

    void settle_layout() {
        GivenMeasures given = given_measures(options_);
        if (lay_.fit == Fit::stretch) {
            const TurnedSize size = turned_size(headers_.front().width, headers_.front().height, lay_);
            given.picture_width_per_length = static_cast<double>(size.width) / size.height;
        }
        if (given.size && given.picture_width_per_length &&
            size_looks_turned(*given.size, *given.picture_width_per_length))
            throw Error(ErrorKind::usage, "--size: '" + options_.size +
                                              "' is width x length, but the stencil is the other way round; turn the "
                                              "two figures, or say with --ravel-edge where the blank comes apart");
        SettledMeasures measures = settled(given);
        in_.layout = measures.layout;
        in_.layout.tail = chosen_tail(options_);
        in_.layout.painted = chosen_side(options_);
        in_.assumed = std::move(measures.assumed);
        in_.warnings = std::move(measures.warnings);
        in_.paint.raster = blank_raster(in_.layout, kPixelsPerStitch);
        tell_of_shapes();
    }

    /// Masks of other shapes than the blank or each other.
    void tell_of_shapes() {
        if (lay_.fit != Fit::stretch) return;
        const double blank = in_.layout.width() / in_.layout.length();
        std::set<std::string> told;
        bool differ = false;
        for (std::size_t i = 0; i < headers_.size(); ++i) {
            const TurnedSize size = turned_size(headers_[i].width, headers_[i].height, lay_);
            const TurnedSize first = turned_size(headers_.front().width, headers_.front().height, lay_);
            const double shape = static_cast<double>(size.width) / size.height;
            differ = differ || std::abs(std::log(shape * first.height / first.width)) > kShapesAlike;
            const std::string name = asked_[i].file.filename().string();
            if (std::abs(std::log(shape / blank)) > std::log(1 + kShapesDiffer) && told.insert(name).second)
                in_.warnings.push_back(
                    name + " is " + number_text(1 / shape, 2) + " times as long as wide, the blank " +
                    number_text(1 / blank, 2) +
                    " times: it is stretched to fit; give --size or --blank, or --fit cover or tile");
        }
        if (differ) in_.assumed.emplace_back("stencils of different shapes: each is stretched to the whole blank");
    }

    // ---- the ground

    void lay_ground() {
        Design& design = in_.design;
        design.undyed = undyed_;
        design.ground.colours = hues_;
        in_.ground_is_picture = hues_.empty() || (hues_.size() > 1 && as_ == GroundAs::broken);
        if (as_ == GroundAs::across) design.ground.along = DesignGround::Along::width;
        std::vector<LinearRgb> hues;
        for (const Srgb8 hue : hues_) hues.push_back(linear_from_srgb8(hue));
        if (hues.empty())
            in_.paint.ground = pictured_ground();
        else if (hues.size() == 1)
            in_.paint.ground = Image(1, 1, hues.front());
        else if (as_ == GroundAs::broken)
            in_.paint.ground = broken_ground(hues, in_.paint.raster, seed_);
        else
            in_.paint.ground = faded_ground(hues, as_, in_.paint.raster);
        if (options_.ground == "undyed")
            in_.assumed.emplace_back("no bath: stencilled on undyed yarn (--ground COLOUR)");
        if (hues.size() > 1 && dyeing_.ground_as.empty())
            in_.assumed.emplace_back("the ground fades along the blank, from the ravel edge on (--ground-as)");
        if (hues.size() > 1 && as_ == GroundAs::broken)
            in_.assumed.emplace_back("where the bath breaks is left to chance: another --seed, another ground");
    }

    Image pictured_ground() {
        outputs_.keep_safe(options_.ground);
        const PictureHeader header = picture_header(options_.ground, options_.max_megapixels);
        PictureRequest request;
        request.shrink = shrink_of(header.width, header.height, lay_, in_.layout);
        request.under_transparent = linear_from_srgb8(undyed_);
        request.max_megapixels = options_.max_megapixels;
        Lay lay = lay_;
        lay.fit = Fit::stretch;  // a bath is the blank's, whatever the stencils repeat
        return laid(read_picture(options_.ground, request), lay, in_.layout, in_.paint.raster);
    }

    // ---- the stencils

    void lay_stencils() {
        std::vector<Plane> masks;
        for (std::size_t i = 0; i < asked_.size(); ++i) {
            const int shrink = shrink_of(headers_[i].width, headers_[i].height, lay_, in_.layout);
            masks.push_back(laid(read_stencil(asked_[i].file, shrink, options_.max_megapixels), lay_, in_.layout,
                                 in_.paint.raster));
            constexpr double kFaintest = 0.02;  // a mask that dyes no place more than this is a slip
            if (*std::max_element(masks.back().begin(), masks.back().end()) < kFaintest)
                throw Error(ErrorKind::input,
                            asked_[i].file.string() + ": is white all over; a stencil is black where the dye goes");
            const double lightest = *std::min_element(masks.back().begin(), masks.back().end());
            if (lightest > 1 - kFaintest)
                in_.warnings.push_back(asked_[i].file.filename().string() +
                                       ": is black all over, so it dyes the whole blank; black is where the dye goes");
        }
        settle_ladder(masks);
        Ladder ladder = Ladder::own_grounds;
        if (ladder_.size() > 1 && asked_.size() == 1) {
            ladder = share_out(masks.front());
        } else {
            for (std::size_t i = 0; i < asked_.size(); ++i) {
                const AskedStrength own = ladder_.empty() ? AskedStrength{"1", 1} : ladder_[i];
                add_layer(asked_[i], own, std::move(masks[i]));
            }
            if (!ladder_.empty() && asked_.size() > 1)
                in_.shared_out.emplace_back("the stencils take the strengths in turn");
        }
        settle_grounds(ladder);
        settle_penetration();
    }

    enum class Ladder { one_ground, own_grounds };
    /// Steps of one ladder are told on one ground, so that they can be compared; zones lie on grounds of their own.
    void settle_grounds(Ladder ladder) {
        const bool together = dyeing_.even_steps || ladder == Ladder::one_ground;
        for (std::size_t i = 0; i < in_.steps.size(); ++i)
            for (std::size_t k = 0; k < in_.steps.size(); ++k)
                if (together || k == i) in_.steps[i].ground_of.push_back(k);
        if (dyeing_.even_steps && in_.paint.ground.size() > 1)
            in_.assumed.emplace_back(
                "the ground is not of one colour: the steps are even on its mean under the stencil");
    }

    /// Strengths that step evenly in L* on the ground under the stencils.
    void settle_ladder(const std::vector<Plane>& masks) {
        if (!dyeing_.even_steps) return;
        Plane all = masks.front();
        for (std::size_t i = 1; i < masks.size(); ++i)
            std::transform(all.begin(), all.end(), masks[i].begin(), all.begin(), std::plus<>());
        const LinearRgb ground = ground_under(in_.paint.ground, all);
        const AskedStencil& first = asked_.front();
        const KOverS dye = dye_of(linear_from_srgb8(first.colour), linear_from_srgb8(undyed_));
        const auto strengths = even_strengths(ground, dye, *dyeing_.even_steps, first.strength.value);
        if (!strengths)
            throw Error(ErrorKind::usage,
                        "--even-steps: " + hex_text(first.colour) + " does not darken this ground (L* " +
                            number_text(lab_from_linear(ground).l, 1) +
                            "), so there is nothing to step; take a darker dye or a paler ground, or give --strengths");
        for (const double strength : *strengths)  // add_layer counts from the stencil's own strength
            ladder_.push_back({number_text(strength, 3), strength / first.strength.value});
    }

    Ladder share_out(const Plane& mask) {
        SharedOut shared = shared_out(mask, in_.paint.raster, static_cast<int>(ladder_.size()));
        for (std::size_t i = 0; i < ladder_.size(); ++i)
            add_layer(asked_.front(), ladder_[i], std::move(shared.parts[i]));
        in_.shared_out.push_back(shared.by == SharedOut::By::motifs
                                     ? "the " + std::to_string(shared.motifs) +
                                           " separate motifs of the stencil take the strengths in turn"
                                     : "the stencil has no separate motifs, so each strength takes a zone of the "
                                       "blank, the first at the ravel edge");
        return shared.by == SharedOut::By::motifs ? Ladder::one_ground : Ladder::own_grounds;
    }

    /// @param part  of the stencil's own strength
    void add_layer(const AskedStencil& stencil, const AskedStrength& part, Plane mask) {
        StrengthStep step{stencil.file.filename().string(), part.words, part.value * stencil.strength.value};
        if (ladder_.empty())
            step.words = stencil.strength.words;
        else if (stencil.strength.value != 1 && !dyeing_.even_steps)
            step.words = number_text(step.strength, 3);
        DesignLayer layer;
        layer.name = stencil.file.stem().string() + " at " + step.words;
        layer.colour = stencil.colour;
        layer.strength = step.strength;
        for (double& amount : mask) amount *= step.strength;
        in_.paint.layers.push_back(
            {layer.name, std::move(mask), dye_of(linear_from_srgb8(stencil.colour), linear_from_srgb8(undyed_)), 0});
        in_.design.layers.push_back(layer);
        in_.steps.push_back(std::move(step));
    }

    void settle_penetration() {
        std::optional<double> measured;
        if (!options_.base.empty()) {
            outputs_.keep_safe(options_.base);
            measured = read_base(options_.base).penetration;
        }
        const double value = options_.penetration.value_or(measured.value_or(kDefaultPenetration));
        for (DesignLayer& layer : in_.design.layers) layer.penetration = value;
        for (DyeLayer& layer : in_.paint.layers) layer.penetration = value;
        if (!options_.penetration && !measured)
            in_.assumed.push_back("paste reaches " + number_text(value, 2) +
                                  " of the yarn hidden in the loops (penetration, not measured)");
    }

    /// Twice the same dye on one place is more than any paste of it.
    void warn_of_overlaps() {
        constexpr double kOver = 1.02, kMuch = 0.001;  // of full strength; of the blank
        for (std::size_t i = 0; i < asked_.size(); ++i) {
            if (std::any_of(asked_.begin(), asked_.begin() + static_cast<std::ptrdiff_t>(i),
                            [&](const AskedStencil& s) { return s.colour == asked_[i].colour; }))
                continue;  // this dye has been looked at
            Plane sum(in_.paint.raster.rows, in_.paint.raster.columns);
            for (std::size_t k = 0; k < in_.design.layers.size(); ++k)
                if (in_.design.layers[k].colour == asked_[i].colour)
                    std::transform(sum.begin(), sum.end(), in_.paint.layers[k].amount.begin(), sum.begin(),
                                   std::plus<>());
            const auto over = std::count_if(sum.begin(), sum.end(), [](double amount) { return amount > kOver; });
            const double most = *std::max_element(sum.begin(), sum.end());
            if (static_cast<double>(over) > kMuch * static_cast<double>(sum.size()))
                in_.warnings.push_back(
                    hex_text(asked_[i].colour) + " is stencilled over itself: where it overlaps (" +
                    number_text(100.0 * static_cast<double>(over) / static_cast<double>(sum.size()), 1) +
                    " % of the blank) its strength adds up to " + number_text(most, 2));
        }
    }

    const DyeingOptions& dyeing_;
    const BlankOptions& options_;
    std::uint64_t seed_;
    Outputs& outputs_;
    ColourBook book_;
    Lay lay_;
    Srgb8 undyed_;
    std::vector<Srgb8> hues_;  // of the ground; none: a picture
    GroundAs as_ = GroundAs::along;
    std::vector<AskedStencil> asked_;
    std::vector<AskedStrength> ladder_;  // parts of the stencil's own strength
    std::vector<PictureHeader> headers_;
    OverdyeInput in_;
};

}  // namespace

OverdyeInput read_overdye(const DyeingOptions& dyeing, const BlankOptions& blank, std::uint64_t seed,
                          Outputs& outputs) {
    return OverdyeReading(dyeing, blank, seed, outputs).read();
}

}  // namespace loopread::cli
