#include <doctest/doctest.h>

#include <algorithm>
#include <cctype>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <map>
#include <numeric>
#include <regex>
#include <set>
#include <sstream>
#include <string>
#include <string_view>
#include <vector>

namespace fs = std::filesystem;

namespace {

using Words = std::set<std::string>;

/// Who may include whom: the table of DEVELOPERS.md, word for word.
struct ModuleRule {
    std::string name;
    std::string modules;    ///< besides itself
    std::string libraries;  ///< besides the standard library and, in the core, Eigen
};

const std::vector<ModuleRule> kCore{
    {"base", "", "POSIX"},
    {"colour", "base", ""},
    {"image", "base colour", ""},
    {"lattice", "base colour image", ""},
    {"loop", "base", ""},
    {"sides", "base colour image lattice loop", ""},
    {"yarn", "base colour", ""},
    {"shape", "base", ""},
    {"blank", "base colour image", ""},
    {"unravel", "base colour image loop yarn blank", ""},
    {"fabric", "base colour loop yarn shape", ""},
    {"raster", "base colour image loop yarn shape fabric blank unravel", ""},
    {"wound", "base colour image loop yarn blank unravel raster", ""},
    {"shares", "base colour yarn shape fabric", ""},
    {"lay", "base colour image loop yarn shape blank unravel fabric shares", ""},
    {"doubt", "base colour image loop yarn shape blank unravel fabric shares lay", ""},
    {"overdye", "base colour image blank lay", ""},
    {"contrast", "base colour image loop yarn blank unravel fabric overdye", ""},
    {"compare", "base colour image lattice sides", ""},
    {"dye", "base colour image loop blank unravel overdye", ""},
    {"table",
     "base colour image lattice loop yarn shape blank unravel fabric raster shares lay doubt overdye contrast dye", ""},
};
const std::vector<ModuleRule> kEdges{
    {"photo", "core", "OpenCV libjpeg libpng zlib lcms2 libdl"},
    {"codecs", "photo", "OpenCV libheif"},
    {"design", "base colour", "toml++"},
    {"draw", "core", "cairo libqrencode"},
    {"report", "core photo draw", ""},
    {"listing", "core photo draw report", ""},
    {"wasm", "core", "nlohmann-json Emscripten"},
    {"cli", "everything", "CLI11 nlohmann-json toml++ POSIX glibc"},
};

/// How a library's headers begin.
const std::map<std::string, std::vector<std::string>> kLibraryHeaders{
    {"Eigen", {"Eigen/"}},
    {"OpenCV", {"opencv2/"}},
    {"libjpeg", {"jpeglib.h", "jerror.h"}},
    {"libpng", {"png.h"}},
    {"toml++", {"toml++/"}},
    {"cairo", {"cairo.h"}},
    {"libqrencode", {"qrencode.h"}},
    {"libdl", {"dlfcn.h"}},
    {"CLI11", {"CLI/"}},
    {"nlohmann-json", {"nlohmann/"}},
    {"POSIX", {"fcntl.h", "sys/", "unistd.h"}},
    {"glibc", {"malloc.h"}},
    {"zlib", {"zlib.h"}},
    {"lcms2", {"lcms2.h"}},
    {"libheif", {"libheif/"}},
    {"Emscripten", {"emscripten/", "pthread.h"}},
};

/// Headers of C++20 (ISO/IEC 14882:2020, 16.4.2.3, from memory), without those kept for C's sake only.
const Words kStandardHeaders{"algorithm",
                             "any",
                             "array",
                             "atomic",
                             "barrier",
                             "bit",
                             "bitset",
                             "cassert",
                             "cctype",
                             "cerrno",
                             "cfenv",
                             "cfloat",
                             "charconv",
                             "chrono",
                             "cinttypes",
                             "climits",
                             "clocale",
                             "cmath",
                             "compare",
                             "complex",
                             "concepts",
                             "condition_variable",
                             "coroutine",
                             "csetjmp",
                             "csignal",
                             "cstdarg",
                             "cstddef",
                             "cstdint",
                             "cstdio",
                             "cstdlib",
                             "cstring",
                             "ctime",
                             "cuchar",
                             "cwchar",
                             "cwctype",
                             "deque",
                             "exception",
                             "execution",
                             "filesystem",
                             "format",
                             "forward_list",
                             "fstream",
                             "functional",
                             "future",
                             "initializer_list",
                             "iomanip",
                             "ios",
                             "iosfwd",
                             "iostream",
                             "istream",
                             "iterator",
                             "latch",
                             "limits",
                             "list",
                             "locale",
                             "map",
                             "memory",
                             "memory_resource",
                             "mutex",
                             "new",
                             "numbers",
                             "numeric",
                             "optional",
                             "ostream",
                             "queue",
                             "random",
                             "ranges",
                             "ratio",
                             "regex",
                             "scoped_allocator",
                             "semaphore",
                             "set",
                             "shared_mutex",
                             "source_location",
                             "span",
                             "sstream",
                             "stack",
                             "stdexcept",
                             "stop_token",
                             "streambuf",
                             "string",
                             "string_view",
                             "syncstream",
                             "system_error",
                             "thread",
                             "tuple",
                             "type_traits",
                             "typeindex",
                             "typeinfo",
                             "unordered_map",
                             "unordered_set",
                             "utility",
                             "valarray",
                             "variant",
                             "vector",
                             "version"};

/// A file's path from the project's folder, with '/', and its text.
struct SourceFile {
    std::string path;
    std::string text;
};

std::string text_of(const fs::path& file) {
    std::ifstream in(file, std::ios::binary);
    REQUIRE_MESSAGE(in.good(), file.string());
    return {std::istreambuf_iterator<char>(in), {}};
}

std::vector<SourceFile> sources_in(const std::vector<std::string>& folders) {
    const fs::path project = LOOPREAD_SOURCE;
    std::vector<SourceFile> files;
    for (const std::string& folder : folders)
        for (const fs::directory_entry& entry : fs::recursive_directory_iterator(project / folder))
            if (entry.path().extension() == ".h" || entry.path().extension() == ".cpp")
                files.push_back({entry.path().lexically_relative(project).generic_string(), text_of(entry.path())});
    std::sort(files.begin(), files.end(), [](const auto& a, const auto& b) { return a.path < b.path; });
    return files;
}

const std::vector<SourceFile>& library_sources() {
    static const std::vector<SourceFile> files = sources_in({"include", "src"});
    return files;
}

Words words_of(const std::string& text) {
    std::string spaced = text;
    std::replace(spaced.begin(), spaced.end(), ',', ' ');
    std::istringstream in(spaced);
    return {std::istream_iterator<std::string>(in), {}};
}

Words names_of(const std::vector<ModuleRule>& rules) {
    Words names;
    for (const ModuleRule& rule : rules) names.insert(rule.name);
    return names;
}

/// What a module may include: modules and libraries, with "core" and "everything" written out.
struct Allowed {
    Words modules;
    Words libraries;
};

Words written_out(const std::string& modules) {
    Words out;
    for (const std::string& word : words_of(modules)) {
        const bool all = word == "everything";
        if (all || word == "core") out.merge(names_of(kCore));
        if (all) out.merge(names_of(kEdges));
        if (!all && word != "core") out.insert(word);
    }
    return out;
}

std::map<std::string, Allowed> rules_by_name() {
    std::map<std::string, Allowed> rules;
    for (const auto* group : {&kCore, &kEdges})
        for (const ModuleRule& rule : *group) {
            Allowed& allowed = rules[rule.name];
            allowed = {written_out(rule.modules), words_of(rule.libraries)};
            allowed.modules.insert(rule.name);
            if (group == &kCore) allowed.libraries.insert("Eigen");
        }
    rules["main.cpp"] = {{"cli"}, {}};    // the program itself: a call of run()
    rules["manual.cpp"] = {{"cli"}, {}};  // run by the build: a call of write_manual()
    return rules;
}

/// include/loopread/MODULE/x.h and src/MODULE/x.cpp; of src/main.cpp the file's own name.
std::string module_of(const std::string& path) {
    static const std::regex pattern("(?:include/loopread|src)/([^/]+).*");
    std::smatch match;
    return std::regex_match(path, match, pattern) ? match[1].str() : "";
}

/// The module an include in quotes leads to.
std::string module_included(const std::string& header, const std::string& own_module) {
    const std::string_view prefix = "loopread/";
    const std::string rest = header.starts_with(prefix) ? header.substr(prefix.size()) : header;
    const std::size_t slash = rest.find('/');
    return slash == std::string::npos ? own_module : rest.substr(0, slash);
}

bool library_allowed(const std::string& header, const Words& libraries) {
    if (kStandardHeaders.contains(header)) return true;
    for (const std::string& library : libraries)
        for (const std::string& prefix : kLibraryHeaders.at(library))
            if (header.starts_with(prefix)) return true;
    return false;
}

/// One message an include that breaks the rules.
std::vector<std::string> include_faults(const SourceFile& file) {
    static const std::map<std::string, Allowed> rules = rules_by_name();
    static const std::regex pattern(R"(^\s*#\s*include\s*(["<])([^">]+)[">])");
    std::vector<std::string> faults;
    const std::string own = module_of(file.path);
    if (!rules.contains(own)) return {file.path + ": belongs to no module of the table"};
    const Allowed& allowed = rules.at(own);
    std::istringstream in(file.text);
    for (std::string line; std::getline(in, line);) {
        std::smatch match;
        if (!std::regex_search(line, match, pattern)) continue;
        const std::string header = match[2];
        if (match[1] == "<") {
            if (!library_allowed(header, allowed.libraries))
                faults.push_back(file.path + ": may not include <" + header + ">");
            continue;
        }
        if (!allowed.modules.contains(module_included(header, own)))
            faults.push_back(file.path + ": may not include \"" + header + "\"");
        if (file.path.starts_with("include/") && !header.starts_with("loopread/"))
            faults.push_back(file.path + ": a public header includes the private \"" + header + "\"");
    }
    return faults;
}

