#pragma once

#include <filesystem>
#include <map>
#include <set>
#include <string>
#include <vector>

namespace CLI {
class App;
}

namespace loopread::cli {

/// Every setting of a command as TOML that --from-record reads, those that were not typed as well: what is usual today
/// may be other next year. Paths are kept as seen from the record.
/// @param record   where it will lie
/// @param head     comment lines
/// @param changed  lists that are other than typed; an empty one is left out
std::string record_text(const CLI::App& command, const std::filesystem::path& record, const std::string& head,
                        const std::map<std::string, std::vector<std::string>>& changed);

/// What became of the settings of a record.
struct RecordRead {
    std::set<std::string> taken;                     ///< names of those taken from it
    std::map<std::string, std::string> passed_over;  ///< what it said of those that were typed
};
/// Fills the options of a command that were not typed from a record.
/// @throws Error(input) for a file that is no such record, with the line
RecordRead read_record(CLI::App& command, const std::filesystem::path& record);

}  // namespace loopread::cli
