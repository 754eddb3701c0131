#pragma once

#include <nlohmann/json.hpp>
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace loopread::wasm {

using Json = nlohmann::ordered_json;

/// @throws Error(input) for what is no JSON object
Json parsed_object(std::string_view text, const std::string& what);

struct NumberRange {
    double least = 0, most = 0;
};

/// The fields of one object of a document. A field that is missing or null is nothing; a wrong type or a number out of
/// range is an Error(input) in one sentence that names the field.
class Fields {
public:
    /// @param object  null counts as an object without fields
    /// @throws Error(input) unless it is an object
    Fields(const Json& object, std::string name);

    std::optional<double> number(const char* field, NumberRange range) const;
    std::optional<long long> whole(const char* field, NumberRange range) const;
    std::optional<bool> truth(const char* field) const;
    std::optional<std::string> text(const char* field) const;
    /// One of some words. @throws Error(input) that lists them
    template <class T>
    std::optional<T> choice(const char* field, const std::vector<std::pair<const char*, T>>& choices) const {
        const auto word = text(field);
        if (!word) return std::nullopt;
        std::string words;
        for (const auto& [name, value] : choices) {
            if (*word == name) return value;
            words += (words.empty() ? "" : ", ") + std::string(name);
        }
        refuse(field, "'" + shortened(*word) + "' is not one of " + words);
    }
    /// Nothing where it is missing or null.
    const Json* object(const char* field) const;
    const Json* list(const char* field) const;
    /// A list of numbers. @throws Error(input) unless there are a multiple of `of_each`
    std::vector<double> numbers(const char* field, std::size_t of_each, NumberRange range) const;

    std::string name(const char* field) const { return name_.empty() ? field : name_ + " " + field; }
    [[noreturn]] void refuse(const char* field, const std::string& fault) const;

private:
    static std::string shortened(const std::string& text);
    const Json* found(const char* field) const;
    const Json* fields_;
    std::string name_;
};

}  // namespace loopread::wasm
