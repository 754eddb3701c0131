#include "wasm/page_words.h"

#include <utility>

namespace loopread::wasm {

std::string page_words(std::string fault) {
    // Longer names before those they begin with.
    static constexpr std::pair<const char*, const char*> kWords[] = {
        {" (--alternate 2 shows it)", ""},
        {"try loopread lay --nudge", "find the least change below"},
        {"loopread lay --nudge", "find the least change below"},
        {"; check depths and stocks, or add --allow-deep", "; check depths and stocks"},
        {"leave the option out for dry crystals", "leave the strength empty for dry crystals"},
        {"--acid-strength", "strength of the acid"},
        {"--dye", "depth of shade"},
        {"--stock", "stock"},
        {"--paste", "paste"},
        {"--ratio", "bath"},
        {"--strand-length", "metres a strand"},
        {"--strands", "strands"},
        {"--strand", "ball"},
        {"--blank", "stitches x rows"},
        {"--size", "blank size"},
        {"--loop", "yarn in a loop"},
        {"--ravel-edge", "ravel edge"},
        {"--creep", "creep"},
        {"--stitches", "stitches"},
        {"--rounds", "rounds"},
        {"--gauge", "stitches and rows in 10 cm"},
        {"--yarn-per-round", "yarn in a round"},
        {"--yarn-per-stitch", "yarn in a stitch"},
        {"--foot-length", "foot length"},
        {"--foot-round", "foot round"},
        {"--leg", "leg length"},
        {"--cuff", "cuff length"},
        {"--heel", "heel"},
        {"--shape", "shape"},
        {"--counts", "stitch counts"},
        {"--fit cover or tile", "cover or repeat"},
        {"--fit", "fit"},
    };
    for (const auto& [option, words] : kWords)
        for (std::size_t at = fault.find(option); at != std::string::npos; at = fault.find(option, at))
            fault.replace(at, std::string(option).size(), words);
    return fault;
}

}  // namespace loopread::wasm
