#include "photo/codecs.h"

#include <dlfcn.h>

#include <string>

#include "loopread/base/require.h"

namespace loopread {
namespace {

void* codecs_module() {
    // Found by the run path of the program: beside it in the build folder, in ../lib when installed.
    static void* const module = dlopen("libloopread_codecs.so", RTLD_NOW | RTLD_LOCAL);
    require(module != nullptr, "libloopread_codecs.so lies where the program was built or installed");
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
