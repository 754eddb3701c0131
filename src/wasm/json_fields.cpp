#include "wasm/json_fields.h"

#include <cmath>

#include "loopread/base/error.h"
#include "loopread/base/text.h"

namespace loopread::wasm {

Json parsed_object(std::string_view text, const std::string& what) {
    Json json = Json::parse(text.begin(), text.end(), nullptr, false);
    if (json.is_discarded())
        throw Error(ErrorKind::input,
                    what + ": is broken or is not a saved table; take a file that this page has saved");
    if (!json.is_object())
        throw Error(ErrorKind::input, what + ": is not as this page saves it; take a file that this page has saved");
    return json;
}

Fields::Fields(const Json& object, std::string name) : fields_(&object), name_(std::move(name)) {
    if (!object.is_null() && !object.is_object())
        throw Error(ErrorKind::input, name_ + ": is not as this page saves it; take a file that this page has saved");
}

const Json* Fields::found(const char* field) const {
    if (!fields_->is_object()) return nullptr;
    const auto place = fields_->find(field);
    return place == fields_->end() || place->is_null() ? nullptr : &*place;
}

void Fields::refuse(const char* field, const std::string& fault) const {
    throw Error(ErrorKind::input, name(field) + ": " + fault);
}

std::string Fields::shortened(const std::string& text) {
    constexpr std::size_t kMost = 40;
    return text.size() <= kMost ? text : text.substr(0, kMost) + "...";
}

std::optional<double> Fields::number(const char* field, NumberRange range) const {
    const Json* value = found(field);
    if (!value) return std::nullopt;
    if (!value->is_number()) refuse(field, "is not a number");
    const double number = value->get<double>();
    if (!(number >= range.least && number <= range.most))
        refuse(field, number_text(number, 3) + " is out of range; give " + number_text(range.least, 3) + " to " +
                          number_text(range.most, 3));
    return number;
}

std::optional<long long> Fields::whole(const char* field, NumberRange range) const {
    const auto value = number(field, range);
    if (!value) return std::nullopt;
    if (*value != std::floor(*value)) refuse(field, number_text(*value, 3) + " is not a whole number");
    return static_cast<long long>(*value);
}

std::optional<bool> Fields::truth(const char* field) const {
    const Json* value = found(field);
    if (!value) return std::nullopt;
    if (!value->is_boolean()) refuse(field, "is neither true nor false");
    return value->get<bool>();
}

std::optional<std::string> Fields::text(const char* field) const {
    const Json* value = found(field);
    if (!value) return std::nullopt;
    if (!value->is_string()) refuse(field, "is not a text");
    return value->get<std::string>();
}

const Json* Fields::object(const char* field) const {
    const Json* value = found(field);
    if (value && !value->is_object()) refuse(field, "is not an object of fields");
    return value;
}

const Json* Fields::list(const char* field) const {
    const Json* value = found(field);
    if (value && !value->is_array()) refuse(field, "is not a list");
    return value;
}

std::vector<double> Fields::numbers(const char* field, std::size_t of_each, NumberRange range) const {
    std::vector<double> out;
    const Json* values = list(field);
    if (!values) return out;
    out.reserve(values->size());
    for (const Json& value : *values) {
        if (!value.is_number()) refuse(field, "holds something that is not a number");
        const double number = value.get<double>();
        if (!(number >= range.least && number <= range.most))
            refuse(field, number_text(number, 3) + " is out of range");
        out.push_back(number);
    }
    if (out.size() % of_each != 0)
        refuse(field, "holds " + std::to_string(out.size()) + " numbers; they come by " + std::to_string(of_each));
    return out;
}

}  // namespace loopread::wasm
