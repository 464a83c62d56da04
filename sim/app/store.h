#pragma once
// Which store of airflow fields a command uses.
#include <memory>
#include <optional>
#include <string>

#include "sim/app/console.h"
#include "sim/house/field_store.h"

namespace mistwright::app {

struct StoreRequest {
  std::optional<std::string> folder;  ///< absent: the usual one
  bool none = false;
};

/// The store to use; null for none. The usual one is left out with a remark if it cannot be used.
/// @throws record::FileError  the folder that was asked for cannot be used
[[nodiscard]] std::shared_ptr<FieldStore> store_for(const Manners& manners,
                                                    const StoreRequest& request);

}  // namespace mistwright::app
