#pragma once
// What the command line says about itself for others to read: the manual page and the completions
// of three shells, from the commands and options as the parser has them and from the table of keys
// of a scenario, so that none can disagree with what the program takes.
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "sim/scenario/problem.h"

namespace mistwright::app {

/// One option or one word of a command.
struct OptionWords {
  std::vector<std::string> names = {};  ///< "-o", "--output"; of a word its name in capitals
  std::string value = {};               ///< what it takes, such as FILE; empty for a flag
  std::string meaning = {};
  bool word = false;  ///< told by its place, not by a name
};

struct CommandWords {
  std::string path;  ///< "run", "calc air"; empty: options that all commands take
  std::vector<OptionWords> options;
};

/// The words before any option: what the user wants, before its particulars.
[[nodiscard]] std::vector<std::string> leading_words(const std::vector<std::string>& arguments);

/// The innermost command that the words name.
[[nodiscard]] std::string named_path(const std::vector<std::string>& words);

/// A command that does not exist, with the nearest that does.
[[nodiscard]] std::optional<scenario::Problem> unknown_command(
    const std::vector<std::string>& words);

/// The manual page ("man") or the completion of a shell ("bash", "zsh", "fish"); none for another
/// form. The first command is the one without a path.
[[nodiscard]] std::optional<std::string> words_as(std::string_view form,
                                                  std::vector<CommandWords> commands,
                                                  std::string_view version);

}  // namespace mistwright::app
