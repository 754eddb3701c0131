#include "loopread/design/file.h"

#include <toml++/toml.h>

#include <algorithm>
#include <cmath>
#include <set>

#include "loopread/base/error.h"
#include "loopread/base/files.h"
#include "loopread/base/text.h"

namespace loopread {
namespace fs = std::filesystem;
namespace {

/// Walks a design file and notes every fault with its line, so that all are mended at once.
class DesignReader {
public:
    DesignReader(const fs::path& file, const ColourBook& book) : file_(file), book_(book) {}

    Design read() {
        const std::string text = file_bytes(file_, 1'000'000);
        toml::table root;
        try {
            root = toml::parse(text);
        } catch (const toml::parse_error& fault) {
            throw_problems(file_.string(),
                           {{static_cast<int>(fault.source().begin.line), std::string(fault.description())}});
        }
        known_keys(root, {"undyed", "ground", "layer"});
        Design design;
        if (const auto colour = colour_of(root, "undyed")) design.undyed = *colour;
        design.ground.colours = {design.undyed};
        read_ground(root, design.ground);
        read_layers(root, design);
        std::stable_sort(problems_.begin(), problems_.end(),
                         [](const Problem& a, const Problem& b) { return a.line < b.line; });
        if (!problems_.empty()) throw_problems(file_.string(), problems_);
        return design;
    }

private:
    void note(const toml::node& node, const std::string& what) {
        problems_.push_back({static_cast<int>(node.source().begin.line), what});
    }

    void known_keys(const toml::table& table, const std::set<std::string_view>& known) {
        for (const auto& [key, value] : table)
            if (!known.contains(key.str())) {
                std::string names;
                for (const std::string_view name : known) names += (names.empty() ? "" : ", ") + std::string(name);
                note(value, "'" + std::string(key.str()) + "' is not known here; known are " + names);
            }
    }

    std::optional<Srgb8> colour(const toml::node& node, std::string_view what) {
        const auto text = node.value<std::string>();
        if (!text) {
            note(node, std::string(what) + " must be a colour in quotes, like \"#d8455a\"");
            return std::nullopt;
        }
        try {
            return book_.colour(*text, what);
        } catch (const Error& fault) {
            note(node, fault.what());
            return std::nullopt;
        }
    }

    std::optional<Srgb8> colour_of(const toml::table& table, std::string_view key) {
        const toml::node* node = table.get(key);
        return node ? colour(*node, key) : std::nullopt;
    }

    std::optional<double> number_of(const toml::table& table, std::string_view key, double least, double most) {
        const toml::node* node = table.get(key);
        if (!node) return std::nullopt;
        const auto number = node->value<double>();
        if (number && std::isfinite(*number) && *number >= least && *number <= most) return number;
        note(*node,
             std::string(key) + " must be a number from " + number_text(least, 2) + " to " + number_text(most, 2));
        return std::nullopt;
    }

    std::optional<fs::path> path_of(const toml::table& table, std::string_view key) {
        const toml::node* node = table.get(key);
        if (!node) return std::nullopt;
        const auto text = node->value<std::string>();
        if (text && !text->empty()) return file_.parent_path() / *text;
        note(*node, std::string(key) + " must be a file name in quotes");
        return std::nullopt;
    }

    void read_ground(const toml::table& root, DesignGround& ground) {
        const toml::node* node = root.get("ground");
        if (!node) return;
        const toml::table* table = node->as_table();
        if (!table) return note(*node, "ground must be a table: [ground]");
        known_keys(*table, {"colour", "fade", "along", "picture"});
        const int ways = static_cast<int>(table->contains("colour")) + static_cast<int>(table->contains("fade")) +
                         static_cast<int>(table->contains("picture"));
        if (ways != 1) note(*table, "ground takes one of colour, fade and picture");
        if (const auto one = colour_of(*table, "colour")) ground.colours = {*one};
        ground.picture = path_of(*table, "picture");
        if (const toml::node* fade = table->get("fade")) read_fade(*fade, ground);
        if (const toml::node* along = table->get("along")) {
            const std::string way = along->value_or(std::string());
            if (way == "width")
                ground.along = DesignGround::Along::width;
            else if (way != "length")
                note(*along, "along must be \"length\" or \"width\"");
        }
    }

    void read_fade(const toml::node& node, DesignGround& ground) {
        const toml::array* stops = node.as_array();
        if (!stops || stops->size() < 2) return note(node, "fade must be a list of two colours or more");
        ground.colours.clear();
        for (const toml::node& stop : *stops)
            if (const auto one = colour(stop, "fade")) ground.colours.push_back(*one);
    }

    void read_layers(const toml::table& root, Design& design) {
        const toml::node* node = root.get("layer");
        if (!node) return;
        const toml::array* layers = node->as_array();
        if (!layers || !layers->is_array_of_tables()) return note(*node, "layers are written [[layer]]");
        if (layers->size() > 64) return note(*node, "a design has at most 64 layers");
        for (const toml::node& entry : *layers) read_layer(*entry.as_table(), design);
    }

    void read_layer(const toml::table& table, Design& design) {
        known_keys(table, {"name", "stencil", "colour", "strength", "penetration"});
        DesignLayer layer;
        layer.name = "layer " + std::to_string(design.layers.size() + 1);
        if (const toml::node* name = table.get("name")) {
            if (const auto words = name->value<std::string>())
                layer.name = *words;
            else
                note(*name, "name must be text in quotes");
        }
        const auto stencil = path_of(table, "stencil");
        const auto dye = colour_of(table, "colour");
        if (!table.contains("stencil")) note(table, "a layer needs a stencil: stencil = \"file.png\"");
        if (!table.contains("colour")) note(table, "a layer needs a colour: colour = \"#d8455a\"");
        if (stencil) layer.stencil = *stencil;
        if (dye) layer.colour = *dye;
        if (const auto strength = number_of(table, "strength", 0, 100)) layer.strength = *strength;
        if (const auto penetration = number_of(table, "penetration", 0, 1)) layer.penetration = *penetration;
        design.layers.push_back(layer);
    }

    fs::path file_;
    const ColourBook& book_;
    std::vector<Problem> problems_;
};

}  // namespace

std::vector<fs::path> Design::pictures() const {
    std::vector<fs::path> paths;
    if (ground.picture) paths.push_back(*ground.picture);
    for (const DesignLayer& layer : layers) paths.push_back(layer.stencil);
    return paths;
}

Design read_design(const fs::path& file, const ColourBook& book) {
    return DesignReader(file, book).read();
}

}  // namespace loopread
