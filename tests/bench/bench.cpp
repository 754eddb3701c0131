// Times of whole commands beside a bare cv::imread of the same file: `bench PROGRAM WORK_FOLDER DESIGN YARN PHOTO
// LAYERS STENCIL`, LAYERS a design.toml. See scripts/bench.
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <cmath>
#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <opencv2/imgcodecs.hpp>
#include <opencv2/imgproc.hpp>
#include <string>
#include <vector>

#include "loopread/base/files.h"
#include "loopread/shares/knitters.h"
#include "loopread/yarn/file.h"

namespace {

struct Cost {
    double seconds = 0;
    double peak_mb = 0;
};

/// One run of a command in a process of its own, its output thrown away.
Cost one_run(const std::vector<std::string>& command) {
    const auto start = std::chrono::steady_clock::now();
    std::fflush(stdout);
    const pid_t child = fork();
    if (child == 0) {
        if (!std::freopen("/dev/null", "w", stdout)) _exit(126);
        std::vector<char*> words;
        for (const std::string& word : command) words.push_back(const_cast<char*>(word.c_str()));
        words.push_back(nullptr);
        execv(words[0], words.data());
        _exit(127);
    }
    int status = 0;
    rusage usage{};
    wait4(child, &status, 0, &usage);
    if (!WIFEXITED(status) || WEXITSTATUS(status) != 0) {
        std::fprintf(stderr, "bench: failed: %s\n", command[0].c_str());
        std::exit(1);
    }
    return {std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count(),
            static_cast<double>(usage.ru_maxrss) / 1024};
}

/// The median of several runs, so that one disturbance does not count.
Cost median_cost(const std::vector<std::string>& command) {
    std::vector<double> seconds;
    Cost cost;
    for (int i = 0; i < 7; ++i) {
        const Cost run = one_run(command);
        seconds.push_back(run.seconds);
        cost.peak_mb = std::max(cost.peak_mb, run.peak_mb);
    }
    std::sort(seconds.begin(), seconds.end());
    cost.seconds = seconds[seconds.size() / 2];
    return cost;
}

/// With the grain of a camera, standard deviation in codes.
void write_grainy(cv::Mat picture, double grain_codes, std::uint64_t seed, const std::string& photo) {
    cv::Mat grain(picture.size(), CV_16SC3);
    cv::theRNG().state = seed;
    cv::randn(grain, 0, grain_codes);
    cv::Mat sum;
    picture.convertTo(sum, CV_16SC3);
    sum += grain;
    sum.convertTo(picture, CV_8UC3);
    cv::imwrite(photo, picture, {cv::IMWRITE_JPEG_QUALITY, 92});
}

/// A design scaled up to 12 megapixels, with the grain of a camera.
void make_photo(const std::string& design, const std::string& photo) {
    cv::Mat large;
    cv::resize(cv::imread(design), large, cv::Size(1830, 6557), 0, 0, cv::INTER_CUBIC);
    write_grainy(large, 12, 1, photo);
}

/// What `lay` computes once the picture is read: eight lays, two strands, 81 stitch counts, 100 knitters. Median of 3.
Cost sweep_cost(const std::string& yarn_file) {
    using namespace loopread;
    const std::vector<ColourRun> strands = parsed_yarn_csv(file_bytes(yarn_file), yarn_file);
    std::vector<ColourRun> runs;
    for (int lay = 0; lay < 8; ++lay) runs.insert(runs.end(), strands.begin(), strands.end());
    SweepPlan plan;
    for (int stitches = 40; stitches <= 120; ++stitches) plan.stitches.push_back(stitches);
    std::vector<double> seconds;
    for (int i = 0; i < 3; ++i) {
        const auto start = std::chrono::steady_clock::now();
        if (swept(runs, plan).size() != runs.size()) std::exit(1);
        seconds.push_back(std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count());
    }
    std::sort(seconds.begin(), seconds.end());
    return {seconds[1], 0};
}

void print_row(const char* what, const Cost& cost, double yardstick) {
    std::printf("%-52s %7.0f ms  %6.2f x", what, cost.seconds * 1000, cost.seconds / yardstick);
    if (cost.peak_mb > 0) std::printf("  %6.0f MB", cost.peak_mb);
    std::printf("\n");
}

/// The sample photo as large as a phone takes it.
cv::Mat table_photo(const std::string& sample) {
    cv::Mat large;
    const cv::Mat small = cv::imread(sample);
    const double factor = std::sqrt(12e6 / (static_cast<double>(small.cols) * small.rows));
    cv::resize(small, large, cv::Size(), factor, factor, cv::INTER_CUBIC);
    return large;
}

/// Yarn and listing pictures, and the checks of a design.
void print_picture_rows(const std::string& program, const std::string& folder, const std::string& layers,
                        const std::string& stencil, double yardstick) {
    print_row("skein, six pictures of 2000 pixels", median_cost({program, "skein", layers, "-o", folder + "/skein"}),
              yardstick);
    print_row("listing, nine pictures and a contact sheet of 2000 pixels",
              median_cost({program, "listing", layers, "-o", folder + "/listing"}), yardstick);
    print_row("contrast", median_cost({program, "contrast", layers, "-o", folder + "/contrast"}), yardstick);
    print_row("overdye, three strengths over a fade",
              median_cost({program, "overdye", "--stencil", stencil + "=red-1", "--strengths", "1,1/2,1/4", "--ground",
                           "blue-3,teal-3", "--strike", "0.7", "-o", folder + "/overdye"}),
              yardstick);
}

/// Two photos of one piece, each with a grain of its own.
void print_compare_row(const std::string& program, const std::string& folder, const cv::Mat& table, double yardstick) {
    const std::string before = folder + "/before.jpg", after = folder + "/after.jpg";
    write_grainy(table.clone(), 3, 2, before);
    write_grainy(table.clone(), 3, 3, after);
    print_row("compare two of them", median_cost({program, "compare", before, after, "-o", folder + "/compare"}),
              yardstick);
}

}  // namespace

