#pragma once
// Pictures as SVG text. Colours of ink and lines are classes, so that the page can turn dark;
// colours of data are written out. Nothing here carries a style attribute, which the page's policy
// would refuse.
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace mistwright::report {

/// Every picture is so wide, so that their letters come out alike.
inline constexpr double picture_width_px = 460.0;

/// Text with its control characters, and those that turn the direction of writing, shown as their
/// code.
[[nodiscard]] std::string shown(std::string_view text);

/// At most so many characters, the last of them dots when some are left out.
[[nodiscard]] std::string shortened(std::string_view text, std::size_t most);

/// The same as shown(), made safe for HTML and SVG, in content and in quoted attributes.
[[nodiscard]] std::string escaped(std::string_view text);

struct Point {
  double x_px = 0.0, y_px = 0.0;  ///< user units of the picture
};

struct Box {
  double x_px = 0.0, y_px = 0.0, width_px = 0.0, height_px = 0.0;
};

/// Cells are drawn wider by this, so that no line of paper shows between neighbours.
inline constexpr double seam_px = 0.4;

enum class Anchor { Start, Middle, End };

class Svg {
 public:
  Svg(double width_px, double height_px);

  void rect(const Box& box, const std::string& css_class, const std::string& fill = {});
  void line(Point from, Point to, const std::string& css_class);
  void polyline(const std::vector<Point>& points, const std::string& css_class);
  void polygon(const std::vector<Point>& points, const std::string& css_class);
  void circle(Point centre, double radius_px, const std::string& css_class);
  /// Lines by the letters of SVG path data, filled as the group about them says.
  void path(const std::string& data);
  /// A line along such data, as wide as its group says.
  void stroke(const std::string& data, const std::string& colour);
  /// A shaft with a head; nothing when it is shorter than a unit.
  void arrow(Point from, Point to, double head_px, const std::string& css_class);
  void text(Point at, std::string_view words, Anchor anchor, const std::string& css_class = "");
  /// Text that reads upwards, centred at a point.
  void text_up(Point at, std::string_view words, const std::string& css_class = "");
  void open_group(const std::string& attributes);
  void close_group();

  /// @param name what a screen reader says of the picture
  [[nodiscard]] std::string finish(std::string_view name, const std::string& css_class = "") const;

 private:
  double width_px_, height_px_;
  std::string body_;
};

/// A number with one decimal at most, as short as it can be.
[[nodiscard]] std::string short_number(double value);

/// Maps values to a stretch of pixels.
struct Scale {
  double low = 0.0, high = 1.0;       ///< values at both ends
  double from_px = 0.0, to_px = 1.0;  ///< where they lie
  [[nodiscard]] double operator()(double value) const {
    return from_px + (value - low) / (high - low) * (to_px - from_px);
  }
};

/// Round numbers that cover low to high in about `wanted` steps of 1, 2, 2.5 or 5 times a power of
/// ten; the first and last enclose the range.
[[nodiscard]] std::vector<double> round_ticks(double low, double high, int wanted);

/// A tick's text: as many decimals as the step between ticks needs.
[[nodiscard]] std::string tick_words(double value, double step);

}  // namespace mistwright::report
