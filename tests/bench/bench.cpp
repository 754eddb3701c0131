// Times and peaks of whole commands beside a bare cv::imread of the same 12-megapixel file, and how they grow with the
// loops: `bench PROGRAM WORK_FOLDER SAMPLES [COMMAND...]`. See scripts/bench.
#include <chrono>
#include <cstdio>
#include <filesystem>
#include <opencv2/imgcodecs.hpp>
#include <set>
#include <string>
#include <vector>

#include "bench/inputs.h"
#include "bench/processes.h"
#include "loopread/base/files.h"
#include "loopread/shares/knitters.h"
#include "loopread/yarn/file.h"

namespace {

using namespace loopread;
using bench::Cost;
using bench::median_cost;

/// The median of seven runs, of three where a run takes over a second; what takes over four seconds is run once.
Cost usual_cost(const std::vector<std::string>& words) {
    const Cost first = median_cost(words, 1);
    return first.seconds > 4 ? first : median_cost(words, first.seconds > 1 ? 3 : 7);
}

/// Loops of a usual blank, four times and sixteen times as many.
const std::vector<std::string> kBlanks = {"46x214", "92x428", "184x856"};

struct Command {
    std::string what;
    std::vector<std::string> words;  ///< command, input and options
    std::string output;              ///< in the work folder; empty: it writes nothing
    /// wound: sixteen times the loops are kilometres of yarn, which no skein or ball is wound of
    enum class Growth { by_loops, wound, none } growth = Growth::none;
};

class Bench {
public:
    Bench(std::string self, std::string program, std::string folder, std::string samples)
        : self_(std::move(self)),
          program_(std::move(program)),
          folder_(std::move(folder)),
          samples_(std::move(samples)) {
        std::filesystem::create_directories(folder_);
        bench::write_large_design(samples_ + "/lanterns.png", design());
        bench::write_large_photo(samples_ + "/harbour-photo.jpg", 0, photo());
        bench::write_large_photo(samples_ + "/harbour-photo.jpg", 2, before());
        bench::write_large_photo(samples_ + "/harbour-photo.jpg", 3, after());
    }

    std::vector<Command> commands() const {
        constexpr auto by_loops = Command::Growth::by_loops;
        const auto of_design = [&](const std::string& what, std::vector<std::string> words, const std::string& output,
                                   Command::Growth growth = Command::Growth::by_loops) {
            words.insert(words.begin() + 1, {design(), "--treat-as", "design"});
            return Command{what, words, output, growth};
        };
        const std::string stencil = samples_ + "/lanterns-stencil-1.png=red-1";
        return {
            of_design("unravel", {"unravel"}, "unravel"),
            {"unravel a photo: corners found, stitches counted", {"unravel", photo(), "--treat-as", "photo"}, "photo"},
            {"count", {"count", photo()}, ""},
            of_design("knit", {"knit"}, "knit.png"),
            of_design("knit a pair of socks", {"knit", "--shape", "sock"}, "socks.png"),
            of_design("pooling", {"pooling"}, "pooling"),
            of_design("pooling, back and forth", {"pooling", "--shape", "flat"}, "flat"),
            of_design("lay, 16 ways", {"lay"}, "lay"),
            of_design("contrast", {"contrast"}, "contrast"),
            {"overdye, three strengths over a fade",
             {"overdye", "--stencil", stencil, "--strengths", "1,1/2,1/4", "--ground", "blue-3,teal-3", "--strike",
              "0.7"},
             "overdye",
             by_loops},
            {"dye, for each painted area",
             {"dye", "--fibre", "100g", "--design", design(), "--treat-as", "design", "--dye", "blue-1=1%"},
             "dye",
             by_loops},
            {"compare two photos", {"compare", before(), after()}, "compare"},
            of_design("skein, six pictures of 2000 pixels", {"skein"}, "skein", Command::Growth::wound),
            of_design("listing, nine pictures of 2000 pixels", {"listing"}, "listing", Command::Growth::wound),
            {"dyetable", {"dyetable", design(), "--treat-as", "design"}, "table.html"},
            of_design("preview", {"preview"}, "preview"),
        };
    }

