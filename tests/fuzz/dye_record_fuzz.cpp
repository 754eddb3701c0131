// A dyeing's record, as `dye --from-record` takes it, and the recipe it asks for.

#include <CLI/CLI.hpp>
#include <tuple>

#include "cli/dye_record.h"
#include "fuzz/recipe_promises.h"

namespace {

using namespace loopread;
using fuzz::hold;

constexpr std::size_t kMostBytes = 5000;

/// The options of a command with nothing typed.
struct Dyeing {
    CLI::App command{"", "dye"};
    cli::DyeOptions options;
    Dyeing() {
        cli::add_dyeing(command, options);
        cli::add_common(command, options.common, "");
        cli::add_blank(command, options.blank);
    }
};

/// Of those that make the recipe; the text of the record tells the others.
bool same(const cli::DyeOptions& one, const cli::DyeOptions& other) {
    const auto texts = [](const cli::DyeOptions& o) {
        return std::tie(o.fibre, o.strengths, o.acid, o.acid_strength, o.ratio, o.dye_class, o.units, o.batch);
    };
    const auto lists = [](const cli::DyeOptions& o) {
        return std::tie(o.dyes, o.stocks, o.used, o.pastes, o.jars, o.notes, o.allow_deep, o.blank.mirror);
    };
    return texts(one) == texts(other) && lists(one) == lists(other);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (size > kMostBytes) return 0;
    const fuzz::InputFile file(fuzz::text_of(data, size));
    Dyeing first;
    if (!fuzz::unless_refused([&] { return cli::read_record(first.command, file.path()); })) return 0;
    const std::string text = cli::record_text(first.command, file.path(), "", {});
    file.write(text);
    Dyeing second;
    cli::read_record(second.command, file.path());
    hold(cli::record_text(second.command, file.path(), "", {}) == text, "what was written reads back");
    hold(same(first.options, second.options), "what was written means the same");
    fuzz::hold_recipe(first.options);
    return 0;
}
