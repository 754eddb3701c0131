#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "loopread/blank/defaults.h"
#include "loopread/blank/lay.h"
#include "loopread/blank/layout.h"
#include "loopread/colour/spaces.h"
#include "loopread/dye/acid.h"
#include "loopread/dye/bath.h"
#include "loopread/lattice/lattice.h"
#include "loopread/lay/nudge.h"
#include "loopread/shape/rounds.h"
#include "loopread/shape/sock.h"

namespace loopread {

// All that stands on the dye table, as its owner wrote it down: plain values, nothing worked out. What is left open is
// settled from the rest.

struct BlankState {
    std::optional<int> stitches, rows;
    std::optional<double> width_cm, length_cm;
    std::optional<double> strand_m;  ///< yarn in one strand
    std::optional<int> strands;
    double ball_g = 50;  ///< of one strand
    Construction construction = Construction::flat;
    Tail tail = Tail::left;
    Painted painted = Painted::face;
    Srgb8 undyed = kUndyedWool;
    bool operator==(const BlankState&) const = default;
};

/// How the design is turned on the blank: rotated clockwise, then mirrored.
struct LaidAs {
    QuarterTurn rotate = QuarterTurn::none;
    Mirror mirror = Mirror::no;
    bool operator==(const LaidAs&) const = default;
};
/// The turn that brings what was laid as `from` to lie as `to`.
LaidAs turn_between(const LaidAs& from, const LaidAs& to);

/// What the yarn was before it was painted.
struct GroundState {
    enum class Kind { undyed, estimated, colour } kind = Kind::undyed;
    Srgb8 colour = {};
    bool operator==(const GroundState&) const = default;
};

struct PictureState {
    std::string name;
    enum class Kind { design, photo } kind = Kind::design;
    std::optional<Fit> fit;
    RavelEdge ravel_edge = RavelEdge::top;
    std::vector<PicturePoint> corners;  ///< of the blank in a photo, clockwise from the upper left; none: all of it
    GroundState ground;
    double penetration = kDefaultPenetration;
    enum class Count { yes, no } count = Count::yes;  ///< the stitches of a photo
    bool operator==(const PictureState&) const = default;
};

/// On the painted side, from its upper left with the ravel edge on top.
struct BlankPoint {
    double x_mm = 0, y_mm = 0;
    bool operator==(const BlankPoint&) const = default;
};

/// The blank held into a bath by one edge.
struct Dip {
    enum class Edge { ravel, far, left, right } edge = Edge::ravel;
    double level = 0.5;  ///< how much of the blank was under
    double fade_cm = 4;
    bool operator==(const Dip&) const = default;
};

struct Bands {
    enum class Along { rows, length } along = Along::rows;
    double width_cm = 2, gap_cm = 4, start_cm = 0, slant_deg = 0, soft_cm = 0.3;
    bool operator==(const Bands&) const = default;
};

struct Dots {
    double size_cm = 1.2, spacing_cm = 3;
    double jitter = 0.5;  ///< 0: a grid; 1: anywhere within a cell of it
    std::uint64_t seed = 7;
    bool operator==(const Dots&) const = default;
};

struct Stroke {
    double width_cm = 1.5;
    double soft = 0.3;  ///< of its half width, over which its edge fades
    std::vector<BlankPoint> points;
    bool operator==(const Stroke&) const = default;
};
struct Brush {
    std::vector<Stroke> strokes;
    bool operator==(const Brush&) const = default;
};

enum class PrintShape { leaf, boat, fish, star, drop, ring, wave, mask };
struct PrintRepeat {
    double across_cm = 6, along_cm = 7;
    double stagger = 0.5;  ///< of across_cm, of every other line
    bool operator==(const PrintRepeat&) const = default;
};
/// A shape printed here and there.
struct Prints {
    PrintShape shape = PrintShape::leaf;
    int mask = 0;  ///< which mask, for PrintShape::mask
    double size_cm = 4;
    double turn_deg = 0;  ///< clockwise
    std::optional<PrintRepeat> repeat;
    std::vector<BlankPoint> places;  ///< used where nothing repeats
    bool operator==(const Prints&) const = default;
};

using LayerForm = std::variant<Dip, Bands, Dots, Brush, Prints>;

/// What is mixed for a layer. What nobody weighed stays unknown.
struct LayerMix {
    std::optional<double> depth_pct;                ///< of full strength, on the yarn that the layer reaches
    double stock_pct = 1;                           ///< grams of dry dye in 100 ml
    enum class As { paste, stock } as = As::paste;  ///< of what is painted on; a dip goes into a bath
    std::optional<double> paste_pct;                ///< of the full paste
    bool operator==(const LayerMix&) const = default;
};

/// One dye on the blank.
struct TableLayer {
    std::string id, name;
    Srgb8 colour{0x39, 0x46, 0x7c};  ///< of full strength on undyed yarn
    double strength = 1;
    double penetration = kDefaultPenetration;  ///< of a dip always 1
    enum class Shown { yes, no } on = Shown::yes;
    LaidAs laid_as;  ///< how the design lay when the layer's places were written down
    LayerForm form;
    LayerMix mix;
    bool operator==(const TableLayer&) const = default;
};

struct DyeState {
    double wrap = kDefaultWrap;
    double creep_mm = kDesignCreep.value;
    double strike = 1;  ///< share of a painted layer's dye that is fixed before a dip; the rest washes into the bath
    bool operator==(const DyeState&) const = default;
};

/// What is dyed and with what, for the amounts to mix.
struct MixState {
    std::optional<double> balls;  ///< of the blank's weight each; as many as the blank has strands if not said
    DyeClass dye_class = DyeClass::acid;
    AcidKind acid = AcidKind::vinegar;
    std::optional<double> acid_pct;
    double ratio = kUsualRatio;  ///< ml of bath on 1 g of yarn
    bool operator==(const MixState&) const = default;
};

struct KnittingState {
    int stitches = 64;
    std::optional<double> gauge_stitches, gauge_rows;
    std::optional<double> yarn_per_round_cm;
    enum class Form { sock, plain } form = Form::sock;
    Heel heel = Heel::flap;
    std::optional<double> foot_cm, leg_cm;
    enum class From { ravel_end, far_end } from = From::ravel_end;
    Worked worked = Worked::in_the_round;  ///< of a plain piece
    bool operator==(const KnittingState&) const = default;
};

struct TableState {
    std::string title;
    BlankState blank;
    std::optional<PictureState> picture;
    std::vector<TableLayer> layers;  ///< in the order put on
    LaidAs way;
    std::optional<Nudge> nudge;
    DyeState dye;
    MixState mix;
    KnittingState knitting;
    int knitters = 100;
    std::uint64_t seed = 1;
    bool operator==(const TableState&) const = default;
};

}  // namespace loopread
