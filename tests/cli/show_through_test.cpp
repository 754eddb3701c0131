#include "cli/show_through.h"

#include <doctest/doctest.h>

#include "base/temporary_folder.h"

using namespace loopread;

TEST_SUITE("cli") {
    TEST_CASE("a yarn base keeps the names of its photos, quotes and line breaks and all") {
        cli::ShowThroughFound found;
        found.figures.wrap = {0.65, 0.5, 0.8, ""};
        found.figures.penetration = {0.4, 0.35, 0.45, ""};
        found.other_name = "back.jpg";
        for (const std::string name :
             {"it's the quay.jpg", "two\nlines '''of a name.jpg", "\"\"\".jpg", "a\\b\x7f.jpg"}) {
            CAPTURE(name);
            found.painted_name = name;
            const TemporaryFolder folder;
            const cli::YarnBase base = cli::read_base(folder.file("base.toml", *cli::base_bytes(found, "2025-04-30")));
            CHECK(base.measured_on == "2025-04-30, " + name + ", back.jpg");
            CHECK(base.wrap == 0.65);
            CHECK(base.penetration == 0.4);
        }
    }
}
