#include <doctest/doctest.h>

#include <cmath>
#include <string>
#include <string_view>
#include <vector>

#include "loopread/unravel/unravelled.h"

// The lists below are written out by hand from the frames of DEVELOPERS.md: nothing in them is computed.

using namespace loopread;

namespace {

// Letters lie 0.5 apart in at least one channel; a leg reaches 2 % of its length into the neighbouring course.
constexpr double kSameLetter = 0.2;

constexpr std::string_view kUpright[] = {"ABCDE", "FGHIJ", "KLMNO", "PQRST"};
constexpr LinearRgb kGround{0.25, 0.25, 0.25};

LinearRgb colour_of(char letter) {
    const int i = letter - 'A';
    return {0.5 * (i % 3), 0.5 * (i / 3 % 3), 0.5 * (i / 9)};
}

char letter_of(LinearRgb colour) {
    for (char letter = 'A'; letter <= 'T'; ++letter) {
        const LinearRgb d = colour - colour_of(letter);
        if (std::sqrt(d.r * d.r + d.g * d.g + d.b * d.b) < kSameLetter) return letter;
    }
    return '?';
}

template <std::size_t N>
Image painted_letters(const std::string_view (&rows)[N]) {
    Image picture(static_cast<int>(N), static_cast<int>(rows[0].size()));
    for (int r = 0; r < picture.rows(); ++r)
        for (int c = 0; c < picture.columns(); ++c)
            picture(r, c) = colour_of(rows[static_cast<std::size_t>(r)][static_cast<std::size_t>(c)]);
    return picture;
}

BlankLayout blank_of(int stitches, int rows, Construction construction, Tail tail, Painted painted) {
    BlankLayout layout;
    layout.stitches = stitches;
    layout.rows = rows;
    layout.strands = 1;
    layout.wale_spacing = Millimetres{5.2};
    layout.course_spacing = Millimetres{5.2 / LoopProportions{}.wale_per_course};
    layout.loop_length = Millimetres{5.2 * LoopProportions{}.length_per_wale};
    layout.construction = construction;
    layout.tail = tail;
    layout.painted = painted;
    return layout;
}

Paint dyed_through(const BlankLayout& layout, const Image& picture, const Lay& lay) {
    Paint paint;
    paint.raster = blank_raster(layout);
    paint.ground = Image(1, 1, kGround);
    paint.picture = laid(picture, lay, layout, paint.raster);
    paint.penetration = 1;
    return paint;
}

std::vector<Piece> pieces_off(const BlankLayout& layout, const Paint& paint) {
    static const LoopShape shape{LoopProportions{}};
    static const CellShares shares(shape, 1);
    return unravelled(layout, paint, shape, shares, WindingOptions{}).front().pieces();
}

/// What a person would write down, unravelling: one word a course.
struct Notes {
    std::string letters;    ///< of both legs together
    std::string leg1_only;  ///< of the leg that comes off first
    std::string leg2_only;
    std::string wales;
    std::string courses;
};

Notes notes_of(const std::vector<Piece>& pieces) {
    Notes notes;
    REQUIRE(pieces.size() % 4 == 0);
    for (std::size_t i = 0; i < pieces.size(); i += 4) {
        if (i > 0 && pieces[i].course != pieces[i - 1].course)
            for (std::string* text : {&notes.letters, &notes.leg1_only, &notes.leg2_only, &notes.wales, &notes.courses})
                *text += ' ';
        constexpr Part kParts[] = {Part::sinker, Part::leg1, Part::needle, Part::leg2};
        for (std::size_t part = 0; part < 4; ++part) {
            REQUIRE(pieces[i + part].part == kParts[part]);
            REQUIRE(pieces[i + part].course == pieces[i].course);
            REQUIRE(pieces[i + part].wale == pieces[i].wale);
        }
        const LinearRgb leg1 = pieces[i + 1].colour, leg2 = pieces[i + 3].colour;
        notes.letters += letter_of((leg1 + leg2) * 0.5);
        notes.leg1_only += letter_of(leg1);
        notes.leg2_only += letter_of(leg2);
        notes.wales += static_cast<char>('0' + pieces[i].wale);
        notes.courses += static_cast<char>('0' + pieces[i].course);
    }
    return notes;
}

// Which turns bring the same cells to the same places: turned so that the ravel edge is on top (left goes on top by one
// clockwise quarter, right by three), then rotated clockwise.
struct Way {
    RavelEdge ravel_edge;
    QuarterTurn rotate;
};
constexpr Way kUprightWays[] = {{RavelEdge::top, QuarterTurn::none},
                                {RavelEdge::left, QuarterTurn::clockwise_270},
                                {RavelEdge::bottom, QuarterTurn::clockwise_180},
                                {RavelEdge::right, QuarterTurn::clockwise_90}};
constexpr Way kQuarterWays[] = {{RavelEdge::left, QuarterTurn::none},
                                {RavelEdge::top, QuarterTurn::clockwise_90},
                                {RavelEdge::bottom, QuarterTurn::clockwise_270},
                                {RavelEdge::right, QuarterTurn::clockwise_180}};
constexpr Way kHalfWays[] = {{RavelEdge::bottom, QuarterTurn::none},
                             {RavelEdge::top, QuarterTurn::clockwise_180},
                             {RavelEdge::left, QuarterTurn::clockwise_90},
                             {RavelEdge::right, QuarterTurn::clockwise_270}};
constexpr Way kThreeQuarterWays[] = {{RavelEdge::right, QuarterTurn::none},
                                     {RavelEdge::top, QuarterTurn::clockwise_270},
                                     {RavelEdge::left, QuarterTurn::clockwise_180},
                                     {RavelEdge::bottom, QuarterTurn::clockwise_90}};

struct Expected {
    const Way (&ways)[4];
    Mirror mirror;
    Tail tail;
    int columns, rows;
    std::string_view flat;
    std::string_view even_tube;  // a round of 2 x columns
    std::string_view odd_tube;   // a round of 2 x columns - 1: nothing lies under the far fold's column
};

constexpr Mirror kNot = Mirror::no;
constexpr Mirror kFlipped = Mirror::left_right;

constexpr Expected kExpected[] = {
    // ABCDE
    // FGHIJ
    // KLMNO
    // PQRST
    {kUprightWays, kNot, Tail::left, 5, 4,           //
     "ABCDE JIHGF KLMNO TSRQP",                      //
     "ABCDEEDCBA FGHIJJIHGF KLMNOONMLK PQRSTTSRQP",  //
     "ABCDEDCBA FGHIJIHGF KLMNONMLK PQRSTSRQP"},
    {kUprightWays, kNot, Tail::right, 5, 4,          //
     "EDCBA FGHIJ ONMLK PQRST",                      //
     "EDCBAABCDE JIHGFFGHIJ ONMLKKLMNO TSRQPPQRST",  //
     "EDCBABCDE JIHGFGHIJ ONMLKLMNO TSRQPQRST"},
    // PKFA
    // QLGB
    // RMHC
    // SNID
    // TOJE
    {kQuarterWays, kNot, Tail::left, 4, 5,            //
     "PKFA BGLQ RMHC DINS TOJE",                      //
     "PKFAAFKP QLGBBGLQ RMHCCHMR SNIDDINS TOJEEJOT",  //
     "PKFAFKP QLGBGLQ RMHCHMR SNIDINS TOJEJOT"},
    {kQuarterWays, kNot, Tail::right, 4, 5,           //
     "AFKP QLGB CHMR SNID EJOT",                      //
     "AFKPPKFA BGLQQLGB CHMRRMHC DINSSNID EJOTTOJE",  //
     "AFKPKFA BGLQLGB CHMRMHC DINSNID EJOTOJE"},
    // TSRQP
    // ONMLK
    // JIHGF
    // EDCBA
    {kHalfWays, kNot, Tail::left, 5, 4,              //
     "TSRQP KLMNO JIHGF ABCDE",                      //
     "TSRQPPQRST ONMLKKLMNO JIHGFFGHIJ EDCBAABCDE",  //
     "TSRQPQRST ONMLKLMNO JIHGFGHIJ EDCBABCDE"},
    {kHalfWays, kNot, Tail::right, 5, 4,             //
     "PQRST ONMLK FGHIJ EDCBA",                      //
     "PQRSTTSRQP KLMNOONMLK FGHIJJIHGF ABCDEEDCBA",  //
     "PQRSTSRQP KLMNONMLK FGHIJIHGF ABCDEDCBA"},
    // EJOT
    // DINS
    // CHMR
    // BGLQ
    // AFKP
    {kThreeQuarterWays, kNot, Tail::left, 4, 5,       //
     "EJOT SNID CHMR QLGB AFKP",                      //
     "EJOTTOJE DINSSNID CHMRRMHC BGLQQLGB AFKPPKFA",  //
     "EJOTOJE DINSNID CHMRMHC BGLQLGB AFKPKFA"},
    {kThreeQuarterWays, kNot, Tail::right, 4, 5,      //
     "TOJE DINS RMHC BGLQ PKFA",                      //
     "TOJEEJOT SNIDDINS RMHCCHMR QLGBBGLQ PKFAAFKP",  //
     "TOJEJOT SNIDINS RMHCHMR QLGBGLQ PKFAFKP"},
    // EDCBA
    // JIHGF
    // ONMLK
    // TSRQP
    {kUprightWays, kFlipped, Tail::left, 5, 4,       //
     "EDCBA FGHIJ ONMLK PQRST",                      //
     "EDCBAABCDE JIHGFFGHIJ ONMLKKLMNO TSRQPPQRST",  //
     "EDCBABCDE JIHGFGHIJ ONMLKLMNO TSRQPQRST"},
    {kUprightWays, kFlipped, Tail::right, 5, 4,      //
     "ABCDE JIHGF KLMNO TSRQP",                      //
     "ABCDEEDCBA FGHIJJIHGF KLMNOONMLK PQRSTTSRQP",  //
     "ABCDEDCBA FGHIJIHGF KLMNONMLK PQRSTSRQP"},
    // AFKP
    // BGLQ
    // CHMR
    // DINS
    // EJOT
    {kQuarterWays, kFlipped, Tail::left, 4, 5,        //
     "AFKP QLGB CHMR SNID EJOT",                      //
     "AFKPPKFA BGLQQLGB CHMRRMHC DINSSNID EJOTTOJE",  //
     "AFKPKFA BGLQLGB CHMRMHC DINSNID EJOTOJE"},
    {kQuarterWays, kFlipped, Tail::right, 4, 5,       //
     "PKFA BGLQ RMHC DINS TOJE",                      //
     "PKFAAFKP QLGBBGLQ RMHCCHMR SNIDDINS TOJEEJOT",  //
     "PKFAFKP QLGBGLQ RMHCHMR SNIDINS TOJEJOT"},
    // PQRST
    // KLMNO
    // FGHIJ
    // ABCDE
    {kHalfWays, kFlipped, Tail::left, 5, 4,          //
     "PQRST ONMLK FGHIJ EDCBA",                      //
     "PQRSTTSRQP KLMNOONMLK FGHIJJIHGF ABCDEEDCBA",  //
     "PQRSTSRQP KLMNONMLK FGHIJIHGF ABCDEDCBA"},
    {kHalfWays, kFlipped, Tail::right, 5, 4,         //
     "TSRQP KLMNO JIHGF ABCDE",                      //
     "TSRQPPQRST ONMLKKLMNO JIHGFFGHIJ EDCBAABCDE",  //
     "TSRQPQRST ONMLKLMNO JIHGFGHIJ EDCBABCDE"},
    // TOJE
    // SNID
    // RMHC
    // QLGB
    // PKFA
    {kThreeQuarterWays, kFlipped, Tail::left, 4, 5,   //
     "TOJE DINS RMHC BGLQ PKFA",                      //
     "TOJEEJOT SNIDDINS RMHCCHMR QLGBBGLQ PKFAAFKP",  //
     "TOJEJOT SNIDINS RMHCHMR QLGBGLQ PKFAFKP"},
    {kThreeQuarterWays, kFlipped, Tail::right, 4, 5,  //
     "EJOT SNID CHMR QLGB AFKP",                      //
     "EJOTTOJE DINSSNID CHMRRMHC BGLQQLGB AFKPPKFA",  //
     "EJOTOJE DINSNID CHMRMHC BGLQLGB AFKPKFA"},
};

void check_letters(const Expected& expected, const BlankLayout& layout, std::string_view letters) {
    for (const Way& way : expected.ways) {
        CAPTURE(static_cast<int>(way.ravel_edge));
        CAPTURE(static_cast<int>(way.rotate));
        const Lay lay{way.ravel_edge, way.rotate, expected.mirror, Fit::stretch};
        const Notes notes = notes_of(pieces_off(layout, dyed_through(layout, painted_letters(kUpright), lay)));
        CHECK(notes.letters == letters);
        CHECK(notes.leg1_only == letters);
        CHECK(notes.leg2_only == letters);
    }
}

struct ExpectedPlaces {
    Construction construction;
    Tail tail;
    int stitches, rows;
    std::string_view courses, wales;
};

constexpr ExpectedPlaces kPlaces[] = {
    {Construction::flat, Tail::left, 5, 4, "00000 11111 22222 33333", "01234 43210 01234 43210"},
    {Construction::flat, Tail::right, 5, 4, "00000 11111 22222 33333", "43210 01234 43210 01234"},
    {Construction::flat, Tail::left, 4, 5, "0000 1111 2222 3333 4444", "0123 3210 0123 3210 0123"},
    {Construction::flat, Tail::right, 4, 5, "0000 1111 2222 3333 4444", "3210 0123 3210 0123 3210"},
    {Construction::flat, Tail::right, 1, 3, "0 1 2", "0 0 0"},
    // Wale 0 of a tube lies at the fold where the tail hangs, at either end.
    {Construction::tube, Tail::left, 10, 3, "0000000000 1111111111 2222222222", "0123456789 0123456789 0123456789"},
    {Construction::tube, Tail::right, 10, 3, "0000000000 1111111111 2222222222", "0123456789 0123456789 0123456789"},
    {Construction::tube, Tail::left, 9, 2, "000000000 111111111", "012345678 012345678"},
    {Construction::tube, Tail::right, 9, 2, "000000000 111111111", "012345678 012345678"},
};

struct ExpectedHalves {
    Construction construction;
    Tail tail;
    int stitches;
    std::string_view leg1, leg2;
};

// Two stitches by two rows, a colour for each half of a stitch:
// AB CD
// EF GH
constexpr std::string_view kHalves[] = {"ABCD", "EFGH"};
constexpr ExpectedHalves kExpectedHalves[] = {
    {Construction::flat, Tail::left, 2, "AC HF", "BD GE"},
    {Construction::flat, Tail::right, 2, "DB EG", "CA FH"},
    {Construction::tube, Tail::left, 4, "ACDB EGHF", "BDCA FHGE"},
    {Construction::tube, Tail::right, 4, "DBAC HFEG", "CABD GEFH"},
    {Construction::tube, Tail::left, 3, "ACB EGF", "BDA FHE"},
    {Construction::tube, Tail::right, 3, "DBC HFG", "CAD GEH"},
};

/// The paint tells where it lies: red is x and green is y, in stitches and rows from the top left, a hundredth each.
Paint map_of_places(const BlankLayout& layout) {
    Paint paint = dyed_through(layout, Image(1, 1, kGround), Lay{});
    Image& map = *paint.picture;
    for (int r = 0; r < map.rows(); ++r)
        for (int c = 0; c < map.columns(); ++c) {
            const double x = (c + 0.5) * paint.raster.mm_per_column / layout.wale_spacing.value;
            const double y = (r + 0.5) * paint.raster.mm_per_row / layout.course_spacing.value;
            map(r, c) = {0.01 * x, 0.01 * y, 0};
        }
    return paint;
}

}  // namespace

