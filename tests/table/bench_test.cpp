#include "loopread/table/bench.h"

#include <doctest/doctest.h>

#include <algorithm>
#include <cmath>
#include <numeric>
#include <set>

#include "loopread/base/error.h"
#include "loopread/overdye/ground.h"
#include "loopread/table/mixing.h"
#include "table/table_scene.h"

using namespace loopread;

namespace {

constexpr double kSums = 1e-9;  // relative: sums of ten thousands of doubles

/// The whole blank under water.
Dip all_of_it() {
    return {Dip::Edge::ravel, 3, 0};
}
Bands whole_stencil() {
    Bands bands;
    bands.width_cm = 900;
    bands.start_cm = -400;
    return bands;
}

KOverS all_dye(const std::vector<DyeLayer>& layers) {
    KOverS sum;
    for (const DyeLayer& layer : layers)
        sum = sum + layer.dye * std::accumulate(layer.amount.begin(), layer.amount.end(), 0.0);
    return sum;
}

TableState stencil_and_dip(double strike) {
    TableState state = small_table();
    state.dye.creep_mm = 0;
    state.dye.strike = strike;
    Prints boats;
    boats.shape = PrintShape::boat;
    boats.size_cm = 2.5;
    boats.repeat = PrintRepeat{3.5, 4, 0.5};
    state.layers.push_back(layer("boats", boats, {0xb8, 0x40, 0x2e}));
    state.layers.push_back(layer("sea", Dip{Dip::Edge::far, 0.6, 3}, {0x2b, 0x6f, 0x92}));
    return state;
}

/// One layer over the whole of a blank that weighs so much.
TableState whole_dyed(double fibre_g, double depth_pct, double stock_pct) {
    TableState state = small_table();
    state.blank.ball_g = fibre_g / 2;
    state.layers.push_back(layer("blue", all_of_it()));
    state.layers.back().mix.depth_pct = depth_pct;
    state.layers.back().mix.stock_pct = stock_pct;
    return state;
}

TableMix mix_of(const TableState& state, Units units = Units::metric) {
    DyeTable table;
    table.apply(state);
    return table_mix(table, reached_areas(table), units);
}

std::vector<BenchLayer> bench_of(const TableState& state) {
    DyeTable table;
    table.apply(state);
    Bench bench(table);
    while (!bench.done()) bench.step();
    return bench.told();
}

}  // namespace

