#include "sim/scenario/cup_readings.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <memory>
#include <optional>
#include <string_view>

#include "sim/scenario/quantity.h"
#include "sim/scenario/source.h"
#include "sim/scenario/weather_columns.h"

namespace mistwright::scenario {

namespace {

constexpr std::size_t most_bytes = 1u << 20;

bool is_number(std::string_view text) {
  return !text.empty() && text.find_first_not_of("0123456789.+-eE") == std::string_view::npos;
}

class CupReader {
 public:
  CupReader(std::shared_ptr<const SourceText> source, const std::vector<std::string>& names,
            double mouth_m2)
      : source_(std::move(source)), names_(names), mouth_m2_(mouth_m2) {}

  CupReadings run() {
    bool headed = false;
    for (int number = 1; number <= static_cast<int>(source_->line_starts.size()); ++number) {
      const std::string_view line = source_->line(number);
      const std::size_t start = line.find_first_not_of(" \t\r");
      if (start == std::string_view::npos || line[start] == '#') continue;
      if (headed) {
        read_row(number);
      } else if (!read_heading(number)) {
        return std::move(out_);
      }
      headed = true;
    }
    if (!headed || (out_.readings.empty() && out_.problems.empty()))
      fault("E0801", Span{source_, 0},
            fmt::format("`{}` has no {}", source_->name, headed ? "readings" : "heading line"),
            "write `cup,reading [mL]`, then a line for each cup: `A1,12`");
    return std::move(out_);
  }

 private:
  struct Cell {
    std::string text;
    Span at;
  };

  std::vector<Cell> cells(int number) const {
    const std::string_view line = source_->line(number);
    std::vector<Cell> found;
    for (const std::string_view raw : cells_of(line, delimiter_)) {
      const std::string text = trim(raw);
      const auto start = static_cast<std::size_t>(raw.data() - source_->text.data());
      const std::size_t inside = text.empty() ? 0 : raw.find(text);
      found.push_back(
          {text, span_at(source_, start + inside, std::max<std::size_t>(1, text.size()))});
    }
    return found;
  }

  Problem& fault(const char* code, const Span& at, std::string message, std::string help) {
    Problem problem;
    problem.code = code;
    problem.message = std::move(message);
    problem.at = at;
    problem.help = std::move(help);
    out_.problems.push_back(std::move(problem));
    return out_.problems.back();
  }

  bool read_heading(int number) {
    for (const char c : {'\t', ';'})
      if (source_->line(number).find(c) != std::string_view::npos) delimiter_ = c;
    const std::vector<Cell> headings = cells(number);
    for (std::size_t i = 0; i < headings.size(); ++i) {
      const Heading heading = part_heading(headings[i].text);
      const std::string name = lower(heading.name);
      if (name != "cup" && name != "reading") continue;
      auto& column = name == "cup" ? cup_ : reading_;
      if (column)
        fault("E0811", headings[i].at, fmt::format("a second column `{}`", name),
              "keep the one that was read")
            .second = Second{headings[*column].at, "first here"};
      column = i;
      if (name == "cup") continue;
      unit_ = heading.unit;
      if (!unit_.empty() && !kind_of_unit(unit_)) {
        const std::string meant = read_unit(unit_).fault.help;
        fault("E0803", headings[i].at, fmt::format("`{}` is no unit for a cup's reading", unit_),
              meant.empty() ? "readings are volumes (mL, L) or depths (mm, in)" : meant);
      }
    }
    width_ = headings.size();
    if (cup_ && reading_) return out_.problems.empty();
    const Cell& first = headings.front();
    Span whole = first.at;
    whole.length =
        std::max(1, headings.back().at.column + headings.back().at.length - whole.column);
    fault("E0801", whole, fmt::format("the heading has no column `{}`", cup_ ? "reading" : "cup"),
          "write `cup,reading [mL]`, then a line for each cup: `A1,12`");
    return false;
  }

  static std::optional<Kind> kind_of_unit(const std::string& unit) {
    const UnitResult read = read_unit(unit);
    if (!read.good) return std::nullopt;
    for (const Kind kind : {Kind::Volume, Kind::SmallLength})
      if (read.dimension == kind_info(kind).dimension) return kind;
    return std::nullopt;
  }

  void read_row(int number) {
    const std::vector<Cell> row = cells(number);
    if (row.size() != width_) {
      fault("E0802", row.back().at,
            fmt::format("line {} has {} columns, the heading {}", number, row.size(), width_),
            decimal_comma(row).value_or("one cup a line, as `A1,12 mL`; decimals take a point"));
      return;
    }
    const std::optional<std::size_t> cup = cup_named(row[*cup_]);
    const std::optional<double> depth_m = depth_in(row[*reading_]);
    if (cup && depth_m) out_.readings.push_back({*cup, *depth_m});
  }

