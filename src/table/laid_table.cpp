#include "table/laid_table.h"

#include <algorithm>

#include "loopread/colour/kubelka_munk.h"
#include "loopread/image/sampling.h"
#include "table/settling.h"

namespace loopread {

LinearRgb LaidTable::undyed() const {
    return linear_from_srgb8(on_.state.blank.undyed);
}

DyeLayer LaidTable::dyed(const TableLayer& layer, Plane amount) const {
    const double penetration = std::holds_alternative<Dip>(layer.form) ? 1.0 : layer.penetration;
    return {layer.name, std::move(amount), k_over_s(linear_from_srgb8(layer.colour)) - k_over_s(undyed()), penetration};
}

Paint LaidTable::bare_paint() const {
    Paint out;
    out.raster = on_.raster;
    out.ground = Image(1, 1, undyed());
    out.wrap = on_.state.dye.wrap;
    if (on_.state.picture && !picture_is_ground(on_.state)) out.penetration = on_.state.picture->penetration;
    return out;
}

Paint LaidTable::sharp_paint(const LaidAs& way) const {
    Paint out = bare_paint();
    if (on_.state.picture) {
        LaidPicture shown = picture(way);
        if (picture_is_ground(on_.state)) {
            out.ground = crept_picture(shown.laid);
        } else {
            out.picture = std::move(shown.laid);
            out.ground = std::move(shown.ground);
        }
    }
    out.layers = put_on(on_.state.layers, way, on_.state.dye.strike);
    return baked(std::move(out));
}

Paint LaidTable::set_paint(Paint sharp) const {
    const bool photo = on_.state.picture && on_.state.picture->kind == PictureState::Kind::photo;
    return photo ? sharp : crept(std::move(sharp), Millimetres{on_.state.dye.creep_mm});
}

Plane LaidTable::plane_of(const TableLayer& layer, const LaidAs& way) const {
    Plane plane = reach_of(layer, way);
    for (double& amount : plane) amount *= layer.strength;
    return plane;
}

Plane LaidTable::reach_of(const TableLayer& layer, const LaidAs& way) const {
    Plane plane = drawn(layer.form, on_.raster, on_.masks);
    const LaidAs turn = turn_between(layer.laid_as, way);
    if (!(turn == LaidAs{}))
        plane = laid(plane, {RavelEdge::top, turn.rotate, turn.mirror, usual_fit(turn.rotate)}, on_.layout, on_.raster);
    return plane;
}

std::vector<DyeLayer> LaidTable::put_on(const std::vector<TableLayer>& layers, const LaidAs& way, double strike) const {
    std::vector<DyeLayer> out;
    std::vector<Plane> wet;
    for (const TableLayer& layer : layers) {
        if (layer.on == TableLayer::Shown::no) continue;
        out.push_back(dyed(layer, plane_of(layer, way)));
        const bool bath = strike < 1 && std::holds_alternative<Dip>(layer.form);
        wet.push_back(bath ? reach_of(layer, way) : Plane());
    }
    return washed(std::move(out), wet, strike);
}

/// The picture within its corners, no finer than the blank is read.
Image LaidTable::flat_source(const Lay& lay) const {
    const std::vector<PicturePoint>& corners = on_.state.picture->corners;
    const FlatSize size = corners.empty() ? FlatSize{on_.source.width, on_.source.height} : flat_size(corners);
    const int shrink = shrink_of(size.width, size.height, lay, on_.layout);
    Image flat = light_of(on_.source, undyed(), shrink);
    return corners.empty() ? flat : flattened(flat, corners, shrink);
}

LaidPicture LaidTable::picture(const LaidAs& way) const {
    const PictureState& shown = *on_.state.picture;
    Lay lay = lay_of(shown, way);
    LaidPicture out;
    if (on_.photo && on_.photo->why_not.empty()) {
        lay.ravel_edge = RavelEdge::top;  // of the flat picture
        out.laid = laid(on_.photo->flat, lay, on_.layout, on_.raster);
    } else {
        out.laid = laid(flat_source(lay), lay, on_.layout, on_.raster);
    }
    switch (shown.ground.kind) {
        case GroundState::Kind::undyed:
            out.ground = Image(1, 1, undyed());
            break;
        case GroundState::Kind::colour:
            out.ground = Image(1, 1, linear_from_srgb8(shown.ground.colour));
            break;
        case GroundState::Kind::estimated:
            out.ground = estimated_ground(out.laid);
            break;
    }
    return out;
}

Image LaidTable::crept_picture(const Image& laid) const {
    if (on_.state.picture->kind == PictureState::Kind::photo) return laid;
    const RasterBlur blur = creep_blur({on_.state.dye.creep_mm}, on_.raster);
    return blurred(laid, blur.sigma_x, blur.sigma_y);
}

bool picture_is_ground(const TableState& state) {
    return state.picture && state.picture->penetration >= 1 &&
           std::any_of(state.layers.begin(), state.layers.end(),
                       [](const TableLayer& layer) { return layer.on == TableLayer::Shown::yes; });
}

bool washes(const TableState& state) {
    if (state.dye.strike == 1) return false;
    bool painted = false;
    for (const TableLayer& layer : state.layers) {
        if (layer.on == TableLayer::Shown::no) continue;
        if (!std::holds_alternative<Dip>(layer.form))
            painted = true;
        else if (painted)
            return true;
    }
    return false;
}

Paint baked(Paint paint) {
    if (!paint.picture || paint.layers.empty()) return paint;
    const std::vector<DyeLayer> layers = std::move(paint.layers);
    paint.layers.clear();
    const bool bath = std::any_of(layers.begin(), layers.end(), [](const DyeLayer& l) { return l.penetration >= 1; });
    if (bath && paint.ground.size() == 1)
        paint.ground = Image(paint.raster.rows, paint.raster.columns, paint.ground(0, 0));
    bake(*paint.picture, layers, 0, whole(paint.raster));
    if (bath) bake(paint.ground, layers, 1, whole(paint.raster));
    return paint;
}

void bake(Image& colours, const std::vector<DyeLayer>& layers, double least_penetration, const RasterBox& box) {
    for (int row = box.top; row < box.bottom; ++row)
        for (int column = box.left; column < box.right; ++column) {
            KOverS added;
            bool any = false;
            for (const DyeLayer& layer : layers) {
                const double amount = layer.amount(row, column);
                if (!(amount > 0) || layer.penetration < least_penetration) continue;
                added = added + layer.dye * amount;
                any = true;
            }
            if (!any) continue;
            LinearRgb& colour = colours(row, column);
            colour = linear_from_k_over_s(k_over_s(colour) + added);
        }
}

}  // namespace loopread
