#pragma once
// What each command is for, with examples that run from a fresh clone: one table for the help, the
// list of commands and the tests.
#include <array>
#include <string>
#include <string_view>
#include <vector>

namespace mistwright::app {

struct Verb {
  std::string_view path;     ///< "run", "calc air"
  std::string_view purpose;  ///< one line
  std::array<std::string_view, 2> examples;
  std::string_view notes;  ///< what a user should know beyond the options; may be empty
};

/// All commands, in the order in which they are listed; those under `calc` after it.
[[nodiscard]] const std::vector<Verb>& verbs();

/// @throws std::out_of_range for a path that is not in the table
[[nodiscard]] const Verb& verb(std::string_view path);

/// Names directly under a command ("" for the top), for lists and for the nearest name.
[[nodiscard]] std::vector<std::string> names_under(std::string_view parent);

/// What no arguments print: five lines and three examples.
[[nodiscard]] std::string greeting();

/// The whole program on one screen.
[[nodiscard]] std::string overview();

/// The head of a command's help: its examples first.
[[nodiscard]] std::string examples_and_purpose(const Verb& verb);

}  // namespace mistwright::app
