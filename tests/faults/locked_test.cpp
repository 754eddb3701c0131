#include "faults/child.h"

using namespace loopread;
using namespace loopread::faults;
namespace fs = std::filesystem;

namespace {

constexpr int kUnusable = 3, kCannotWrite = 4;

const Lack kPlainPowers{.powers = Lack::Powers::plain};

void lock(const fs::path& folder) {
    fs::permissions(folder, fs::perms::owner_read | fs::perms::owner_exec);
}
void unlock(const fs::path& folder) {
    fs::permissions(folder, fs::perms::owner_all);
}

}  // namespace

TEST_SUITE("faults") {
    TEST_CASE("a folder that may only be read keeps its older results and gets nothing else") {
        const TemporaryFolder folder;
        fs::create_directories(folder / "out");
        folder.file("out/yarn.csv", "older");
        lock(folder / "out");
        const Ending results = ran(small_run("unravel", "gulls.png", folder / "out"), kPlainPowers);
        const Ending below = ran(small_run("unravel", "gulls.png", folder / "out/below"), kPlainPowers);
        const Ending picture = ran(small_run("knit", "gulls.png", folder / "out/knit.png"), kPlainPowers);
        unlock(folder / "out");
        check_told(results, kCannotWrite, {(folder / "out/yarn.csv").string(), "permission", "choose another place"});
        check_told(below, kCannotWrite, {(folder / "out/below").string(), "choose another place"});
        check_told(picture, kCannotWrite, {(folder / "out/knit.png").string(), "permission", "choose another place"});
        CHECK(contents(folder.path()) == Contents{{"out/", ""}, {"out/yarn.csv", "older"}});
    }

    TEST_CASE("a file in the place of the folder, and a folder in the place of a file, stay what they are") {
        const TemporaryFolder folder;
        folder.file("out", "a file");
        check_told(ran(small_run("unravel", "gulls.png", folder / "out")), kCannotWrite, {(folder / "out").string()});
        check_told(ran(small_run("unravel", "gulls.png", folder / "out/below")), kCannotWrite,
                   {(folder / "out/below").string()});
        fs::create_directories(folder / "knit.png");
        check_told(ran(small_run("knit", "gulls.png", folder / "knit.png")), kCannotWrite,
                   {(folder / "knit.png").string(), "a folder of that name"});
        fs::create_directories(folder / "results/strands.png");
        check_told(ran(small_run("unravel", "gulls.png", folder / "results")), kCannotWrite,
                   {(folder / "results/strands.png").string(), "a folder of that name"});
        CHECK(contents(folder.path()) ==
              Contents{{"out", "a file"}, {"knit.png/", ""}, {"results/", ""}, {"results/strands.png/", ""}});
    }

    TEST_CASE("a picture that may not be read is named, and nothing is made") {
        const TemporaryFolder folder;
        fs::copy_file(std::string(LOOPREAD_SAMPLES) + "/gulls.png", folder / "secret.png");
        fs::permissions(folder / "secret.png", fs::perms::none);
        const Ending ending =
            ran({"unravel", (folder / "secret.png").string(), "-o", (folder / "out").string()}, kPlainPowers);
        check_told(ending, kUnusable, {(folder / "secret.png").string(), "permissions"});
        CHECK(folder.entries() == 1);
    }

    TEST_CASE("one result that may not be replaced stops all of them, those renamed before it too") {
        // In a sticky folder only its owner replaces a file.
        if (::geteuid() != 0) {
            MESSAGE("only root can make files of another owner: not tested here");
            return;
        }
        const TemporaryFolder folder;
        fs::create_directories(folder / "shared");
        folder.file("shared/strands.png", "another's");
        folder.file("shared/runs.csv", "ours and older");
        constexpr uid_t kAnother = 65534;
        REQUIRE(::chown((folder / "shared/strands.png").c_str(), kAnother, kAnother) == 0);
        REQUIRE(::chown((folder / "shared").c_str(), kAnother, kAnother) == 0);
        fs::permissions(folder / "shared", fs::perms::all | fs::perms::sticky_bit);
        const Contents before = contents(folder.path());
        const Ending ending = ran(small_run("unravel", "gulls.png", folder / "shared"), kPlainPowers);
        check_told(ending, kCannotWrite, {(folder / "shared/strands.png").string(), "permission"});
        CHECK(contents(folder.path()) == before);
    }
}
