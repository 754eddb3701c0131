#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <exception>
#include <memory>
#include <string>
#include <vector>

#include "loopread/base/error.h"
#include "loopread/table/pictures.h"
#include "loopread/table/table.h"
#include "wasm/answers.h"
#include "wasm/json_fields.h"
#include "wasm/page_words.h"
#include "wasm/state_json.h"

#ifdef __EMSCRIPTEN__
#include <emscripten/emscripten.h>
#else
#define EMSCRIPTEN_KEEPALIVE
#endif

// What a page calls. Texts are UTF-8 with a zero at the end; a returned text lives until the next call. Every answer is
// a JSON object; a failure is {"error": "what: fault; what to do"}, and the last good state stays.

namespace {

using namespace loopread;
using namespace loopread::wasm;

/// All that one page holds.
struct Room {
    std::vector<std::uint8_t> bytes;  // written by the page
    std::string answer;
    ShownPicture pixels;
    DyeTable table;
    ClothPictures cloths;
    Answers answers{table, cloths};
    bool applied = false;
};

Room& room() {
    static Room one;
    return one;
}

/// The text the page has written.
std::string written() {
    const std::vector<std::uint8_t>& bytes = room().bytes;
    std::size_t length = 0;
    while (length < bytes.size() && bytes[length] != 0) ++length;
    return {reinterpret_cast<const char*>(bytes.data()), length};
}

const char* said(const Json& json) {
    room().answer = json.dump(-1, ' ', false, Json::error_handler_t::replace);
    return room().answer.c_str();
}

/// No fault gets past here.
template <class Act>
const char* answered(const Act& act) {
    try {
        return said(act());
    } catch (const Error& fault) {
        return said({{"error", page_words(fault.what())}});
    } catch (const std::bad_alloc&) {
        return said({{"error", "memory: there is not enough; take a smaller picture or fewer layers"}});
    } catch (const std::exception& fault) {
        return said(
            {{"error", "internal fault: " + std::string(fault.what()) + "; save your work and load the page again"}});
    } catch (...) {
        return said({{"error", "internal fault: unknown; save your work and load the page again"}});
    }
}

void require_state() {
    if (!room().applied) throw Error(ErrorKind::usage, "table: nothing is on it yet; apply a document first");
}

}  // namespace

extern "C" {

EMSCRIPTEN_KEEPALIVE void* lr_room(std::size_t bytes) {
    try {
        room().bytes.assign(bytes + 1, 0);
    } catch (const std::exception&) {
        return nullptr;
    }
    return room().bytes.data();
}

EMSCRIPTEN_KEEPALIVE const void* lr_pixels() {
    return room().pixels.now().rgba.data();
}

EMSCRIPTEN_KEEPALIVE const char* lr_version() {
    return answered([] { return Json{{"version", LOOPREAD_VERSION}}; });
}

EMSCRIPTEN_KEEPALIVE const char* lr_set_picture(int slot, int width, int height) {
    return answered([&] {
        constexpr int kSlots = 32;
        constexpr int kMostSide = 30'000;
        if (slot < 0 || slot >= kSlots) throw Error(ErrorKind::usage, "picture: there are places 0 to 31");
        SourcePicture picture;
        if (width > 0 && height > 0) {
            const std::size_t size = 4 * static_cast<std::size_t>(width) * static_cast<std::size_t>(height);
            if (width > kMostSide || height > kMostSide || room().bytes.size() < size)
                throw Error(ErrorKind::input, "picture: its pixels did not come through; choose it again");
            room().bytes.resize(size);
            picture = {width, height, std::move(room().bytes)};
            room().bytes.clear();
        }
        if (slot == 0)
            room().table.set_source(std::move(picture));
        else
            room().table.set_mask(slot, picture);
        return Json{{"ok", true}};
    });
}

EMSCRIPTEN_KEEPALIVE const char* lr_apply(const char*) {
    return answered([] {
        room().table.apply(table_state(parsed_object(written(), "document")));
        room().applied = true;
        return Json{{"ok", true}, {"settled", room().answers.settled()}};
    });
}

EMSCRIPTEN_KEEPALIVE const char* lr_told(const char*) {
    return answered([] {
        require_state();
        return room().answers.told();
    });
}

EMSCRIPTEN_KEEPALIVE const char* lr_draw(const char*) {
    return answered([] {
        require_state();
        return room().answers.drawn(parsed_object(written(), "drawing"), room().pixels);
    });
}

EMSCRIPTEN_KEEPALIVE const char* lr_place(const char*) {
    return answered([] {
        require_state();
        return room().answers.place(parsed_object(written(), "place"));
    });
}

EMSCRIPTEN_KEEPALIVE const char* lr_weigh(const char*) {
    return answered([] {
        require_state();
        return room().answers.weighed(parsed_object(written(), "ball"));
    });
}

EMSCRIPTEN_KEEPALIVE const char* lr_risk_step(const char*) {
    return answered([] {
        require_state();
        return room().answers.risk_step();
    });
}

EMSCRIPTEN_KEEPALIVE const char* lr_sure_step(const char*) {
    return answered([] {
        require_state();
        return room().answers.sure_step();
    });
}

EMSCRIPTEN_KEEPALIVE const char* lr_ways_step(const char*) {
    return answered([] {
        require_state();
        return room().answers.ways_step();
    });
}

EMSCRIPTEN_KEEPALIVE const char* lr_nudge_step(const char*) {
    return answered([] {
        require_state();
        return room().answers.nudge_step();
    });
}

EMSCRIPTEN_KEEPALIVE const char* lr_bench_step(const char*) {
    return answered([] {
        require_state();
        return room().answers.bench_step();
    });
}

EMSCRIPTEN_KEEPALIVE const char* lr_mix(const char*) {
    return answered([] {
        require_state();
        return room().answers.mix(parsed_object(written(), "mix"));
    });
}

EMSCRIPTEN_KEEPALIVE const char* lr_files(const char*) {
    return answered([] {
        require_state();
        return room().answers.file(parsed_object(written(), "file"), room().pixels);
    });
}
}
