#pragma once

#include <new>
#include <opencv2/core.hpp>

namespace loopread {

/// What `act` gives. OpenCV has an exception of its own for too little memory: here it is that of everybody else.
template <class Act>
auto with_memory_told(const Act& act) {
    try {
        return act();
    } catch (const cv::Exception& fault) {
        if (fault.code == cv::Error::StsNoMem) throw std::bad_alloc();
        throw;
    }
}

}  // namespace loopread
