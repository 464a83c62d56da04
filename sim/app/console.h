#pragma once
// How the program talks: exit statuses, what the terminal can show, one flat JSON object. Problems
// are laid out by sim/scenario/problem.h, here only sent where they belong.
#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "sim/record/file_error.h"
#include "sim/scenario/problem.h"

namespace mistwright::app {

/// Exit statuses; the same everywhere.
enum Status : int {
  done = 0,
  usage_error = 2,    ///< the command line is wrong
  input_error = 3,    ///< a scenario, its weather or a value is wrong
  file_error = 4,     ///< a file cannot be read or written
  limit_reached = 5,  ///< stopped by a limit
  own_fault = 70,     ///< a fault of this program
  interrupted = 130,  ///< stopped by its user
  terminated = 143,   ///< asked to end
};

/// What the user asked of every command.
struct Manners {
  bool json = false;
  bool quiet = false;
};

/// What stands behind a stream.
struct Terminal {
  bool interactive = false;  ///< a person looks at it now
  bool colour = false;       ///< interactive, not dumb, and NO_COLOR is not set
  int width = 80;            ///< columns
};

/// @param descriptor 1 for standard output, 2 for standard error
[[nodiscard]] Terminal terminal_of(int descriptor);

/// The word among `known` with the fewest edits to `word`; none if all are far off.
[[nodiscard]] std::optional<std::string> nearest(std::string_view word,
                                                 const std::vector<std::string>& known);

/// A flat object under construction. Numbers are printed so that they read back to the same bits;
/// a number that is not finite becomes null.
class JsonObject {
 public:
  void number(std::string_view key, double value);
  void whole(std::string_view key, long long value);
  void text(std::string_view key, std::string_view value);
  void flag(std::string_view key, bool value);
  void none(std::string_view key);
  void raw(std::string_view key, std::string_view json);  ///< json: text of a valid value
  [[nodiscard]] std::string str() const;

 private:
  std::vector<std::pair<std::string, std::string>> fields_;
};

/// Text as a JSON string.
[[nodiscard]] std::string json_text(std::string_view text);

/// JSON values joined into an array.
[[nodiscard]] std::string json_array(const std::vector<std::string>& values);

/// Words on the left, a value on the right.
struct Row {
  std::string label, value;
};

/// Rows with their values starting in one column.
[[nodiscard]] std::string aligned(const std::vector<Row>& rows);

/// A mistake in the command line itself.
[[nodiscard]] scenario::Problem mistake(std::string code, std::string message, std::string help);

/// A file that could not be read or written.
[[nodiscard]] scenario::Problem trouble(const record::FileError& error);

/// Writes problems to standard error, or as one JSON object to standard output.
/// @param outcome  what the last line says; by default the count, and that nothing was done
void tell(const Manners& manners, const std::vector<scenario::Problem>& problems,
          const char* outcome = nullptr);

/// tell() and the status, in one.
int refuse(const Manners& manners, Status status, const std::vector<scenario::Problem>& problems,
           const char* outcome = nullptr);

/// What the last line says of a file that could not be read or written.
inline constexpr const char* nothing_written = "nothing was written";

}  // namespace mistwright::app
