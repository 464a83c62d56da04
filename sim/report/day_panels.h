#pragma once
// The panels of curves over the day: which quantities stand together, and the sentence that each
// panel's data says.
#include <string>
#include <vector>

#include "sim/report/day_series.h"
#include "sim/report/summary.h"

namespace mistwright::report {

struct Panel {
  std::string id, name;
  std::string value_words;  ///< what the upright axis counts, with its unit
  std::string unit;         ///< after a number, in words or signs
  std::vector<Shown> shown;
  int decimals = 1;
  bool from_zero = true;
  bool fahrenheit_too = false;
  bool bursts = false;  ///< mark the bursts along the foot
  int spoken = -1;      ///< the quantity that the cursor's slider says aloud; none if negative
  std::string (*sentence)(const Day& day, const std::vector<Shown>& shown) = nullptr;
  std::string full_words = {};  ///< after a number at the first quantity's upper limit
};

/// In the order of the page; those whose quantities the record lacks are left out.
[[nodiscard]] std::vector<Panel> panels(const Day& day);

/// The still picture with its sentence and numbers, marked for the live curves.
[[nodiscard]] std::string panel_figure(const Day& day, const Panel& panel);

/// Mist brought against water lost, hour by hour; nothing when no hour was recorded.
[[nodiscard]] std::string balance_figure(const Day& day, const record::Group& bench,
                                         const Summary& summary);

/// What panels and the balance are marked with, so that the script finds them.
[[nodiscard]] std::string marked_panel(const std::string& id, const std::string& content);

inline constexpr const char* balance_words = "water per bench area, mm in the hour";

}  // namespace mistwright::report