int main(int argc, char** argv) {
    if (argc == 3 && std::string(argv[1]) == "--imread") return cv::imread(argv[2]).empty() ? 1 : 0;
    if (argc != 8) return 2;
    const std::string program = argv[1], folder = argv[2], design = argv[3], yarn = argv[4];
    std::filesystem::create_directories(folder);
    const std::string photo = folder + "/photo.jpg";
    make_photo(design, photo);
    const Cost imread = median_cost({argv[0], "--imread", photo});
    std::printf("%-52s %10s  %8s  %9s\n", "12-megapixel JPEG, median of 7 whole processes", "time", "ratio", "peak");
    print_row("bare cv::imread", imread, imread.seconds);
    print_row("unravel", median_cost({program, "unravel", photo, "--treat-as", "design", "-o", folder + "/unravel"}),
              imread.seconds);
    print_row("knit, 64 stitches, both balls",
              median_cost({program, "knit", photo, "--treat-as", "design", "-o", folder + "/knit.png"}),
              imread.seconds);
    print_row(
        "knit a pair of socks, 64 stitches",
        median_cost({program, "knit", photo, "--treat-as", "design", "--shape", "sock", "-o", folder + "/sock.png"}),
        imread.seconds);
    print_row("pooling, 81 stitch counts, 100 knitters",
              median_cost({program, "pooling", photo, "--treat-as", "design", "-o", folder + "/pooling"}),
              imread.seconds);
    print_row(
        "pooling, back and forth",
        median_cost({program, "pooling", photo, "--treat-as", "design", "--shape", "flat", "-o", folder + "/pooling"}),
        imread.seconds);
    print_row("of lay: 8 lays x 2 balls x 81 counts x 100 knitters", sweep_cost(yarn), imread.seconds);
    print_row("lay, 16 ways", median_cost({program, "lay", photo, "--treat-as", "design", "-o", folder + "/lay"}),
              imread.seconds);
    print_row("preview", median_cost({program, "preview", photo, "--treat-as", "design", "-o", folder + "/preview"}),
              imread.seconds);
    const std::string on_table = folder + "/on-table.jpg";
    const cv::Mat table = table_photo(argv[5]);
    cv::imwrite(on_table, table, {cv::IMWRITE_JPEG_QUALITY, 92});
    const Cost table_imread = median_cost({argv[0], "--imread", on_table});
    print_row("bare cv::imread of a 12-megapixel photo of a table", table_imread, table_imread.seconds);
    print_row("unravel it: corners found, stitches counted",
              median_cost({program, "unravel", on_table, "--treat-as", "photo", "-o", folder + "/table"}),
              table_imread.seconds);
    print_compare_row(program, folder, table, table_imread.seconds);
    print_picture_rows(program, folder, argv[6], argv[7], imread.seconds);
    const Cost once = median_cost({program, "unravel", design, "--blank", "46x214", "-o", folder + "/once"});
    const Cost wide = median_cost({program, "unravel", design, "--blank", "184x856", "-o", folder + "/wide"});
    print_row("unravel a design, 46 x 214 loops", once, imread.seconds);
    print_row("unravel a design, 184 x 856: 16 times the loops", wide, imread.seconds);
    std::printf("16 times the loops take %.1f times the time of the whole process\n", wide.seconds / once.seconds);
    return 0;
}