bool begins_with_pragma_once(const SourceFile& header) {
    return header.text.starts_with("#pragma once\n");
}

/// Where a text in quotes ends, from its first quote on.
std::size_t end_of_quoted(const std::string& text, std::size_t from) {
    if (text[from] == '"' && from > 0 && text[from - 1] == 'R') {
        const std::size_t bracket = text.find('(', from);
        const std::string close = ")" + text.substr(from + 1, bracket - from - 1) + "\"";
        const std::size_t end = text.find(close, bracket);
        return end == std::string::npos ? text.size() : end + close.size();
    }
    std::size_t i = from + 1;
    while (i < text.size() && text[i] != text[from]) i += text[i] == '\\' ? 2U : 1U;
    return i + 1;
}

bool digit_separator(const std::string& text, std::size_t i) {
    return text[i] == '\'' && i > 0 && std::isalnum(static_cast<unsigned char>(text[i - 1])) != 0;
}

/// The comments of a source text; marks and indentation of lines that go on are dropped, so that a key may be broken.
std::string comments_of(const std::string& text) {
    std::string comments;
    for (std::size_t i = 0; i < text.size();) {
        const bool line = text.compare(i, 2, "//") == 0;
        if (line || text.compare(i, 2, "/*") == 0) {
            const std::size_t end = std::min(text.size(), text.find(line ? "\n" : "*/", i + 2));
            comments += text.substr(i + 2, end - i - 2) + "\n";
            i = end + 1;
        } else if (text[i] == '"' || (text[i] == '\'' && !digit_separator(text, i))) {
            i = end_of_quoted(text, i);
        } else {
            ++i;
        }
    }
    return std::regex_replace(comments, std::regex(R"(\n[/<!* ]*)"), " ");
}

