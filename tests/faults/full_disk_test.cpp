#include <sys/mount.h>

#include <cstring>

#include "faults/child.h"

using namespace loopread;
using namespace loopread::faults;
namespace fs = std::filesystem;

namespace {

constexpr int kCannotWrite = 4;
constexpr rlim_t kFewBytes = 20'000;  // the small files of a command fit, the large ones do not

/// A disk of its own in memory, where the tests may mount one.
class SmallDisk {
public:
    explicit SmallDisk(const fs::path& place) : place_(place) {
        fs::create_directories(place);
        if (::mount("loopread_test", place.c_str(), "tmpfs", 0, "size=64k") != 0) why_not_ = std::strerror(errno);
    }
    SmallDisk(const SmallDisk&) = delete;
    SmallDisk& operator=(const SmallDisk&) = delete;
    ~SmallDisk() {
        if (why_not_.empty()) ::umount(place_.c_str());
    }
    const std::string& why_not() const { return why_not_; }

private:
    fs::path place_;
    std::string why_not_;
};

const Words kFolderCommands{"unravel", "pooling", "lay", "contrast", "skein"};

}  // namespace

TEST_SUITE("faults") {
    TEST_CASE("a full disk leaves no folder where there was none, whatever the command") {
        for (const std::string& command : kFolderCommands) {
            CAPTURE(command);
            const TemporaryFolder folder;
            const Ending ending = ran(small_run(command, "gulls.png", folder / "new/out"), {.file_bytes = kFewBytes});
            check_told(ending, kCannotWrite,
                       {(folder / "new/out").string(), "disk may be full", "choose another place"});
            CHECK(contents(folder.path()).empty());
        }
    }

    TEST_CASE("a full disk leaves a folder of older results as it was") {
        const TemporaryFolder folder;
        REQUIRE(ran(small_run("unravel", "nets.png", folder.path())).code == 0);
        const Contents older = contents(folder.path());
        REQUIRE(older.size() == 4);
        const Ending ending = ran(small_run("unravel", "gulls.png", folder.path()), {.file_bytes = kFewBytes});
        check_told(ending, kCannotWrite, {folder.path().string()});
        CHECK(contents(folder.path()) == older);
    }

    TEST_CASE("a full disk leaves an older single file as it was, and makes none") {
        const TemporaryFolder folder;
        const fs::path file = folder / "socks.png";
        const Words arguments = small_run("knit", "gulls.png", file);
        check_told(ran(arguments, {.file_bytes = kFewBytes}), kCannotWrite, {file.string(), "disk may be full"});
        CHECK(contents(folder.path()).empty());
        folder.file("socks.png", "an older picture");
        check_told(ran(arguments, {.file_bytes = kFewBytes}), kCannotWrite, {file.string(), "disk may be full"});
        CHECK(contents(folder.path()) == Contents{{"socks.png", "an older picture"}});
    }

    TEST_CASE("a recipe's card and its record elsewhere are written both or neither") {
        const TemporaryFolder folder;
        fs::create_directories(folder / "records");
        folder.file("records/batch.toml", "# older\n");
        const Words arguments{"dye",
                              "--fibre",
                              "100g",
                              "--dye",
                              "blue=1%",
                              "-o",
                              (folder / "card").string(),
                              "--record",
                              (folder / "records/batch.toml").string()};
        const Contents before = contents(folder.path());
        // The card is the longer one: first it does not fit, and at last both do.
        const Ending starved = ran(arguments, {.file_bytes = 1000});
        check_told(starved, kCannotWrite, {(folder / "card").string()});
        CHECK(contents(folder.path()) == before);
        CHECK(ran(arguments).code == 0);
        CHECK(contents(folder / "card").size() == 1);
        CHECK(contents(folder / "records").at("batch.toml") != "# older\n");
    }

    TEST_CASE("a disk with no room left is told as full and nothing of ours stays on it") {
        const TemporaryFolder folder;
        const SmallDisk disk(folder / "disk");
        if (!disk.why_not().empty()) {
            MESSAGE("no disk can be mounted here (" << disk.why_not()
                                                    << "): full disks are tested by the longest file alone");
            return;
        }
        folder.file("disk/knit.png", "older");
        check_told(ran(small_run("knit", "gulls.png", folder / "disk/knit.png")), kCannotWrite,
                   {(folder / "disk/knit.png").string(), "the disk is full", "choose another place"});
        CHECK(contents(folder / "disk") == Contents{{"knit.png", "older"}});
        check_told(ran(small_run("unravel", "gulls.png", folder / "disk/a/b")), kCannotWrite,
                   {(folder / "disk/a/b").string(), "the disk is full"});
        CHECK(contents(folder / "disk") == Contents{{"knit.png", "older"}});
    }

    TEST_CASE("a summary that cannot be printed is a fault, not a silent success") {
        const TemporaryFolder folder;
        const Words arguments = small_run("unravel", "gulls.png", folder / "out");
        Words as_json = arguments;
        as_json.push_back("--json");
        for (const Words& words : {arguments, as_json})
            check_told(ran(words, {.standard_output = "/dev/full"}), kCannotWrite, {"standard output"});
        check_told(ran({"--help"}, {.standard_output = "/dev/full"}), kCannotWrite, {"standard output"});
    }

    TEST_CASE("a device is not taken for a picture's file") {
        check_told(ran(small_run("knit", "gulls.png", "/dev/full")), kCannotWrite,
                   {"/dev/full", "not an ordinary file"});
        CHECK(fs::is_character_file("/dev/full"));
    }
}
