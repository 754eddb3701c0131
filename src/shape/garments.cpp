#include "loopread/shape/garments.h"

#include <algorithm>
#include <string>

#include "loopread/base/error.h"
#include "loopread/base/require.h"
#include "shape/directions.h"
#include "shape/limits.h"

namespace loopread {

namespace {

void check_count(std::string_view option, std::string_view shape, int count, int least, int most) {
    if (count >= least && count <= most) return;
    throw Error(ErrorKind::usage, std::string(option) + " " + std::to_string(count) + ": cannot be knitted as " +
                                      std::string(shape) + "; give " + std::to_string(least) + " to " +
                                      std::to_string(most));
}

/// The count that stretches without an `until` of their own go to.
int asked_stitches(const Pattern& pattern, const GarmentSize& size) {
    check_gauge(size.gauge);
    if (size.stitches) {
        check_count("--stitches", pattern.name, *size.stitches, pattern.least, kMostStitches);
        return *size.stitches;
    }
    // A piece that grows for so many rows is as wide as it gets.
    if (size.rounds && pattern.cast_on > 0) return kMostStitches;
    const int usual = stitches_over(Millimetres{pattern.width_cm * 10}, size.gauge, pattern.multiple);
    return std::max(usual, pattern.least);
}

/// Appends one stretch. @return the stitches it ends with
int add_stretch(std::vector<Round>& rounds, const Stretch& stretch, int stitches, int asked, const GarmentSize& size) {
    const bool by_rounds = stretch.extent == Extent::asked && size.rounds;
    const auto add = [&](int count) {
        rounds.push_back({.stitches = count,
                          .worked = stretch.worked,
                          .section = stretch.section,
                          .columns_across = count,
                          .front_from = stretch.worked == Worked::in_the_round ? (count + 1) / 2 : count,
                          .texture = stretch.texture});
    };
    if (stretch.change == 0) {
        const int length = by_rounds ? *size.rounds : rounds_over(Millimetres{stretch.cm * 10}, size.gauge);
        for (int round = 0; round < std::max(1, length); ++round) add(stitches);
        return stitches;
    }
    require(stretch.every > 0, "every > 0");
    const int limit = stretch.until > 0 ? stretch.until : asked;
    const auto within = [&](int count) { return stretch.change > 0 ? count <= limit : count >= limit; };
    for (int round = 0; !by_rounds || round < *size.rounds; ++round) {
        if (round % stretch.every == 0) {
            if (!within(stitches + stretch.change)) break;
            stitches += stretch.change;
        }
        add(stitches);
    }
    return stitches;
}

/// Flat pieces that change are centred on their widest row.
void centre_rows(std::vector<Round>& rounds) {
    int widest = 0;
    for (const Round& round : rounds) widest = std::max(widest, round.stitches);
    for (Round& round : rounds) {
        if (round.worked == Worked::in_the_round) continue;
        round.columns_from = (widest - round.stitches) / 2;
        round.front_from = widest;
    }
}

Garment knitted_sock(const GarmentSize& size) {
    if (size.rounds)
        throw Error(ErrorKind::usage,
                    "--rounds: a sock has no one number of rounds; give --cuff, --leg and --foot-length instead");
    return sock({.stitches = size.stitches, .gauge = size.gauge, .cut = size.sock});
}

}  // namespace

Garment garment(const Pattern& pattern, const GarmentSize& size) {
    if (size.rounds) check_count("--rounds", pattern.name, *size.rounds, 1, kMostRounds);
    const int asked = asked_stitches(pattern, size);
    Garment made{.name = std::string(pattern.name), .rounds = {}};
    int stitches = pattern.cast_on > 0 ? pattern.cast_on : asked;
    for (const Stretch& stretch : pattern.stretches)
        stitches = add_stretch(made.rounds, stretch, stitches, asked, size);
    centre_rows(made.rounds);
    set_directions(made.rounds);
    return made;
}

std::vector<std::string_view> shape_names() {
    std::vector<std::string_view> names = {"sock"};
    for (const Pattern& pattern : patterns()) names.push_back(pattern.name);
    return names;
}

Garment garment(std::string_view shape, const GarmentSize& size) {
    if (shape == "sock") return knitted_sock(size);
    for (const Pattern& pattern : patterns())
        if (pattern.name == shape) return garment(pattern, size);
    std::string known;
    for (const std::string_view name : shape_names()) known += (known.empty() ? "" : ", ") + std::string(name);
    throw Error(ErrorKind::usage, "--shape " + std::string(shape) + ": unknown shape; take one of " + known);
}

Garment tube(int stitches, int rounds) {
    return garment("tube", {.stitches = stitches, .rounds = rounds});
}
Garment flat(int stitches, int rows) {
    return garment("flat", {.stitches = stitches, .rounds = rows});
}

}  // namespace loopread
