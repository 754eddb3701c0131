#include "photo/jpeg_decoding.h"

#include <csetjmp>
#include <cstddef>
#include <cstdio>  // jpeglib.h needs FILE and size_t declared
#include <vector>

#include <jpeglib.h>

#include <jerror.h>

namespace loopread {
namespace {

/// libjpeg's error manager with a way back to the caller; the manager comes first, so that one address serves both.
struct ErrorReturn {
    jpeg_error_mgr manager;
    std::jmp_buf home;
};

[[noreturn]] void return_home(j_common_ptr info) {
    std::longjmp(reinterpret_cast<ErrorReturn*>(info->err)->home, 1);
}

/// Odd markers that leave the pixels as they are. Every other warning means that pixels are missing or made up.
bool is_harmless(int code) {
    return code == JWRN_ADOBE_XFORM || code == JWRN_JFIF_MAJOR || code == JWRN_BOGUS_ICC;
}

void heed_message(j_common_ptr info, int level) {
    if (level < 0 && !is_harmless(info->err->msg_code)) return_home(info);
}

void say_nothing(j_common_ptr) {}

/// Each step returns false if libjpeg found a fault. The jump back from libjpeg passes over its own frames only: the
/// functions with setjmp hold nothing that needs destroying.
class JpegReader {
public:
    explicit JpegReader(std::string_view bytes) : bytes_(bytes) {
        info_.err = jpeg_std_error(&errors_.manager);
        errors_.manager.error_exit = return_home;
        errors_.manager.emit_message = heed_message;
        errors_.manager.output_message = say_nothing;
    }
    JpegReader(const JpegReader&) = delete;
    JpegReader& operator=(const JpegReader&) = delete;
    ~JpegReader() { jpeg_destroy_decompress(&info_); }

    bool start(unsigned cell) {
        if (setjmp(errors_.home) != 0) return false;
        jpeg_create_decompress(&info_);
        jpeg_mem_src(&info_, reinterpret_cast<const unsigned char*>(bytes_.data()), bytes_.size());
        jpeg_read_header(&info_, TRUE);
        info_.scale_num = 1;
        info_.scale_denom = cell;
        info_.out_color_space = info_.num_components == 1 ? JCS_GRAYSCALE : JCS_EXT_BGR;
        jpeg_start_decompress(&info_);
        return true;
    }
    bool read_row(unsigned char* row) {
        if (setjmp(errors_.home) != 0) return false;
        return jpeg_read_scanlines(&info_, &row, 1) == 1;
    }
    bool finish() {
        if (setjmp(errors_.home) != 0) return false;
        return jpeg_finish_decompress(&info_) == TRUE;
    }

    bool is_as_promised(const FileHeader& header) const {
        return info_.image_width == header.width && info_.image_height == header.height;
    }
    unsigned rows() const { return info_.output_height; }
    unsigned columns() const { return info_.output_width; }
    int channels() const { return info_.output_components; }

private:
    std::string_view bytes_;
    jpeg_decompress_struct info_{};
    ErrorReturn errors_{};
};

}  // namespace

Decoding decode_jpeg(std::string_view bytes, const FileHeader& header, int cell, const RowSink& sink) {
    JpegReader reader(bytes);
    if (!reader.start(static_cast<unsigned>(cell)) || !reader.is_as_promised(header)) return Decoding::damaged;
    std::vector<unsigned char> row(std::size_t{reader.columns()} * static_cast<std::size_t>(reader.channels()));
    for (unsigned r = 0; r < reader.rows(); ++r) {
        if (!reader.read_row(row.data())) return Decoding::damaged;
        sink({row.data(), static_cast<int>(reader.columns()), reader.channels(), SampleDepth::bits_8});
    }
    return reader.finish() ? Decoding::complete : Decoding::damaged;
}

}  // namespace loopread
