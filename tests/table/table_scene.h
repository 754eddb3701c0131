#pragma once

#include <string>
#include <vector>

#include "loopread/table/table.h"

namespace loopread {

/// A small blank, so that tests are quick: 20 x 40 loops.
inline TableState small_table() {
    TableState state;
    state.blank.stitches = 20;
    state.blank.rows = 40;
    state.blank.width_cm = 10.4;
    state.blank.length_cm = 16;
    state.blank.strand_m = 17;
    state.blank.strands = 2;
    state.knitting.form = KnittingState::Form::plain;
    state.knitting.stitches = 24;
    state.knitters = 30;
    return state;
}

inline TableLayer layer(const std::string& id, LayerForm form, Srgb8 colour = {0x2f, 0x5d, 0x9b}) {
    TableLayer out;
    out.id = out.name = id;
    out.colour = colour;
    out.form = std::move(form);
    return out;
}

inline Stroke stroke(std::vector<BlankPoint> points, double width_cm = 1) {
    Stroke out;
    out.width_cm = width_cm;
    out.points = std::move(points);
    return out;
}

/// A dip, boats and a brush.
inline TableState harbour_table() {
    TableState state = small_table();
    state.layers.push_back(layer("sea", Dip{Dip::Edge::ravel, 0.5, 3}, {0x2f, 0x7d, 0x9b}));
    Prints boats;
    boats.shape = PrintShape::boat;
    boats.size_cm = 2.5;
    boats.repeat = PrintRepeat{3.5, 4, 0.5};
    state.layers.push_back(layer("boats", boats, {0x39, 0x46, 0x7c}));
    state.layers.push_back(
        layer("rope", Brush{{stroke({{10, 20}, {60, 80}}), stroke({{90, 30}, {30, 120}}, 0.6)}}, {0xd8, 0x45, 0x5a}));
    return state;
}

/// A picture with some of everything in it, alpha too.
inline SourcePicture small_picture(int width = 90, int height = 140) {
    SourcePicture picture{width, height, {}};
    for (int y = 0; y < height; ++y)
        for (int x = 0; x < width; ++x) {
            picture.rgba.push_back(static_cast<std::uint8_t>(x * 255 / width));
            picture.rgba.push_back(static_cast<std::uint8_t>(y * 255 / height));
            picture.rgba.push_back(static_cast<std::uint8_t>((x / 9 + y / 7) % 2 * 160 + 40));
            picture.rgba.push_back(static_cast<std::uint8_t>(x < 6 ? 100 : 255));
        }
    return picture;
}

}  // namespace loopread