TEST_SUITE("table") {
    TEST_CASE("what washes out of a stencil is in the bath, no dye more and none less") {
        for (const double strike : {0.0, 0.35, 1.0}) {
            TableState state = stencil_and_dip(strike);
            state.layers.push_back(layer("moss", Dip{Dip::Edge::left, 0.7, 2}, {0x5f, 0x7d, 0x4f}));
            DyeTable table;
            table.apply(state);
            const KOverS before = all_dye(table.layered_paint(state.layers, 1).layers);
            const std::vector<DyeLayer> after = table.layered_paint(state.layers, strike).layers;
            CHECK(after.size() == (strike < 1 ? 5U : 3U));
            const KOverS now = all_dye(after);
            CHECK(now.r == doctest::Approx(before.r).epsilon(kSums));
            CHECK(now.g == doctest::Approx(before.g).epsilon(kSums));
            CHECK(now.b == doctest::Approx(before.b).epsilon(kSums));
        }
    }

    TEST_CASE("a bath over all of the blank takes up what stencilled_first says") {
        constexpr double kStrike = 0.4;
        TableState state = stencil_and_dip(kStrike);
        state.layers[1].form = all_of_it();
        DyeTable table;
        table.apply(state);
        const Paint own = table.layered_paint(state.layers, kStrike);
        const Paint stencil = table.layered_paint({state.layers[0]}, 1);
        const KOverS washed = washed_dye(stencil, kStrike);
        REQUIRE(own.layers.size() == 3);
        CHECK(own.layers[2].dye.r == doctest::Approx(washed.r).epsilon(kSums));
        CHECK(own.layers[2].dye.b == doctest::Approx(washed.b).epsilon(kSums));
        CHECK(*std::min_element(own.layers[2].amount.begin(), own.layers[2].amount.end()) == 1);
        const Paint other = stencilled_first(stencil, kStrike);
        for (int row = 0; row < own.raster.rows; row += 7)
            for (int column = 0; column < own.raster.columns; column += 5)
                REQUIRE(own.layers[0].amount(row, column) ==
                        doctest::Approx(other.layers[0].amount(row, column)).epsilon(kSums));
    }

    TEST_CASE("where the bath does not reach and after it nothing washes out") {
        TableState state = stencil_and_dip(0.2);
        DyeTable table;
        table.apply(state);
        const Plane painted = table.layered_paint(state.layers, 1).layers[0].amount;
        const Paint washed = table.layered_paint(state.layers, 0.2);
        CHECK(washed.layers[0].amount(3, 3) == painted(3, 3));  // the far end is under water, not the ravel edge
        CHECK(washed.layers[2].amount(3, 3) == 0);
        const Paint dipped_first = table.layered_paint(in_order(state.layers, LayerOrder::dipped_first), 0.2);
        REQUIRE(dipped_first.layers.size() == 2);
        CHECK(std::equal(painted.begin(), painted.end(), dipped_first.layers[1].amount.begin()));
    }

    TEST_CASE("what went through one bath has struck before the next") {
        const Plane stencil(2, 2, 1.0), wet(2, 2, 1.0);
        const std::vector<DyeLayer> layers = washed(
            {{"a", stencil, {1, 1, 1}, 0.4}, {"b", wet, {2, 2, 2}, 1}, {"c", wet, {3, 3, 3}, 1}}, {{}, wet, wet}, 0.25);
        REQUIRE(layers.size() == 4);  // the second bath takes up nothing
        CHECK(layers[0].amount(0, 0) == doctest::Approx(0.25));
        CHECK(layers[3].dye.r == doctest::Approx(0.75));
    }

    TEST_CASE("the order changes nothing where all dye has struck, and does where not") {
        constexpr double kAlike = 1e-6;  // CIEDE2000 of sums taken in another order
        DyeTable table;
        table.apply(stencil_and_dip(1));
        CHECK(order_difference(table) < kAlike);
        table.apply(stencil_and_dip(0.5));
        CHECK(order_difference(table) > 1);
    }

    TEST_CASE("a table that washes gives the same yarn whichever way it was reached") {
        TableState state = stencil_and_dip(0.6);
        state.layers.insert(state.layers.begin() + 1, layer("rope", Brush{{stroke({{10, 20}, {60, 80}})}}));
        DyeTable table;
        table.apply(stencil_and_dip(1));
        table.apply(state);
        std::get<Brush>(state.layers[1].form).strokes[0].points.push_back({80, 140});
        table.apply(state);
        DyeTable fresh;
        fresh.apply(state);
        REQUIRE(table.paint().layers.size() == fresh.paint().layers.size());
        REQUIRE(table.paint().layers.size() == 4);
        for (std::size_t i = 0; i < 4; ++i)
            CHECK(std::equal(table.paint().layers[i].amount.begin(), table.paint().layers[i].amount.end(),
                             fresh.paint().layers[i].amount.begin()));
        for (std::size_t s = 0; s < 2; ++s) {
            const LinearRgb one = table.strands()[s].mean(0, 17000), other = fresh.strands()[s].mean(0, 17000);
            CHECK(one.r == other.r);
            CHECK(one.b == other.b);
        }
    }

    TEST_CASE("the bench says of each layer what the contrast of the whole design says") {
        const TableState state = harbour_table();
        DyeTable table;
        table.apply(state);
        const std::vector<LayerContrast> expected = layer_contrasts(table.sharp_paint({}), kLostUnder);
        const std::vector<BenchLayer> told = bench_of(state);
        REQUIRE(told.size() == expected.size());
        for (std::size_t i = 0; i < told.size(); ++i) {
            CHECK(told[i].id == state.layers[i].id);
            CHECK(told[i].contrast.apart.delta_l == doctest::Approx(expected[i].apart.delta_l).epsilon(kSums));
            CHECK(told[i].contrast.apart.delta_e00 == doctest::Approx(expected[i].apart.delta_e00).epsilon(kSums));
        }
    }

    TEST_CASE("over a picture the bench tells of the picture's own colours") {
        TableState state = small_table();
        state.picture.emplace();
        state.layers.push_back(layer("all", whole_stencil()));
        DyeTable table;
        SourcePicture grey{4, 4, {}};
        for (int i = 0; i < 64; ++i) grey.rgba.push_back(i % 4 == 3 ? 255 : 119);
        table.set_source(grey);
        table.apply(state);
        Bench bench(table);
        bench.step();
        // sRGB #777777 has L* 50.03 (CIE 15 through IEC 61966-2-1)
        CHECK(bench.told()[0].ground_l == doctest::Approx(50.03).epsilon(0.001));
    }

    TEST_CASE("each halving of a black lifts L* by about 7 to 10") {
        // K/S linear in the dye, undyed R = 0.65, full R = 0.05: figures from arithmetic outside this program, told in
        // whole L*, here with 8-bit colours
        constexpr double kWholeNumbers = 1;
        TableState state = small_table();
        state.blank.undyed = {211, 211, 211};
        state.layers.push_back(layer("black", whole_stencil(), {63, 63, 63}));
        const BenchLayer told = bench_of(state)[0];
        REQUIRE(told.strengths.size() == 3);
        const double expected[] = {27, 36, 46};
        for (std::size_t i = 0; i < 3; ++i) {
            CHECK(std::abs(told.strengths[i].l - expected[i]) < kWholeNumbers);
            if (i == 0) continue;
            const double lift = told.strengths[i].l - told.strengths[i - 1].l;
            CHECK(lift > 7);
            CHECK(lift < 10 + kWholeNumbers);
        }
        CHECK(told.strengths[2].stir == "1 part paste to 3 parts plain paste, not water");
        REQUIRE(told.even.size() == 3);
        const double step = told.even[1].l - told.even[0].l;
        CHECK(told.even[2].l - told.even[1].l == doctest::Approx(step).epsilon(1e-6));
        CHECK(told.ground_l - told.even[2].l == doctest::Approx(step).epsilon(1e-6));
        CHECK(told.contrast.apart.held == Held::holds);
        CHECK(told.remedies.empty());
    }

    TEST_CASE("a pale motif on a deep dip is lost, and its remedy has the figures of four times the dye") {
        TableState state = small_table();
        state.layers.push_back(layer("night", all_of_it(), {0x1f, 0x3f, 0x5b}));
        state.layers.push_back(layer("shell", whole_stencil(), {0xd9, 0xa4, 0x41}));
        state.layers.back().strength = 0.2;
        const BenchLayer told = bench_of(state)[1];
        CHECK(told.contrast.apart.held == Held::lost);
        REQUIRE(told.remedies.size() == 3);
        CHECK(told.remedies[0].strength == doctest::Approx(0.8));
        state.layers.back().strength = 0.8;
        const BenchLayer stronger = bench_of(state)[1];
        CHECK(stronger.contrast.apart.delta_l == doctest::Approx(told.remedies[0].remedy.apart.delta_l).epsilon(0.01));
        state.layers.back().strength = 0.3;
        CHECK_FALSE(bench_of(state)[1].remedies[0].strength.has_value());  // 120 % cannot be stirred from its own paste
    }

    TEST_CASE("a motif that holds on the pale end and is lost in the dip is told so, with what would help there") {
        TableState state = small_table();
        state.dye.creep_mm = 0;
        state.layers.push_back(layer("night", Dip{Dip::Edge::far, 0.5, 0}, {0x0a, 0x14, 0x1e}));
        state.layers.push_back(layer("shell", whole_stencil(), {0xb8, 0x40, 0x2e}));
        state.layers.back().strength = 0.1;
        for (const double strike : {1.0, 0.0}) {
            state.dye.strike = strike;  // dipped first: nothing washes out
            const BenchLayer told = bench_of(state)[1];
            CHECK(told.contrast.apart.held == Held::holds);
            CHECK(told.lost_share == doctest::Approx(0.5).epsilon(0.03));  // half of 40 rows, by whole stitches
            REQUIRE(told.remedies.size() == 3);
            // on the dip and its edge (L* 6 to 30), not on the mean of both (some 60)
            CHECK(lab_from_linear(told.remedies[0].remedy.lighter).l < 30);
        }
        std::swap(state.layers[0], state.layers[1]);
        const BenchLayer washed = bench_of(state)[0];
        CHECK(washed.lost_share == doctest::Approx(0.5).epsilon(0.03));  // where all has washed out
    }

    TEST_CASE("amounts are the published ones where one layer takes all of the yarn") {
        // ml = fibre x depth / stock: four worked examples of a craft reference
        struct Example {
            double fibre_g, depth_pct, stock_pct, ml;
        };
        for (const Example& e : {Example{454, 1, 1, 454}, Example{454, 2, 1, 908}, Example{454, 0.1, 1, 45.4},
                                 Example{454, 0.1, 0.1, 454}}) {
            const TableMix mix = mix_of(whole_dyed(e.fibre_g, e.depth_pct, e.stock_pct));
            REQUIRE(mix.recipe.dyes[0].stock.has_value());
            CHECK(mix.recipe.dyes[0].stock->value == doctest::Approx(e.ml).epsilon(kSums));
            CHECK(mix.recipe.bath.value == doctest::Approx(30 * e.fibre_g));
        }
        // and two of dry dye: 2 % on 125 g, 3 % on 300 g
        CHECK(mix_of(whole_dyed(125, 2, 1)).recipe.dyes[0].dye->value == doctest::Approx(2.5));
        CHECK(mix_of(whole_dyed(300, 3, 1)).recipe.dyes[0].dye->value == doctest::Approx(9));
    }

    TEST_CASE("a depth that nobody gave stays unknown, and so does the total") {
        TableState state = harbour_table();
        state.layers[0].mix.depth_pct = 1;
        const TableMix mix = mix_of(state);
        CHECK(mix.recipe.dyes[0].stock.has_value());
        CHECK_FALSE(mix.recipe.dyes[1].stock.has_value());
        CHECK_FALSE(mix.recipe.total.has_value());
        CHECK(mix.layers[1].words[0].find("unknown") == 0);
        CHECK(mix_text(mix, "harbour").find("unknown in all") != std::string::npos);
    }

    TEST_CASE("a dip goes into the bath, a stencil becomes paste, and each says how") {
        TableState state = harbour_table();
        for (TableLayer& one : state.layers) one.mix.depth_pct = 1;
        state.layers[2].mix.as = LayerMix::As::stock;
        const TableMix mix = mix_of(state);
        using On = TableMix::Layer::On;
        CHECK(mix.layers[0].on == On::bath);
        CHECK(mix.layers[1].on == On::paste);
        CHECK(mix.layers[2].on == On::stock);
        REQUIRE(mix.recipe.pastes.size() == 1);
        // of a paste as strong as the depth the yarn holds just enough
        CHECK(mix.recipe.pastes[0].to_make->value == doctest::Approx(mix.recipe.places[1].fibre.value));
        const auto has = [&](const char* heading) {
            return std::any_of(mix.recipe.steps.begin(), mix.recipe.steps.end(),
                               [&](const DyeStep& step) { return step.heading == heading; });
        };
        CHECK(has("Fill the pot"));
        CHECK(has("Steam"));
        for (const std::string& warning : mix.recipe.warnings) CHECK(warning.find("sea") == std::string::npos);
    }

    TEST_CASE("what washes out later was painted too: amounts do not know the strike") {
        TableState state = stencil_and_dip(1);
        DyeTable table;
        table.apply(state);
        const std::vector<AreaShare> all = reached_areas(table);
        state.dye.strike = 0.3;
        table.apply(state);
        const std::vector<AreaShare> washed_too = reached_areas(table);
        REQUIRE(washed_too.size() == 2);
        CHECK(washed_too[0].dyed == all[0].dyed);
    }

    TEST_CASE("two layers of one name are two dyes, and a layer that is off is none") {
        TableState state = harbour_table();
        for (TableLayer& one : state.layers) one.name = "blue";
        state.layers[1].on = TableLayer::Shown::no;
        const TableMix mix = mix_of(state);
        REQUIRE(mix.layers.size() == 2);
        CHECK(mix.recipe.places[0].place.name == "blue");
        CHECK(mix.recipe.places[1].place.name == "blue 2");
        CHECK(mix.layers[1].id == state.layers[2].id);
    }

    TEST_CASE("balls are as many as strands until the dyer says otherwise") {
        TableState state = whole_dyed(100, 1, 1);
        CHECK(mix_of(state).recipe.request.fibre.value == 100);
        state.mix.balls = 5;
        CHECK(mix_of(state).recipe.request.fibre.value == 250);
    }

    TEST_CASE("more dye than fibre can take is refused in one sentence") {
        CHECK_THROWS_AS(mix_of(whole_dyed(100, 9, 1)), Error);
        TableState vinegar = whole_dyed(100, 1, 1);
        vinegar.mix.acid_pct = 80;
        CHECK_THROWS_AS(mix_of(vinegar), Error);
    }

    TEST_CASE("the amounts as text carry every caution and promise nothing") {
        for (const DyeClass dye_class : {DyeClass::acid, DyeClass::metal_complex, DyeClass::reactive}) {
            TableState state = whole_dyed(100, 1, 1);
            state.mix.dye_class = dye_class;
            const std::string text = mix_text(mix_of(state, Units::us), "harbour");
            for (const Caution& caution : cautions(dye_class)) CHECK(text.find(in_words(caution)) != std::string::npos);
            CHECK(text.find("US cup") != std::string::npos);
            for (const char* promise : {"colourfast", "machine washable", "safe for babies"})
                CHECK(text.find(promise) == std::string::npos);
        }
    }
}
