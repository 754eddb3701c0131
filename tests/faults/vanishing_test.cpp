#include <chrono>
#include <thread>

#include "faults/child.h"
#include "loopread/base/error.h"
#include "loopread/base/random.h"

using namespace loopread;
using namespace loopread::faults;
namespace fs = std::filesystem;

namespace {

constexpr int kUnusable = 3, kCannotWrite = 4;

}  // namespace

TEST_SUITE("faults") {
    TEST_CASE("a folder that is gone when results are written is made anew") {
        const TemporaryFolder folder;
        fs::create_directories(folder / "a/out");
        Outputs outputs = Outputs::into_folder(folder / "a/out");
        outputs.add("yarn.csv", "new");
        fs::remove_all(folder / "a");
        outputs.write();
        CHECK(contents(folder.path()) == Contents{{"a/", ""}, {"a/out/", ""}, {"a/out/yarn.csv", "new"}});
    }

    TEST_CASE("a file that has come into the place of the folder is told and left") {
        const TemporaryFolder folder;
        fs::create_directories(folder / "a");
        Outputs outputs = Outputs::into_file(folder / "a/knit.png");
        outputs.add_only("new");
        fs::remove_all(folder / "a");
        folder.file("a", "a file");
        try {
            outputs.write();
            FAIL("was written");
        } catch (const Error& fault) {
            CHECK(fault.kind() == ErrorKind::output);
            CHECK(std::string(fault.what()).starts_with((folder / "a").string()));
        }
        CHECK(contents(folder.path()) == Contents{{"a", "a file"}});
    }

    TEST_CASE("results whose input is gone by now are written all the same") {
        const TemporaryFolder folder;
        Outputs outputs = Outputs::into_folder(folder / "out");
        outputs.keep_safe(folder.file("design.png", "input"));
        outputs.add("yarn.csv", "new");
        fs::remove(folder / "design.png");
        outputs.write();
        CHECK(contents(folder.path()) == Contents{{"out/", ""}, {"out/yarn.csv", "new"}});
    }

    TEST_CASE("a folder taken away again and again is told in a line, or all results are there") {
        const TemporaryFolder folder;
        int told = 0;
        for (int i = 0; i < 12; ++i) {
            CAPTURE(i);
            Child child(small_run("unravel", "gulls.png", folder / "a/out"), {});
            std::error_code ignored;
            while (child.still_runs()) fs::remove_all(folder / "a", ignored);
            const Ending ending = child.wait();
            CAPTURE(ending.err);
            CHECK(ending.signal == 0);
            if (ending.code == 0) {
                CHECK(ending.err.empty());
                continue;
            }
            ++told;
            check_told(ending, kCannotWrite, {(folder / "a/out").string(), "choose another place"});
        }
        CHECK(told > 0);  // else the folder was never taken away in time, and nothing was tested
    }

    TEST_CASE("a picture that vanishes while it is worked on is told, or was read already") {
        const TemporaryFolder folder;
        const std::string bytes = file_bytes(std::string(LOOPREAD_SAMPLES) + "/gulls.png");
        const auto picture = folder.file("gulls.png", bytes);
        const auto run = [&](const std::string& name) {
            return Words{"unravel", picture.string(), "-o", (folder / name).string(), "--blank", "16x40"};
        };
        const auto start = std::chrono::steady_clock::now();
        REQUIRE(ran(run("whole")).code == 0);
        const std::chrono::duration<double> usual = std::chrono::steady_clock::now() - start;
        const Contents whole = contents(folder / "whole");
        Random random(5);
        int told = 0;
        for (int i = 0; i < 12; ++i) {
            CAPTURE(i);
            folder.file("gulls.png", bytes);
            Child child(run("out"), {});
            std::this_thread::sleep_for(i == 0 ? 0 * usual : usual * random.uniform());
            fs::remove(picture);
            const Ending ending = child.wait();
            if (ending.code == 0) {
                CHECK(contents(folder / "out") == whole);
                fs::remove_all(folder / "out");
                continue;
            }
            ++told;
            check_told(ending, kUnusable, {picture.string()});
            CHECK_FALSE(fs::exists(folder / "out"));
        }
        CHECK(told > 0);
    }
}