    Cost imread(const std::string& picture) const { return usual_cost({self_, "--imread", picture}); }
    std::string design() const { return folder_ + "/design.jpg"; }
    std::string photo() const { return folder_ + "/photo.jpg"; }

    Cost cost(const Command& command, const std::vector<std::string>& more) const {
        std::vector<std::string> words = {program_};
        words.insert(words.end(), command.words.begin(), command.words.end());
        words.insert(words.end(), more.begin(), more.end());
        if (!command.output.empty()) words.insert(words.end(), {"-o", folder_ + "/" + command.output});
        return usual_cost(words);
    }

    /// Seconds of what `lay` computes once the picture is read: eight lays, two strands, 81 stitch counts, 100
    /// knitters.
    double sweep_seconds() const {
        const std::string yarn = samples_ + "/rope.csv";
        const std::vector<ColourRun> strands = parsed_yarn_csv(file_bytes(yarn), yarn);
        std::vector<ColourRun> runs;
        for (int lay = 0; lay < 8; ++lay) runs.insert(runs.end(), strands.begin(), strands.end());
        SweepPlan plan;
        for (int stitches = 40; stitches <= 120; ++stitches) plan.stitches.push_back(stitches);
        const auto start = std::chrono::steady_clock::now();
        if (swept(runs, plan).size() != runs.size()) std::exit(1);
        return std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
    }

private:
    std::string before() const { return folder_ + "/before.jpg"; }
    std::string after() const { return folder_ + "/after.jpg"; }

    std::string self_, program_, folder_, samples_;
};

void print_row(const std::string& what, const Cost& cost, double yardstick) {
    std::printf("%-50s %6.0f ms %7.2f x %6.0f MB", what.c_str(), cost.seconds * 1000, cost.seconds / yardstick,
                cost.peak_mb);
}

/// Times with 1, 4 and 16 times the loops, by how much the most take longer, and the peak of the last.
void print_growth(const Bench& bench, const Command& command) {
    const std::size_t sizes = kBlanks.size() - (command.growth == Command::Growth::wound ? 1 : 0);
    std::vector<Cost> costs;
    for (std::size_t i = 0; i < sizes; ++i) costs.push_back(bench.cost(command, {"--blank", kBlanks[i]}));
    std::printf("  ");
    for (const Cost& cost : costs) std::printf("%6.0f ", cost.seconds * 1000);
    std::printf("%*sms %5.1f x %6.0f MB", static_cast<int>(7 * (kBlanks.size() - sizes)), "",
                costs.back().seconds / costs.front().seconds, costs.back().peak_mb);
}

/// @param asked  commands, like lay; none: all
void print_table(const Bench& bench, const std::set<std::string>& asked) {
    std::printf("%-50s %9s %9s %9s  %s\n", "12-megapixel inputs, whole processes", "time", "ratio", "peak",
                "1, 4, 16 times the loops; growth, peak");
    const Cost imread = bench.imread(bench.design());
    print_row("bare cv::imread of the design", imread, imread.seconds);
    std::printf("\n");
    print_row("bare cv::imread of the photo of a table", bench.imread(bench.photo()), imread.seconds);
    std::printf("\n");
    for (const Command& command : bench.commands()) {
        if (!asked.empty() && !asked.contains(command.words.front())) continue;
        print_row(command.what, bench.cost(command, {}), imread.seconds);
        if (command.growth != Command::Growth::none) print_growth(bench, command);
        std::printf("\n");
        std::fflush(stdout);
    }
    const double sweep = bench.sweep_seconds();
    std::printf("%-50s %6.0f ms %7.2f x\n", "of lay: 8 lays x 2 balls x 81 counts x 100 knitters", sweep * 1000,
                sweep / imread.seconds);
}

}  // namespace

int main(int argc, char** argv) {
    if (argc == 3 && std::string(argv[1]) == "--imread") return cv::imread(argv[2]).empty() ? 1 : 0;
    if (argc < 4) return 2;
    print_table(Bench(argv[0], argv[1], argv[2], argv[3]), std::set<std::string>(argv + 4, argv + argc));
    return 0;
}
