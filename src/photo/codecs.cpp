#include "photo/codecs.h"

#include <dlfcn.h>

#include <new>
#include <string>

#include "loopread/base/require.h"
#include "loopread/base/room.h"

namespace loopread {
namespace {

/// Measured: in a program with nothing else in it the module and all behind it take 185 MB of addresses; and another
/// thread may set 128 MB aside for itself at the same time. One of those libraries ends the program if memory runs out
/// while it sets itself up.
constexpr std::size_t kRoom = std::size_t{185 + 128 + 7} << 20;

void* loaded_module() {
    check_room(kRoom);
    // Found by the run path of the program: beside it in the build folder, in ../lib/loopread when installed.
    void* const module = dlopen("libloopread_codecs.so", RTLD_NOW | RTLD_LOCAL);
    if (module != nullptr) return module;
    // The loader tells of too little memory in words alone.
    const std::string why = dlerror();
    for (const char* words : {"failed to map segment", "annot allocate memory", "annot create"})
        if (why.find(words) != std::string::npos) throw std::bad_alloc();
    require(false, "libloopread_codecs.so lies where the program was built or installed: " + why);
    return nullptr;
}

void* codecs_module() {
    static void* const module = loaded_module();
    return module;
}

template <class Function>
Function* function_named(const char* name) {
    void* const found = dlsym(codecs_module(), name);
    require(found != nullptr, std::string("libloopread_codecs.so has ") + name);
    return reinterpret_cast<Function*>(found);
}

}  // namespace

cv::Mat decoded_by_opencv(const cv::Mat& bytes) {
    static auto* const decode = function_named<decltype(loopread_codecs_decode)>("loopread_codecs_decode");
    cv::Mat picture;
    decode(bytes, picture);
    return picture;
}

bool encoded_jpeg_by_opencv(const cv::Mat& picture, int quality, std::vector<unsigned char>& bytes) {
    static auto* const encode = function_named<decltype(loopread_codecs_encode_jpeg)>("loopread_codecs_encode_jpeg");
    return encode(picture, quality, bytes);
}

HeicHeader heic_header_by_libheif(std::string_view bytes) {
    static auto* const read = function_named<decltype(loopread_codecs_heic_header)>("loopread_codecs_heic_header");
    HeicHeader header;
    read(bytes, header);
    return header;
}

DecodedHeic decoded_by_libheif(std::string_view bytes) {
    static auto* const decode = function_named<decltype(loopread_codecs_decode_heic)>("loopread_codecs_decode_heic");
    DecodedHeic decoded;
    decode(bytes, decoded.picture, decoded.colours);
    return decoded;
}

}  // namespace loopread
