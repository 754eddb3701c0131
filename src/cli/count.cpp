#include "cli/count.h"

#include <CLI/CLI.hpp>
#include <memory>
#include <ostream>

#include "cli/examples.h"
#include "cli/option_facts.h"
#include "cli/photo_input.h"
#include "cli/summary.h"
#include "loopread/base/error.h"
#include "loopread/base/text.h"

namespace loopread::cli {
namespace {

struct CountOptions {
    std::filesystem::path photo;
    CommonOptions common;
    BlankOptions blank;
};

/// Stitches and rows in 10 cm, where the blank was measured.
Json density_json(const CountPair& counted, const std::string& size) {
    if (size.empty()) return nullptr;
    const LengthPair cm = parsed_length_pair(size, "--size");
    return {{"stitches", rounded(100 * counted.first / cm.first.value, 2)},
            {"rows", rounded(100 * counted.second / cm.second.value, 2)}};
}

std::string in_words(const CountPair& counted, double confidence, const Json& density) {
    std::string words = std::to_string(counted.first) + " stitches x " + std::to_string(counted.second) + " rows, " +
                        number_text(100 * confidence, 0) + " % sure";
    if (!density.is_null())
        words += "; " + number_text(density["stitches"].get<double>(), 1) + " stitches x " +
                 number_text(density["rows"].get<double>(), 1) + " rows in 10 cm";
    return words + ".";
}

void run_count(const CountOptions& options, std::ostream& out) {
    check_paint(options.blank);
    const ColourBook book = colour_book(options.blank);
    const PictureHeader header = picture_header(options.photo, options.blank.max_megapixels);
    const PhotoRequest request{chosen_lay(options.blank).ravel_edge,
                               linear_from_srgb8(book.colour(options.blank.undyed, "--undyed")),
                               PhotoRequest::CornersPicture::not_written};
    const PhotoReading photo = read_photo({options.photo, header}, options.blank, request);
    if (!photo.counted)
        throw Error(ErrorKind::input,
                    options.photo.string() + ": the stitches could not be counted: " + photo.why_uncounted);
    const Json density = density_json(*photo.counted, options.blank.size);
    std::vector<std::string> warnings = photo.warnings;
    if (!density.is_null())
        for (std::string& warning :
             density_warnings(options.blank, density["stitches"].get<double>(), density["rows"].get<double>()))
            warnings.push_back(std::move(warning));
    const Json summary = {{"stitches", photo.counted->first},
                          {"rows", photo.counted->second},
                          {"confidence", rounded(photo.confidence, 3)},
                          {"in_10_cm", density},
                          {"assumed", photo.assumed},
                          {"warnings", warnings}};
    report(out, options.common, summary, Outputs::into_folder({}), in_words(*photo.counted, photo.confidence, density));
}

}  // namespace

void add_count(CLI::App& app, Action& action) {
    const auto options = std::make_shared<CountOptions>();
    CLI::App* command = app.add_subcommand("count", "Stitches and rows of a blank, counted in a photo");
    command->add_option("PHOTO", options->photo, "a photo of the knit side of a blank")->required();
    add_common(*command, options->common, "");
    const auto option = [&](const std::string& name, std::string& value, const std::string& text) {
        return command->add_option(name, value, text)->capture_default_str();
    };
    option("--size", options->blank.size,
           "width x length of the blank, like 24x86cm: gives stitches and rows in 10 cm");
    option("--corners", options->blank.corners,
           "where the blank lies, clockwise from its top left, in pixels of the upright picture; or picture: it fills "
           "the picture (found by itself)");
    option("--white", options->blank.white,
           "a white or grey patch: left, top, width and height in pixels of the upright picture");
    option("--ravel-edge", options->blank.ravel_edge, "where in the photo the blank comes apart");
    option("--blank", options->blank.blank, "stitches x rows that you counted, to compare, like 46x214");
    option("--counted", options->blank.counted,
           "stitches x rows that you counted in 10 cm of the blank, to compare, like 19x25");
    option("--undyed", options->blank.undyed, "colour of the undyed yarn");
    say_values(*command, {{"--size", "WIDTHxLENGTH"},
                          {"--corners", "picture|X,Y,X,Y,X,Y,X,Y"},
                          {"--white", "X,Y,W,H"},
                          {"--ravel-edge", "top|bottom|left|right"},
                          {"--blank", "STITCHESxROWS"},
                          {"--counted", "STITCHESxROWS"},
                          {"--undyed", "COLOUR"}});
    add_examples(*command, {{{"Stitches and rows of a new batch of blanks, and of 10 cm",
                              "loopread count samples/harbour-photo.jpg --size 24x86cm"},
                             {"Checked against what was counted by hand in 10 cm",
                              "loopread count samples/harbour-photo.jpg --size 24x86cm --counted 19x25"}}});
    command->callback([options, &action] { action = [options](std::ostream& out) { run_count(*options, out); }; });
}

}  // namespace loopread::cli
