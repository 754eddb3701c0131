// Draws the fabrics that are judged by eye, six to a sheet, with their numbers and nothing else: loopread_eyes FOLDER.
#include <algorithm>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>

#include "eyes/eye_fabrics.h"
#include "loopread/draw/canvas.h"
#include "loopread/loop/interlacing.h"
#include "loopread/photo/write.h"
#include "loopread/raster/cloth.h"

namespace {

using namespace loopread;

constexpr int kHeight = 560, kWhole = 190, kClose = 390, kGap = 12, kHead = 30;

Image drawn(const eyes::EyeFabric& fabric, double pixels_per_stitch, int rounds) {
    ClothLook look;
    look.pixels_per_stitch = pixels_per_stitch;
    look.paper = linear_from_srgb8(ink::kPaper);
    return drawn_cloth(fabric_cloth(fabric.fabric, fabric.run, rounds), drawn_shape({1.31, 4.18}).shape, look);
}

/// The whole piece at the left, its beginning with single stitches at the right.
void put(Canvas& canvas, int x, int y, const eyes::EyeFabric& fabric) {
    const int stitches = fabric.fabric.rounds.front().round.stitches;
    const auto rounds = static_cast<int>(fabric.fabric.rounds.size());
    const double whole = std::min(static_cast<double>(kWhole) / stitches, kHeight * 1.31 / rounds);
    const Image small = drawn(fabric, whole, rounds);
    const double close = static_cast<double>(kClose) / stitches;
    const Image large = drawn(fabric, close, std::min(rounds, static_cast<int>(kHeight * 1.31 / close)));
    canvas.text(x, y + 20, std::to_string(fabric.number), {.size = 18, .weight = Weight::bold});
    canvas.picture(encoded(small), x, y + kHead);
    canvas.picture(encoded(large), x + kWhole + kGap, y + kHead);
}

}  // namespace

int main(int argc, char** argv) {
    if (argc != 2) return 2;
    std::filesystem::create_directories(argv[1]);
    const std::vector<eyes::EyeFabric> fabrics = eyes::eye_fabrics();
    const int width = kWhole + kGap + kClose + 2 * kGap, height = kHead + kHeight + kGap;
    for (std::size_t first = 0; first < fabrics.size(); first += 6) {
        Canvas canvas(3 * width + kGap, 2 * height + kGap, ink::kPaper);
        for (std::size_t i = 0; i < 6 && first + i < fabrics.size(); ++i)
            put(canvas, kGap + static_cast<int>(i % 3) * width, static_cast<int>(i / 3) * height, fabrics[first + i]);
        const std::string file = std::string(argv[1]) + "/sheet-" + std::to_string(first / 6 + 1) + ".png";
        std::ofstream(file, std::ios::binary) << png_bytes(canvas.pixels());
        std::printf("%s\n", file.c_str());
    }
    return 0;
}