/// Keys in brackets: [Name 1999], [Name 1999, page 3], [NORM 12-3:1999]. A capital, a space, a figure.
Words citations_in(const std::string& text) {
    static const std::regex pattern(R"(\[([A-Z][^\[\],]* [^\[\],]*[0-9][^\[\],]*)(?:,[^\[\]]*)?\])");
    Words keys;
    const std::string comments = comments_of(text);
    for (std::sregex_iterator match(comments.begin(), comments.end(), pattern), end; match != end; ++match)
        keys.insert((*match)[1].str());
    return keys;
}

/// Types by their full names that a text defines where others can see them: what stands in a nameless namespace is its
/// file's own. Read off the layout that clang-format gives: namespaces and what lies in them begin at the margin.
Words types_defined_in(const std::string& text) {
    static const std::regex space(R"(^namespace ([\w:]*) ?\{$)"), end(R"(^\}  // namespace\b.*$)");
    static const std::regex type(R"(^(?:struct|class|enum class|union) (\w+)(?: final)?(?: : [^;]*)? \{.*$)");
    Words types;
    std::vector<std::string> open;
    std::istringstream lines(text);
    for (std::string line; std::getline(lines, line);) {
        std::smatch found;
        if (std::regex_match(line, found, space))
            open.push_back(found[1]);
        else if (std::regex_match(line, end) && !open.empty())
            open.pop_back();
        else if (std::regex_match(line, found, type) && std::count(open.begin(), open.end(), "") == 0)
            types.insert(
                std::accumulate(open.begin(), open.end(), std::string(),
                                [](const std::string& all, const std::string& one) { return all + one + "::"; }) +
                found[1].str());
    }
    return types;
}

