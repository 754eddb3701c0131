#pragma once

#include <map>
#include <string>
#include <vector>

#include "loopread/base/files.h"
#include "loopread/base/require.h"
#include "loopread/base/text.h"

namespace loopread {

/// One row of a table of check data, its cells by the name of their column.
class OracleRow {
public:
    void set(const std::string& column, const std::string& cell) { cells_[column] = cell; }
    const std::string& text(const std::string& column) const { return cells_.at(column); }
    double number(const std::string& column) const {
        const auto value = parsed_number(text(column));
        require(value.has_value(), "a cell of check data is a number");
        return *value;
    }

private:
    std::map<std::string, std::string> cells_;
};

inline std::vector<std::string> oracle_fields(const std::string& line, char separator) {
    std::vector<std::string> fields(1);
    for (const char c : line) {
        if (c == separator)
            fields.emplace_back();
        else
            fields.back() += c;
    }
    return fields;
}

/// The rows of tests/data/`name`; lines that begin with # say where it is from.
inline std::vector<OracleRow> oracle_rows(const std::string& name) {
    std::vector<std::string> columns;
    std::vector<OracleRow> rows;
    for (const std::string& line : oracle_fields(file_bytes(std::string(LOOPREAD_TEST_DATA) + "/" + name), '\n')) {
        if (line.empty() || line.front() == '#') continue;
        const std::vector<std::string> fields = oracle_fields(line, ',');
        if (columns.empty()) {
            columns = fields;
            continue;
        }
        require(fields.size() == columns.size(), "a row of check data has a cell for every column");
        rows.emplace_back();
        for (std::size_t i = 0; i < fields.size(); ++i) rows.back().set(columns[i], fields[i]);
    }
    return rows;
}

}  // namespace loopread
