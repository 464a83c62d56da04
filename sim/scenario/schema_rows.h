#pragma once
// Short ways to write rows of the table of keys.
#include "sim/scenario/schema.h"

namespace mistwright::scenario::rows {

/// Limits of a value; choices stand in `low`.
struct Limits {
  const char* low = "";
  const char* high = "";
};

/// A default with its honest range and where it comes from.
struct Assume {
  const char* value = "";
  const char* low = "";
  const char* high = "";
  const char* evidence = "";
};

constexpr Key needed(const char* table, const char* name, Kind kind, Limits limits,
                     const char* help) {
  return {.table = table,
          .name = name,
          .kind = kind,
          .need = Need::Required,
          .low = limits.low,
          .high = limits.high,
          .help = help};
}
constexpr Key maybe(const char* table, const char* name, Kind kind, Limits limits,
                    const char* help) {
  return {.table = table,
          .name = name,
          .kind = kind,
          .need = Need::Optional,
          .low = limits.low,
          .high = limits.high,
          .help = help};
}
constexpr Key assumed(const char* table, const char* name, Kind kind, Limits limits, Assume assume,
                      const char* help) {
  return {.table = table,
          .name = name,
          .kind = kind,
          .need = Need::Default,
          .low = limits.low,
          .high = limits.high,
          .fallback = assume.value,
          .fallback_low = assume.low,
          .fallback_high = assume.high,
          .evidence = assume.evidence,
          .help = help};
}
constexpr Key preset(const char* table, const char* name, Kind kind, Limits limits, const char* by,
                     const char* help) {
  return {.table = table,
          .name = name,
          .kind = kind,
          .need = Need::Preset,
          .low = limits.low,
          .high = limits.high,
          .fallback = by,
          .help = help};
}

}  // namespace mistwright::scenario::rows