std::string developers_guide() {
    return text_of(fs::path(LOOPREAD_SOURCE) / "DEVELOPERS.md");
}

std::string trimmed(const std::string& text) {
    const std::size_t from = text.find_first_not_of(' ');
    return from == std::string::npos ? "" : text.substr(from, text.find_last_not_of(' ') - from + 1);
}

/// The cells of the table under a heading of the guide, below its head.
std::vector<std::vector<std::string>> guide_table(const std::string& guide, const std::string& heading) {
    std::vector<std::vector<std::string>> rows;
    std::istringstream in(guide);
    bool here = false;
    for (std::string line; std::getline(in, line);) {
        if (line.starts_with("## ")) here = line == "## " + heading;
        if (!here || !line.starts_with("|") || line.starts_with("|--") || line.starts_with("| ---")) continue;
        std::vector<std::string> cells;
        std::istringstream row(line.substr(1));
        for (std::string cell; std::getline(row, cell, '|');) cells.push_back(trimmed(cell));
        rows.push_back(cells);
    }
    REQUIRE(rows.size() > 1);
    rows.erase(rows.begin());
    return rows;
}

Words source_keys() {
    Words keys;
    for (const auto& row : guide_table(developers_guide(), "Sources")) keys.insert(row.at(0));
    return keys;
}

/// All modules that a module reaches, step by step.
Words reached_from(const std::string& module) {
    const std::map<std::string, Allowed> rules = rules_by_name();
    Words reached;
    std::vector<std::string> open{module};
    while (!open.empty()) {
        const std::string next = open.back();
        open.pop_back();
        for (const std::string& other : rules.at(next).modules)
            if (other != next && reached.insert(other).second) open.push_back(other);
    }
    return reached;
}

}  // namespace

