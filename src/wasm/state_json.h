#pragma once

#include "loopread/table/state.h"
#include "wasm/json_fields.h"

namespace loopread::wasm {

/// The state document: every field optional with its default, unknown fields passed over.
/// @throws Error(input) for a wrong type or a number out of range, in one sentence that names the field
TableState table_state(const Json& document);

}  // namespace loopread::wasm
