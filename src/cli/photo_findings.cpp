#include "cli/photo_findings.h"

#include <CLI/CLI.hpp>

#include "cli/option_facts.h"
#include "loopread/base/error.h"
#include "loopread/photo/write.h"

namespace loopread::cli {

void add_save_base(CLI::App& command, std::string& save_base) {
    command
        .add_option("--save-base", save_base,
                    "write wrap and penetration of this yarn, told from photos of both sides, to this file, for --base")
        ->group("The blank");
    say_values(command, {{"--save-base", "FILE"}});
}

void PhotoFindings::add_to(Outputs& outputs) const {
    for (const auto& [name, bytes] : pictures) outputs.add(name, bytes);
    if (base) outputs.add(base->first, base->second);
}

void PhotoFindings::add_to(Json& summary) const {
    if (!show_through.is_null()) summary["show_through"] = show_through;
    for (const std::string& warning : warnings) summary["warnings"].push_back(warning);
}

PhotoFindings photo_findings(const BlankInput& blank, const BlankOptions& options, const std::string& save_base) {
    PhotoFindings findings;
    if (blank.corners) findings.pictures.emplace_back("corners.png", png_bytes(*blank.corners));
    if (blank.other_corners) findings.pictures.emplace_back("other-corners.png", png_bytes(*blank.other_corners));
    if (blank.show_through) {
        findings.show_through = show_through_json(*blank.show_through);
        findings.words = "\n" + show_through_in_words(*blank.show_through);
    }
    if (save_base.empty()) return findings;
    if (options.other_side.empty())
        throw Error(ErrorKind::usage, "--save-base: needs a photo of the other side too; give it as --other-side");
    std::optional<std::string> bytes;
    if (blank.show_through) bytes = base_bytes(*blank.show_through, today());
    if (bytes)
        findings.base = {std::filesystem::absolute(save_base).string(), *bytes};
    else
        findings.warnings.push_back(
            "--save-base: nothing was saved, since the photos tell neither wrap nor penetration");
    return findings;
}

}  // namespace loopread::cli