  /// "write 12.5" where a reading stands in two cells, as `A1,12,5` does.
  std::optional<std::string> decimal_comma(const std::vector<Cell>& row) const {
    if (delimiter_ != ',' || row.size() != width_ + 1) return std::nullopt;
    const std::string& whole = row[*reading_].text;
    const std::string& rest = row[*reading_ + 1].text;
    const bool digits = !whole.empty() && std::all_of(whole.begin(), whole.end(), is_digit);
    if (!digits || rest.empty() || !is_digit(rest.front())) return std::nullopt;
    return fmt::format("a decimal comma is not read: write {}.{}", whole, rest);
  }

  std::optional<std::size_t> cup_named(const Cell& cell) {
    const auto same = [&](const std::string& name) { return lower(name) == lower(cell.text); };
    const auto found = std::find_if(names_.begin(), names_.end(), same);
    if (found == names_.end()) {
      const auto nearest =
          std::min_element(names_.begin(), names_.end(), [&](const auto& a, const auto& b) {
            return edit_distance(lower(a), lower(cell.text)) <
                   edit_distance(lower(b), lower(cell.text));
          });
      fault("E0804", cell.at, fmt::format("there is no cup `{}`", cell.text),
            fmt::format("the nearest is `{}`; cups run from {} to {}", *nearest, names_.front(),
                        names_.back()));
      return std::nullopt;
    }
    const auto cup = static_cast<std::size_t>(found - names_.begin());
    const auto [before, fresh] = seen_.emplace(cup, cell.at);
    if (fresh) return cup;
    fault("E0805", cell.at, fmt::format("cup `{}` is read twice", *found),
          "one reading a cup; run the bursts again for another set")
        .second = Second{before->second, "first here"};
    return std::nullopt;
  }

  std::optional<double> depth_in(const Cell& cell) {
    std::string text = cell.text;
    std::string unit = unit_;
    if (is_number(text)) {
      if (unit.empty()) {
        fault("E0803", cell.at, fmt::format("`{}` has no unit", text),
              fmt::format("write `{} mL`, or the heading `reading [mL]`", text));
        return std::nullopt;
      }
      text += " " + unit;
    } else {
      unit = text.substr(std::min(text.size(), text.find_first_not_of("0123456789.+- ")));
    }
    const Kind kind = kind_of_unit(unit).value_or(Kind::Volume);
    const QuantityResult read = read_quantity(text, kind, "reading");
    if (!read.good) {
      // What is told of a unit or a comma is of use here; the rest speaks of scenarios.
      const bool spelling = read.fault.code == "E0303" || text.find(',') != std::string::npos;
      fault(read.fault.code.c_str(), cell.at, read.fault.message,
            spelling && !read.fault.help.empty()
                ? read.fault.help
                : "a reading is a volume (mL, L) or a depth (mm, in), such as 12 mL")
          .label = read.fault.label;
      return std::nullopt;
    }
    const double depth_m = kind == Kind::Volume ? read.value / mouth_m2_ : read.value;
    if (depth_m >= 0.0 && depth_m <= deepest_cup_m) return depth_m;
    fault("E0806", cell.at,
          depth_m < 0.0 ? fmt::format("`{}` is less than nothing", cell.text)
                        : fmt::format("`{}` would stand {} deep in this cup", cell.text,
                                      rounded(depth_m, "m")),
          depth_m < 0.0 ? "an empty cup is 0" : "is it in another unit, or --cup-diameter wrong?");
    return std::nullopt;
  }

  std::shared_ptr<const SourceText> source_;
  const std::vector<std::string>& names_;
  double mouth_m2_;
  CupReadings out_;
  char delimiter_ = ',';
  std::optional<std::size_t> cup_, reading_;
  std::string unit_;
  std::size_t width_ = 0;
  std::map<std::size_t, Span> seen_;
};

}  // namespace

CupReadings read_cups(const std::string& path, const std::vector<std::string>& names,
                      double mouth_m2) {
  Loaded loaded = load(path, most_bytes);
  if (!loaded.source) return {{}, std::move(loaded.problems)};
  const auto source = without_mark(loaded.source);
  if (auto broken = screen_encoding(source); !broken.empty()) return {{}, std::move(broken)};
  return CupReader(source, names, mouth_m2).run();
}

}  // namespace mistwright::scenario
