#pragma once

// Phone photos of both sides of one blank, the other side dyed as far as is asked for, place by place along the yarn.

#include "loopread/loop/cell.h"
#include "photo/table_photo.h"
#include "sides/side_photos.h"

namespace loopread::side_pair {

struct Recipe {
    int stitches = 30, rows = 78;
    double wrap = 0.7, penetration = 0.3;
    Side painted = Side::face;
    std::uint64_t design = 4;
    double exposure = 1;  ///< of the other photo
    double curl_mm = 0.5;
};

inline LinearRgb paint_at(const side_photos::Design& design, double x, double y) {
    const LinearRgb colour = design(x, y);
    return colour == side_photos::kUndyed ? table_photos::kCream : colour;
}

/// One side as it lies before us: undyed cloth as the program draws it, each line of sight dyed as far as is asked for.
/// What shows on the other side has left and right changed.
inline Image side_picture(const Recipe& recipe, Side side) {
    constexpr int kPixels = 16, kLooks = 3;  // a stitch, and each way in a pixel
    const side_photos::Design design = side_photos::blots(recipe.design, recipe.stitches, recipe.rows);
    const LoopShape shape(LoopProportions{});
    const CellShares shares(shape, 1);
    const LoopCell cell(shape, 1, 0);
    const bool on_top = side == recipe.painted;
    side_photos::Recipe dye;
    dye.wrap = recipe.wrap;
    dye.penetration = recipe.penetration;
    Cloth cloth(recipe.rows, recipe.stitches, 1);
    for (int r = 0; r < recipe.rows; ++r)
        for (int c = 0; c < recipe.stitches; ++c) {
            cloth.set_worked(r, c);
            std::fill_n(cloth.loop(r, c, 0), Cloth::kPlaces, LinearRgb{1, 1, 1});
        }
    ClothLook look;
    look.pixels_per_stitch = kPixels;
    look.side = side;
    look.unevenness = 0;  // so that every line of sight is where the loop cell has it
    Image picture = drawn_cloth(cloth, shape, look);
    constexpr int kSights = kPixels * kLooks;
    Plane dyed_at(kSights, kSights);  // of one stitch
    for (int j = 0; j < kSights; ++j)
        for (int i = 0; i < kSights; ++i) {
            const SeenYarn seen =
                cell.seen(side, (i + 0.5) / kSights - 0.5, (0.5 - (j + 0.5) / kSights) * shape.course_spacing());
            dyed_at(j, i) = on_top ? 1
                                   : side_photos::dyed_part(shares.share(recipe.painted, 0, seen.place, 0),
                                                            shares.share(side, 0, seen.place, 0), dye);
        }
    for (int y = 0; y < picture.rows(); ++y)
        for (int x = 0; x < picture.columns(); ++x) {
            LinearRgb sum;
            for (int look_at = 0; look_at < kLooks * kLooks; ++look_at) {
                const double u = (x + (look_at % kLooks + 0.5) / kLooks) / kPixels;
                const double v = (y + (look_at / kLooks + 0.5) / kLooks) / picture.rows() * recipe.rows;
                const double dyed = dyed_at(static_cast<int>((v - std::floor(v)) * kSights),
                                            static_cast<int>((u - std::floor(u)) * kSights));
                const LinearRgb paint = paint_at(design, on_top ? u : recipe.stitches - u, v);
                sum += mixed(table_photos::kCream, paint, dyed) * (1.0 / (kLooks * kLooks));
            }
            const LinearRgb relief = picture(y, x);
            picture(y, x) = {sum.r * relief.r, sum.g * relief.g, sum.b * relief.b};
        }
    return picture;
}

/// @param turn_deg  of the blank in the picture
inline table_photos::TablePhoto side_photo(const Recipe& recipe, Side side, double turn_deg) {
    table_photos::PlacedBlank blank;
    blank.width_mm = 150;
    blank.length_mm = 300;
    blank.curl_mm = recipe.curl_mm;
    blank.ragged_mm = 0.3;
    blank.bow_mm = side == recipe.painted ? 0 : 1.5;
    blank.cloth = side_picture(recipe, side);
    table_photos::Scene scene;
    scene.width = 620;
    scene.height = 1050;
    scene.table = table_photos::light_of(60, 48, 40);
    scene.turn_deg = turn_deg;
    scene.tilt_deg = 6;
    scene.noise = 0.006;
    scene.shadow = 0.2;
    scene.seed = side == recipe.painted ? 1 : 2;
    const double lamp = side == recipe.painted ? 1 : recipe.exposure;
    scene.lamp = {lamp, lamp, lamp};
    return table_photos::table_photo(scene, {blank});
}

}  // namespace loopread::side_pair
