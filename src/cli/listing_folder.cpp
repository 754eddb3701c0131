#include "cli/listing_folder.h"

#include <algorithm>
#include <array>
#include <atomic>
#include <cmath>
#include <new>
#include <ostream>
#include <set>

#include "cli/listing_facts.h"
#include "cli/listing_set.h"
#include "cli/progress.h"
#include "loopread/base/error.h"
#include "loopread/base/parallel.h"
#include "loopread/base/text.h"
#include "loopread/design/file.h"
#include "loopread/listing/flat_scene.h"
#include "loopread/listing/index_page.h"
#include "loopread/listing/typed_words.h"
#include "loopread/photo/write.h"

namespace loopread::cli {
namespace fs = std::filesystem;
namespace {

// One listing draws two pictures at a time, but for where it reads and unravels: two listings keep all cores busy, more
// would only take memory (two take about 0.85 GB).
constexpr std::size_t kFilesAtOnce = 2;

std::string ending_of(const fs::path& file) {
    return lowered(file.extension().string());
}

bool is_listed_kind(const fs::path& file) {
    constexpr std::array<std::string_view, 10> kEndings{".png",  ".jpg", ".jpeg", ".webp", ".tif",
                                                        ".tiff", ".bmp", ".heic", ".heif", ".toml"};
    return std::find(kEndings.begin(), kEndings.end(), ending_of(file)) != kEndings.end();
}

/// Pictures that a design of the folder is made of: they are no blanks.
std::set<fs::path> parts_of_designs(const std::vector<fs::path>& files, const BlankOptions& options) {
    std::set<fs::path> parts;
    const ColourBook book = colour_book(options);
    for (const fs::path& file : files) {
        if (ending_of(file) != ".toml") continue;
        try {
            for (const fs::path& picture : read_design(file, book).pictures())
                parts.insert(fs::weakly_canonical(picture));
        } catch (const Error&) {
            continue;  // told when its turn to be listed comes
        }
    }
    return parts;
}

std::vector<fs::path> pictures_in(const fs::path& folder, const BlankOptions& options) {
    std::vector<fs::path> files;
    std::error_code fault;
    for (const fs::directory_entry& entry : fs::directory_iterator(folder, fault)) {
        const std::string name = entry.path().filename().string();
        if (entry.is_regular_file() && !name.starts_with(".") && is_listed_kind(entry.path()))
            files.push_back(entry.path());
    }
    if (fault) throw Error(ErrorKind::input, folder.string() + ": cannot be read; check its permissions");
    std::sort(files.begin(), files.end());
    const std::set<fs::path> parts = parts_of_designs(files, options);
    std::erase_if(files, [&](const fs::path& file) { return parts.contains(fs::weakly_canonical(file)); });
    if (files.empty())
        throw Error(ErrorKind::input, folder.string() + ": holds no picture and no design.toml; name another folder");
    return files;
}

/// The file's name without its ending; with it where two files would share a folder.
std::vector<std::string> folder_names(const std::vector<fs::path>& files) {
    std::vector<std::string> names;
    for (const fs::path& file : files) {
        const auto same = std::count_if(files.begin(), files.end(),
                                        [&](const fs::path& other) { return other.stem() == file.stem(); });
        std::string name = same > 1 ? file.filename().string() : file.stem().string();
        if (same > 1) std::replace(name.begin(), name.end(), '.', '-');
        while (std::find(names.begin(), names.end(), name) != names.end()) name += "-2";
        names.push_back(name);
    }
    return names;
}

void check_folders(const fs::path& from, const fs::path& to) {
    const fs::path inner = fs::weakly_canonical(fs::absolute(to)), outer = fs::weakly_canonical(fs::absolute(from));
    const auto differ = std::mismatch(outer.begin(), outer.end(), inner.begin(), inner.end());
    if (differ.first == outer.end())
        throw Error(ErrorKind::usage,
                    "-o: " + to.string() + " lies inside the folder that is read; choose a folder beside it");
}

void check_options_of_one(const ListingOptions& options) {
    const std::pair<const char*, bool> of_one[] = {{"--title", !options.title.empty()},
                                                   {"--words", !options.words.empty()},
                                                   {"--other-side", !options.blank.other_side.empty()},
                                                   {"--corners", !options.blank.corners.empty()},
                                                   {"--white", !options.blank.white.empty()}};
    for (const auto& [name, given] : of_one)
        if (given)
            throw Error(ErrorKind::usage, std::string(name) +
                                              ": belongs to one picture; leave it out for a folder, or list the "
                                              "picture by itself");
}

/// What became of one picture.
struct Outcome {
    std::optional<ListingSet> set;
    std::vector<fs::path> paths;
    std::string why;
};

Outcome listed(const fs::path& file, const fs::path& folder, const ListingOptions& options,
               const ListingRequest& request) {
    Outcome outcome;
    try {
        Outputs outputs = Outputs::into_folder(folder);
        outcome.set = listing_set(file, options, request, outputs);
        outputs.write();
        outcome.paths = outputs.paths();
    } catch (const std::bad_alloc&) {
        outcome.why = "not enough memory for this picture; make it smaller";
    } catch (const std::exception& fault) {
        outcome.why = printable(fault.what());
    }
    if (!outcome.why.empty()) outcome.set.reset();
    return outcome;
}

IndexedListing indexed(const ListingSet& set, const std::string& folder) {
    IndexedListing one{.folder = folder, .title = set.facts.title, .look = look_in_words(set.facts)};
    one.facts = {yarn_in_words(set.facts), blank_in_words(set.facts)};
    constexpr int kColumns = 760;  // sharp on the page's cards
    const Picture8 sheet = made_small(set.contact_sheet, kColumns);
    one.sheet = {jpeg_bytes(sheet, 82), "The pictures of " + set.facts.title + " on one sheet.", "", sheet.columns(),
                 sheet.rows()};
    if (const Json& made = set.summary["knitter_page"]; made.is_string()) one.buyers_page = made.get<std::string>();
    return one;
}

/// The fault without the path that stands before it: the table names the picture.
std::string without_path(const std::string& why, const fs::path& file) {
    const std::string start = file.string() + ": ";
    return why.starts_with(start) ? why.substr(start.size()) : why;
}

/// What is kept of the pictures once they are written: a contact sheet each is too much for a large folder.
struct Gathered {
    std::vector<std::optional<IndexedListing>> listings;
    std::vector<std::string> faults;
    std::vector<Json> summaries;
};

Gathered gathered(const std::vector<fs::path>& files, const std::vector<std::string>& names,
                  const ListingOptions& options, const ListingRequest& request) {
    Gathered all{std::vector<std::optional<IndexedListing>>(files.size()), std::vector<std::string>(files.size()),
                 std::vector<Json>(files.size())};
    Progress progress("listing", Progress::TimeLeft::told);
    std::atomic<std::size_t> done = 0;
    progress.at(0, files.size());
    in_parallel(files.size(), std::min<std::size_t>(kFilesAtOnce, thread_count(0)), [&] {
        return [&](std::size_t i) {
            Outcome outcome = listed(files[i], options.common.output / names[i], options, request);
            if (outcome.set) {
                all.listings[i] = indexed(*outcome.set, names[i]);
                all.summaries[i] = std::move(outcome.set->summary);
            } else {
                all.faults[i] = without_path(outcome.why, files[i]);
            }
            progress.at(++done, files.size());
        };
    });
    return all;
}

}  // namespace

void run_folder(const ListingOptions& options, const ListingRequest& request, std::ostream& out) {
    check_folders(options.image, options.common.output);
    check_options_of_one(options);
    const std::vector<fs::path> files = pictures_in(options.image, options.blank);
    const std::vector<std::string> names = folder_names(files);
    Gathered all = gathered(files, names, options, request);

    IndexPage page{.title = "Listings", .listings = {}, .failed = {}};
    Json listed_json = Json::array(), failed_json = Json::array(), warnings = Json::array();
    for (std::size_t i = 0; i < files.size(); ++i) {
        const std::string name = printable(files[i].filename().string());
        if (!all.listings[i]) {
            page.failed.push_back({name, all.faults[i]});
            failed_json.push_back({{"picture", name}, {"fault", all.faults[i]}});
            continue;
        }
        page.listings.push_back(std::move(*all.listings[i]));
        listed_json.push_back({{"picture", name}, {"folder", names[i]}, {"listing", all.summaries[i]}});
        for (const auto& warning : all.summaries[i]["warnings"])
            warnings.push_back(name + ": " + warning.get<std::string>());
    }
    if (page.listings.empty())
        throw Error(ErrorKind::input, options.image.string() + ": none of its " + std::to_string(files.size()) +
                                          " pictures could be listed; the first, " + page.failed.front().picture +
                                          ": " + page.failed.front().why);
    Outputs outputs = Outputs::into_folder(options.common.output);
    outputs.add("index.html", index_html(page));
    outputs.add("failures.csv", failures_csv(page.failed));
    outputs.write();
    const Json summary = {{"listed", listed_json}, {"failed", failed_json}, {"warnings", warnings}};
    std::string headline = std::to_string(page.listings.size()) + " of " + std::to_string(files.size()) + " listed.";
    for (const FailedListing& one : page.failed) headline += "\nNot listed: " + one.picture + ": " + one.why;
    report(out, options.common, summary, outputs,
           headline + "\nOpen " + (options.common.output / "index.html").string());
}

}  // namespace loopread::cli