TEST_SUITE("unravel") {
    TEST_CASE("painted letters come off in the order written by hand") {
        for (const Expected& expected : kExpected)
            for (const Painted painted : {Painted::face, Painted::back}) {
                CAPTURE(expected.flat);
                CAPTURE(static_cast<int>(expected.tail));
                CAPTURE(static_cast<int>(painted));
                const auto blank = [&](int stitches, Construction construction) {
                    return blank_of(stitches, expected.rows, construction, expected.tail, painted);
                };
                check_letters(expected, blank(expected.columns, Construction::flat), expected.flat);
                check_letters(expected, blank(2 * expected.columns, Construction::tube), expected.even_tube);
                check_letters(expected, blank(2 * expected.columns - 1, Construction::tube), expected.odd_tube);
            }
    }

    TEST_CASE("each piece carries the course and wale written by hand") {
        for (const ExpectedPlaces& expected : kPlaces)
            for (const Painted painted : {Painted::face, Painted::back}) {
                const BlankLayout layout =
                    blank_of(expected.stitches, expected.rows, expected.construction, expected.tail, painted);
                const Notes notes =
                    notes_of(pieces_off(layout, dyed_through(layout, painted_letters(kUpright), Lay{})));
                CAPTURE(expected.stitches);
                CHECK(notes.courses == expected.courses);
                CHECK(notes.wales == expected.wales);
            }
    }

    TEST_CASE("the leg that comes off first is the right one where the course runs right to left") {
        for (const ExpectedHalves& expected : kExpectedHalves)
            for (const Painted painted : {Painted::face, Painted::back}) {
                const BlankLayout layout =
                    blank_of(expected.stitches, 2, expected.construction, expected.tail, painted);
                const Notes notes = notes_of(pieces_off(layout, dyed_through(layout, painted_letters(kHalves), Lay{})));
                CAPTURE(expected.stitches);
                CHECK(notes.leg1_only == expected.leg1);
                CHECK(notes.leg2_only == expected.leg2);
            }
    }

    TEST_CASE("under a tube lies the other side's own picture where there is one") {
        // Seen through from the painted side the other side reads TSRQP, ONMLK, JIHGF, EDCBA from the ravel edge on.
        constexpr std::string_view kOther[] = {"TSRQP", "ONMLK", "JIHGF", "EDCBA"};
        const BlankLayout layout = blank_of(10, 4, Construction::tube, Tail::left, Painted::face);
        Paint paint = dyed_through(layout, painted_letters(kUpright), Lay{});
        paint.other_side = laid(painted_letters(kOther), Lay{}, layout, paint.raster);
        CHECK(notes_of(pieces_off(layout, paint)).letters == "ABCDEPQRST FGHIJKLMNO KLMNOFGHIJ PQRSTABCDE");
    }

    TEST_CASE("under a tube no paint arrives that does not go through") {
        const BlankLayout layout = blank_of(10, 2, Construction::tube, Tail::left, Painted::face);
        Paint paint = dyed_through(layout, Image(1, 1, colour_of('T')), Lay{});
        paint.penetration = 0;
        int hidden = 0;
        for (const Piece& piece : pieces_off(layout, paint)) {
            const bool underneath = piece.wale >= 5;
            hidden += underneath;
            if (underneath) CHECK(piece.colour.g == doctest::Approx(kGround.g).epsilon(1e-12));
        }
        CHECK(hidden == 2 * 5 * 4);
    }

    TEST_CASE("arcs read the paint where they lie") {
        constexpr double kRamp = 1e-6;  // in stitches: a straight ramp comes through bilinear sampling as it is
        for (const Painted painted : {Painted::face, Painted::back})
            for (const Tail tail : {Tail::left, Tail::right}) {
                const BlankLayout layout = blank_of(8, 6, Construction::flat, tail, painted);
                const std::vector<Piece> pieces = pieces_off(layout, map_of_places(layout));
                for (const Piece& piece : pieces) {
                    if (piece.wale < 2 || piece.wale > 5 || piece.course < 2 || piece.course > 3) continue;
                    const bool to_the_right = (piece.course % 2 == 0) == (tail == Tail::left);
                    const double x = 100 * piece.colour.r - (piece.wale + 0.5);
                    const double towards_the_ravel_edge = piece.course + 0.5 - 100 * piece.colour.g;
                    CAPTURE(to_the_right);
                    switch (piece.part) {
                        case Part::sinker:  // the yarn enters from the side it comes from
                            CHECK(std::abs(x - (to_the_right ? -0.5 : 0.5)) < kRamp);
                            CHECK(towards_the_ravel_edge < -0.5);
                            CHECK(towards_the_ravel_edge > -0.9);
                            break;
                        case Part::leg1:
                        case Part::leg2:
                            CHECK(std::abs(x - ((piece.part == Part::leg1) == to_the_right ? -0.25 : 0.25)) < 0.02);
                            CHECK(std::abs(towards_the_ravel_edge) < 0.02);
                            break;
                        case Part::needle:
                            CHECK(std::abs(x) < kRamp);
                            CHECK(towards_the_ravel_edge > 0.5);
                            CHECK(towards_the_ravel_edge < 0.9);
                            break;
                    }
                }
            }
    }

    TEST_CASE("beyond the ravel edge the paint is held constant") {
        const BlankLayout layout = blank_of(5, 4, Construction::flat, Tail::left, Painted::face);
        const std::vector<Piece> pieces = pieces_off(layout, dyed_through(layout, painted_letters(kUpright), Lay{}));
        std::string needles;
        for (const Piece& piece : pieces)
            if (piece.part == Part::needle) needles += letter_of(piece.colour);
        CHECK(needles.substr(0, 5) == "ABCDE");  // over the edge, of which no more is known than its first course
        CHECK(needles.substr(5, 5) == "EDCBA");  // course 1 right to left, its heads in course 0
        CHECK(needles.substr(10, 10) == "FGHIJONMLK");
    }
}
