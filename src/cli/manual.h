#pragma once

#include <filesystem>
#include <string>

namespace CLI {
class App;
}

namespace loopread::cli {

/// loopread.1, for man: a section for every command, what several commands take once.
/// Source of the macros: groff_man(7).
std::string man_page(const CLI::App& app);

/// Completion of commands, options and the words an option may take; file names otherwise.
std::string bash_completion(const CLI::App& app);
std::string zsh_completion(const CLI::App& app);

/// loopread.1, loopread.bash and _loopread (zsh's own naming), written into a folder that is there.
/// @throws Error(output)
void write_manual(const std::filesystem::path& folder);

}  // namespace loopread::cli
