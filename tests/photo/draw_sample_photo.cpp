// Draws samples/harbour-photo.jpg: a blank of lanterns.toml on a dark table as a phone would see it:
// loopread_sample_photo DESIGN PICTURE.
#include <cstdio>
#include <filesystem>
#include <fstream>

#include "cli/blank_input.h"
#include "loopread/photo/write.h"
#include "loopread/raster/blank_cloth.h"
#include "photo/table_photo.h"

int main(int argc, char** argv) {
    using namespace loopread;
    if (argc != 3) return 2;
    cli::BlankOptions options;
    options.penetration = 0.9;
    Outputs outputs = Outputs::into_folder(std::filesystem::temp_directory_path());
    const cli::BlankInput blank = cli::read_blank(argv[1], options, outputs);
    const WindingOptions winding = cli::winding_options(options, 1);
    ClothLook look;
    look.wale_per_course = blank.layout.wale_spacing / blank.layout.course_spacing;
    look.pixels_per_stitch = 24;
    look.sights = 48;
    table_photos::PlacedBlank placed;
    placed.cloth = drawn_cloth(blank_cloth(blank.layout, cli::unravelled(blank, winding), winding), blank.shape, look);
    placed.bow_mm = 3;
    placed.curl_mm = 2;
    table_photos::Scene scene;
    scene.width = 1500;
    scene.height = 2600;
    scene.table = linear_from_srgb8({0x4a, 0x3c, 0x32});
    scene.streaks = 4;
    scene.turn_deg = 2;
    scene.tilt_deg = 8;
    scene.light_x = {0.10, 0.10, 0.10};
    scene.noise = 0.008;
    const table_photos::TablePhoto photo = table_photos::table_photo(scene, {placed});
    std::ofstream(argv[2], std::ios::binary) << jpeg_bytes(encoded(photo.picture), 90);
    for (const PhotoPoint& corner : photo.corners) std::printf("%.1f,%.1f ", corner.x, corner.y);
    std::printf("\n");
    return 0;
}
