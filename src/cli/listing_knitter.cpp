#include "cli/listing_knitter.h"

#include "cli/table_document.h"
#include "loopread/base/text.h"
#include "loopread/report/dye_table.h"
#include "loopread/report/knitter_page.h"

namespace loopread::cli {

std::string knitter_html(const BlankSource& source, const ListingSubject& subject, const ListingOptions& options,
                         const ParcelSlip& slip) {
    const std::string_view page = dye_table_page();
    if (page.empty() || !options.blank.other_side.empty()) return {};
    const TableStart start{.title = subject.title,
                           .blank = options.blank,
                           .knitting = options.knitting,
                           .settled = subject.knitting,
                           .knitters = options.chance.knitters,
                           .seed = subject.seed,
                           .ball = subject.strand_weight};
    return knitter_page(page, table_document(source, subject.blank->layout, start),
                        {.title = subject.title,
                         .maker = subject.maker,
                         .words = trimmed(options.words),
                         .address = options.address,
                         .code_png = slip.code ? slip.code->bytes : std::string()});
}

std::string knitter_in_words(const ListingOptions& options) {
    if (!options.blank.other_side.empty())
        return "No page for the buyer: it knows the painted side alone, and this yarn was told from both sides";
    if (dye_table_page().empty())
        return "No page for the buyer: this program was built without it (-DLOOPREAD_PAGE=ON)";
    return "Give the buyer " + (options.common.output / kKnitterFile).string();
}

}  // namespace loopread::cli
