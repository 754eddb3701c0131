#include <iostream>
#include <thread>

#include "faults/child.h"
#include "loopread/base/parallel.h"
#include "loopread/photo/read.h"

using namespace loopread;
using namespace loopread::faults;

TEST_SUITE("faults") {
    TEST_CASE("pictures that are read at the same time leave the error stream as it was") {
        const std::string picture = std::string(LOOPREAD_SAMPLES) + "/lanterns-stencil-2.png";
        std::streambuf* const before = std::cerr.rdbuf();
        constexpr int kTries = 60;
        int silenced = 0;
        for (int i = 0; i < kTries; ++i) {
            in_parallel(4, 4, [&] { return [&](std::size_t) { read_picture(picture, {}); }; });
            if (std::cerr.rdbuf() != before) ++silenced;
            std::cerr.rdbuf(before);
        }
        CHECK(silenced == 0);
    }

    TEST_CASE("two pictures that cannot be read at the same time are told of") {
        const TemporaryFolder folder;
        const std::string bytes = file_bytes(std::string(LOOPREAD_SAMPLES) + "/gulls.png");
        std::string broken = bytes;
        for (std::size_t i = bytes.size() / 3; i < bytes.size() / 3 + 2000; ++i) broken[i] = '\x5a';
        const std::string picture = folder.file("broken.png", broken).string();
        for (int i = 0; i < 10; ++i)
            check_told(ran({"compare", picture, picture, "--size", "24x86cm", "-o", (folder / "out").string()}), 3,
                       {picture});
    }
}
