#pragma once
// What is wrong with an input, where, and what would be right: one struct, printed for people in
// one layout (place, excerpt, caret, label, help, note) or for programs as JSON. Columns count
// characters as a terminal shows them; control characters and marks that turn the writing direction
// are made visible. Leaves out: finding faults, which is the readers' work.
#include <cstddef>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace mistwright::scenario {

/// A text as read, with the name under which the user knows it.
struct SourceText {
  std::string name;
  std::string text;
  std::vector<std::size_t> line_starts;  ///< byte offset of each line

  SourceText() = default;
  SourceText(std::string name, std::string text);
  /// A line without its end, numbered from 1; empty if there is none.
  [[nodiscard]] std::string_view line(int number) const;
};

/// A stretch of one line. Line 0 means the whole file.
struct Span {
  std::shared_ptr<const SourceText> source = {};
  int line = 0;    ///< from 1
  int column = 0;  ///< from 1, in code points
  int length = 1;  ///< in code points

  /// The name of the file; empty without one.
  [[nodiscard]] std::string file() const { return source ? source->name : std::string(); }
};

enum class Severity { Error, Warning };

/// An edit that would mend a fault: the span's characters replaced by `text`.
struct Fix {
  Span at;
  std::string text;
};

/// Another place that belongs to a fault.
struct Second {
  Span at;
  std::string label;
};

struct Problem {
  Severity severity = Severity::Error;
  std::string code;     ///< E or W and four digits
  std::string message;  ///< one line, lower case, no full stop
  Span at;
  std::string label = {};  ///< beside the caret
  std::string help = {};   ///< what would be right; at most two lines
  std::string note = {};
  std::optional<Second> second = {};
  std::optional<Fix> fix = {};
  int count = 1;            ///< how often the same fault was found
  bool unreadable = false;  ///< the file itself could not be read: exit status 4
};

struct RenderOptions {
  int width = 100;      ///< columns of the terminal
  bool colour = false;  ///< never the only carrier of meaning
  int most = 20;        ///< problems printed before only counting
};

/// Text that is safe and honest to print: control characters, marks of writing direction and broken
/// UTF-8 as visible escapes.
[[nodiscard]] std::string visible(std::string_view text);
/// The same of what must stay on one line, such as the name of a file: line breaks as \n.
[[nodiscard]] std::string visible_line(std::string_view text);

/// Columns that text takes on a terminal: two for wide characters, none for combining ones.
[[nodiscard]] int display_width(std::string_view text);

/// The column [from 1] at which a span begins when its line is shown, tabs taken as four columns.
[[nodiscard]] int display_column(const Span& span);

/// One problem in the layout of the error pages, ending in a line break.
[[nodiscard]] std::string render(const Problem& problem, const RenderOptions& options = {});

/// All problems, the count, and what did not happen.
[[nodiscard]] std::string render(const std::vector<Problem>& problems,
                                 const RenderOptions& options = {});

/// The same as one JSON object: schema, errors, warnings, problems (code, severity, file, span,
/// message, help, fix).
[[nodiscard]] std::string render_json(const std::vector<Problem>& problems);

/// How many faults of a severity, repeats counted.
[[nodiscard]] std::size_t count_of(const std::vector<Problem>& problems, Severity severity);

[[nodiscard]] bool any_error(const std::vector<Problem>& problems);

/// Exit status: 0 without errors, 4 if a file could not be read at all, else 3.
[[nodiscard]] int exit_status(const std::vector<Problem>& problems);

/// Folds problems that say the same at the same place into one with a count, keeping their order.
void fold_repeats(std::vector<Problem>& problems);

}  // namespace mistwright::scenario