TEST_SUITE("layers") {
    TEST_CASE("every include keeps to the table of modules") {
        CHECK(library_sources().size() > 100);
        Words seen;
        for (const SourceFile& file : library_sources()) {
            seen.insert(module_of(file.path));
            for (const std::string& fault : include_faults(file)) FAIL_CHECK(fault);
        }
        for (const auto& rule : rules_by_name()) CHECK_MESSAGE(seen.contains(rule.first), rule.first);
    }

    TEST_CASE("the table here is the table of the developers' guide") {
        std::vector<ModuleRule> rules = kCore;
        rules.insert(rules.end(), kEdges.begin(), kEdges.end());
        const auto rows = guide_table(developers_guide(), "Modules");
        REQUIRE(rows.size() == rules.size());
        for (std::size_t i = 0; i < rows.size(); ++i) {
            CHECK(trimmed(rows[i].at(0).substr(0, rows[i].at(0).find('('))) == rules[i].name);
            const std::string may = rows[i].at(1) == "-" ? "" : rows[i].at(1);
            const std::size_t semicolon = std::min(may.size(), may.find(';'));
            CHECK_MESSAGE(words_of(may.substr(0, semicolon)) == words_of(rules[i].modules), rules[i].name);
            const std::string libraries = semicolon < may.size() ? may.substr(semicolon + 1) : "";
            CHECK_MESSAGE(words_of(libraries) == words_of(rules[i].libraries), rules[i].name);
        }
    }

    TEST_CASE("the core knows no edge module, and no module reaches itself") {
        for (const std::string& module : names_of(kCore))
            for (const std::string& edge : names_of(kEdges)) CHECK_FALSE(reached_from(module).contains(edge));
        for (const auto* group : {&kCore, &kEdges})
            for (const ModuleRule& rule : *group)
                if (rule.modules != "everything") CHECK_FALSE(reached_from(rule.name).contains(rule.name));
    }

    TEST_CASE("unravelling and knitting never see each other, nor through others") {
        CHECK_FALSE(reached_from("unravel").contains("fabric"));
        CHECK_FALSE(reached_from("fabric").contains("unravel"));
        for (const SourceFile& file : library_sources()) {
            if (module_of(file.path) == "unravel")
                CHECK_MESSAGE(file.text.find("loopread/fabric/") == std::string::npos, file.path);
            if (module_of(file.path) == "fabric")
                CHECK_MESSAGE(file.text.find("loopread/unravel/") == std::string::npos, file.path);
        }
    }

    TEST_CASE("every header begins with pragma once") {
        for (const SourceFile& file : sources_in({"include", "src", "tests"}))
            if (file.path.ends_with(".h")) CHECK_MESSAGE(begins_with_pragma_once(file), file.path);
    }

    // Two types of one name share the functions made of them, such as those of std::vector, and one of the two is then
    // laid out as the other is.
    TEST_CASE("no two files define a type of one name") {
        std::map<std::string, std::string> defined_in;
        for (const SourceFile& file : sources_in({"include", "src"}))
            for (const std::string& type : types_defined_in(file.text)) {
                const auto put = defined_in.emplace(type, file.path);
                CHECK_MESSAGE(put.second, type << " stands in " << put.first->second << " and " << file.path);
            }
        CHECK(defined_in.size() > 400);
        CHECK(defined_in.contains("loopread::Pen"));
        CHECK(defined_in.contains("loopread::cli::BlankInput"));
    }

    TEST_CASE("types are told by their full names, and those of a file alone are left out") {
        const std::string text =
            "namespace loopread {\nstruct Band {\n    struct Inner {\n    };\n};\nstruct Later;\n"
            "namespace {\nclass Own : public Band {\n};\n}  // namespace\nnamespace cli {\nenum class Way { a, b };\n"
            "}  // namespace cli\nclass Last final : public Band {\n};\n}  // namespace loopread\n";
        CHECK(types_defined_in(text) == Words{"loopread::Band", "loopread::cli::Way", "loopread::Last"});
    }

    TEST_CASE("every source cited is in the guide's table of sources") {
        const Words keys = source_keys();
        Words cited;
        for (const SourceFile& file : library_sources())
            for (const std::string& key : citations_in(file.text)) {
                CHECK_MESSAGE(keys.contains(key), file.path << " cites [" << key << "]");
                cited.insert(key);
            }
        CHECK(cited.size() > 10);
    }

    TEST_CASE("every key of the table of sources is cited somewhere") {
        Words cited;
        for (const SourceFile& file : sources_in({"include", "src", "tests"})) {
            if (file.path == "tests/layers_test.cpp") continue;
            cited.merge(citations_in(file.text));
        }
        for (const std::string& key : source_keys()) CHECK_MESSAGE(cited.contains(key), key);
    }

    TEST_CASE("made-up includes that break the rules are caught, one by one") {
        const std::vector<SourceFile> faulty{
            {"src/fabric/x.cpp", "#include \"loopread/unravel/order.h\"\n"},
            {"include/loopread/unravel/x.h", "#pragma once\n#include \"loopread/fabric/fabric.h\"\n"},
            {"src/base/x.cpp", "// first\n  #  include \"loopread/colour/spaces.h\"\n"},
            {"src/colour/x.cpp", "#include <opencv2/core.hpp>\n"},
            {"src/raster/x.cpp", "#include <cairo.h>\n"},
            {"src/draw/x.cpp", "#include <opencv2/core.hpp>\n"},
            {"src/shares/x.cpp", "#include \"photo/png.h\"\n"},
            {"src/draw/x.cpp", "#include \"loopread/photo/read.h\"\n"},
            {"src/report/x.cpp", "#include \"cli/run.h\"\n"},
            {"src/main.cpp", "#include \"loopread/base/error.h\"\n"},
            {"src/yarn/x.cpp", "#include <unistd.h>\n"},
            {"src/elsewhere/x.cpp", "#include <vector>\n"},
            {"include/loopread/colour/x.h", "#pragma once\n#include \"colour/nearest.h\"\n"},
        };
        for (const SourceFile& file : faulty)
            CHECK_MESSAGE(include_faults(file).size() == 1, file.path << ": " << file.text);
        const std::vector<SourceFile> sound{
            {"src/fabric/x.cpp", "#include <vector>\n#include <Eigen/Dense>\n#include \"loopread/yarn/run.h\"\n"},
            {"src/photo/x.cpp", "#include <png.h>\n#include \"loopread/shares/shares.h\"\n#include \"png.h\"\n"},
            {"src/cli/x.cpp", "#include <CLI/CLI.hpp>\n#include \"loopread/report/page.h\"\n"},
            {"src/base/x.cpp", "// #include \"loopread/photo/read.h\"\n"},
        };
        for (const SourceFile& file : sound) CHECK_MESSAGE(include_faults(file).empty(), file.path);
    }

    TEST_CASE("citations are read from comments only, whole keys and all of them") {
        CHECK(citations_in("int a;  // as in [Nobody 1999] and [Someone 2001, table 3]\n") ==
              Words{"Nobody 1999", "Someone 2001"});
        CHECK(citations_in("/* [NORM 12-3:1999] */ /// [NORM 7-B02]\n") == Words{"NORM 12-3:1999", "NORM 7-B02"});
        CHECK(citations_in("/// broken [Nobody\n    /// 1999] off\n") == Words{"Nobody 1999"});
        CHECK(citations_in("x[Reach - 1]; f(\"// [Nobody 1999]\"); g('\"'); int n = 1'000;  // [Someone 2001]\n") ==
              Words{"Someone 2001"});
        CHECK(citations_in("f(R\"(\" // [Nobody 1999])\");\n").empty());
        CHECK(citations_in("// in [0, 1], of x[i] and [a 1]\n").empty());
        CHECK_FALSE(source_keys().contains("Nobody 1999"));
    }

    TEST_CASE("a header whose first line is another is caught") {
        CHECK(begins_with_pragma_once({"a.h", "#pragma once\n\nint a;\n"}));
        CHECK_FALSE(begins_with_pragma_once({"a.h", "// words\n#pragma once\n"}));
        CHECK_FALSE(begins_with_pragma_once({"a.h", "#ifndef A\n"}));
        CHECK_FALSE(begins_with_pragma_once({"a.h", ""}));
    }
}
