#include <zlib.h>

#include <algorithm>
#include <set>

#include "faults/child.h"

using namespace loopread;
using namespace loopread::faults;
namespace fs = std::filesystem;

namespace {

constexpr int kDone = 0, kCannotWrite = 4;
constexpr rlim_t kLittleMemory = rlim_t{512} << 20;

void append_number(std::string& bytes, unsigned long number) {
    for (int shift = 24; shift >= 0; shift -= 8) bytes += static_cast<char>(number >> shift & 0xff);
}

void append_chunk(std::string& png, const std::string& name, const std::string& data) {
    const std::string checked = name + data;
    append_number(png, data.size());
    png += checked;
    append_number(png, crc32(0, reinterpret_cast<const Bytef*>(checked.data()), static_cast<uInt>(checked.size())));
}

/// A picture in stripes of two colours, one bit a pixel, so that even a huge one is a small file [PNG 2003].
std::string striped_png(unsigned width, unsigned height) {
    std::string rows;
    rows.reserve(std::size_t{height} * (width / 8 + 2));
    for (unsigned row = 0; row < height; ++row)
        rows.append(1, '\0').append((width + 7) / 8, row / 100 % 2 == 0 ? '\x55' : '\0');
    std::string packed(compressBound(rows.size()), '\0');
    uLongf length = packed.size();
    REQUIRE(compress2(reinterpret_cast<Bytef*>(packed.data()), &length, reinterpret_cast<const Bytef*>(rows.data()),
                      rows.size(), 1) == Z_OK);
    packed.resize(length);
    std::string head;
    append_number(head, width);
    append_number(head, height);
    head += {'\x01', '\x03', '\0', '\0', '\0'};  // one bit, of a palette
    std::string png = "\x89PNG\r\n\x1a\n";
    append_chunk(png, "IHDR", head);
    append_chunk(png, "PLTE", "\x20\x40\xa0\xf0\xe0\xc0");
    append_chunk(png, "IDAT", packed);
    append_chunk(png, "IEND", "");
    return png;
}

/// Every command, on a picture where it takes one.
std::vector<Words> all_commands(const std::string& picture, const fs::path& out) {
    const std::string folder = (out / "o").string(), file = (out / "o.file").string();
    return {
        {"preview", picture, "-o", folder},
        {"unravel", picture, "-o", folder},
        {"knit", picture, "-o", file},
        {"pooling", picture, "-o", folder},
        {"lay", picture, "-o", folder},
        {"contrast", picture, "-o", folder},
        {"skein", picture, "-o", folder},
        {"listing", picture, "-o", folder},
        {"count", picture},
        {"compare", picture, picture, "--size", "24x86cm", "-o", folder},
        {"dye", "--fibre=100g", "--dye=blue=1%", "--design", picture, "-o", folder},
        {"overdye", "--stencil", picture + "=red-1@1/2", "-o", folder},
        {"dyetable", "-o", file},
    };
}

bool no_limit_can_be_set() {
    if (kSanitized) MESSAGE("a sanitizer maps more than any limit: memory is not tested in this build");
    return kSanitized;
}

struct Shortage {
    fs::path out;
    rlim_t bytes = kLittleMemory;
};

/// Done, or told in one plain line that ends the run; never a crash, and never half of a result.
void check_in_little_memory(const Words& arguments, const Shortage& shortage, std::set<std::string>& done) {
    const Ending ending = ran(arguments, {.address_bytes = shortage.bytes});
    std::string command;
    for (const std::string& word : arguments) command += word + " ";
    CAPTURE(command);
    CAPTURE(ending.err);
    CHECK(ending.signal == 0);
    CHECK((ending.code >= kDone && ending.code <= kCannotWrite));
    if (ending.code == kDone) {
        done.insert(arguments.front());
    } else {
        CHECK(std::count(ending.err.begin(), ending.err.end(), '\n') == 1);
        CHECK(ending.err.starts_with("loopread: "));
        CHECK_FALSE(has(ending.err, "a fault of the program"));
        CHECK(contents(shortage.out).empty());
    }
    for (const fs::directory_entry& entry : fs::directory_iterator(shortage.out)) fs::remove_all(entry.path());
}

}  // namespace

TEST_SUITE("faults") {
    TEST_CASE("in 512 MB a 12-megapixel picture is worked on by every command, or told to be too much") {
        if (no_limit_can_be_set()) return;
        const TemporaryFolder folder;
        fs::create_directories(folder / "out");
        const std::string picture = folder.file("design.png", striped_png(3000, 4000)).string();
        std::set<std::string> done;
        for (const Words& arguments : all_commands(picture, folder / "out"))
            check_in_little_memory(arguments, {folder / "out"}, done);
        // Some others want more than 512 MB of addresses, though not of memory, the more so the more threads there are.
        for (const char* command : {"unravel", "dye", "overdye"}) CHECK_MESSAGE(done.contains(command), command);
    }

    TEST_CASE("in 512 MB a picture of 120 megapixels is worked on, or told to be too much") {
        if (no_limit_can_be_set()) return;
        const TemporaryFolder folder;
        fs::create_directories(folder / "out");
        const std::string picture = folder.file("huge.png", striped_png(10'000, 12'000)).string();
        std::set<std::string> done;
        for (Words arguments : all_commands(picture, folder / "out")) {
            const bool has_limit = arguments.front() != "dyetable" && arguments.front() != "count";
            if (has_limit) arguments.insert(arguments.end(), {"--max-megapixels", "200"});
            check_in_little_memory(arguments, {folder / "out"}, done);
        }
    }

    TEST_CASE("the less memory there is, the sooner a run is told of it in one line") {
        if (no_limit_can_be_set()) return;
        const TemporaryFolder folder;
        fs::create_directories(folder / "out");
        const std::string samples = LOOPREAD_SAMPLES;
        std::set<std::string> done;
        for (const rlim_t megabytes : std::initializer_list<rlim_t>{400, 280, 200, 160, 130, 100})
            for (const Words& arguments :
                 {Words{"knit", samples + "/harbour-photo.jpg", "-o", (folder / "out/knit.png").string(), "--size",
                        "24x86cm"},
                  Words{"unravel", samples + "/gulls.png", "-o", (folder / "out/yarn").string()}})
                check_in_little_memory(arguments, {folder / "out", megabytes << 20}, done);
        CHECK(done.contains("unravel"));
    }
}
