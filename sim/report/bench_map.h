#pragma once
// The plan of the house from above, with the cells of the benches coloured by a value.
#include <string>
#include <vector>

#include "sim/record/record.h"
#include "sim/report/colour.h"
#include "sim/report/places.h"
#include "sim/report/svg.h"

namespace mistwright::report {

/// Number of colours of a map: few enough to tell apart, enough to look even.
inline constexpr std::size_t map_levels = 24;

struct MapScale {
  Ramp ramp = Ramp::Wet;
  double low = 0.0, high = 1.0;       ///< values at both ends of the ramp, in the unit shown
  std::string words;                  ///< what is coloured, with unit
  std::string low_words, high_words;  ///< what the ends mean: "wet all day"
};

/// Paints boxes by their values, unknown ones not; a path a colour, neighbours to the right of one
/// colour as one: a quarter of the bytes of a rectangle a cell.
void paint_cells(Svg& svg, const std::vector<Box>& cells, const std::vector<double>& values,
                 const MapScale& scale);

/// A number written on a map.
struct MapLabel {
  double x_m = 0.0, y_m = 0.0;  ///< middle of its foot
  double room_m = 0.0;          ///< left out where this is too narrow in the picture
  std::string words;
};

/// A change to the house that is drawn on its plan: an arrow, a ring where both ends are alike, or
/// only its line of words.
struct PlannedChange {
  bool has_place = false;
  double from_x_m = 0.0, from_y_m = 0.0, to_x_m = 0.0, to_y_m = 0.0;
  std::string words;
};

/// What the map needs of a record, read once.
class Plan {
 public:
  explicit Plan(const record::Record& record);

  /// A map with heads, fans, openings, compass, scale of lengths and colours.
  /// @param marks rings round the worst (largest) and best (smallest) value, with those in `unit`
  [[nodiscard]] std::string full(const std::string& name, const std::vector<double>& values,
                                 const MapScale& scale, bool marks,
                                 const std::string& unit = {}) const;
  /// The house's outline with a grid of values in it, each written into its cell where it fits.
  struct Grid {
    std::vector<double> x_m, y_m;  ///< centres
    std::vector<double> values;    ///< [y][x]
    int decimals = 1;
  };
  [[nodiscard]] std::string gridded(const std::string& name, const Grid& grid,
                                    const MapScale& scale) const;
  /// A grid of values under benches and heads, with chosen cells of the benches outlined, the worst
  /// place ringed and changes numbered, their words below; its colour bar in the same picture.
  /// @param worst  a cell of the benches
  struct Chosen {
    std::vector<std::size_t> cells;
    std::size_t worst = 0;
    std::string worst_words;
    std::vector<PlannedChange> changes;
  };
  [[nodiscard]] std::string with_changes(const std::string& name, const Grid& grid,
                                         const MapScale& scale, const Chosen& chosen) const;
  /// The benches alone, with their cells and heads, for a row of small maps. Without values the
  /// page's script colours the cells and writes the labels.
  [[nodiscard]] std::string small(const std::string& name, const std::vector<double>& values,
                                  const MapScale& scale, const std::string& title,
                                  const std::vector<MapLabel>& labels = {}) const;
  /// A colour bar with numbers and words, for the small maps.
  [[nodiscard]] std::string colour_bar(const MapScale& scale) const;

  /// Corners and edge of the cells in the small map, as lists for the page's script:
  /// "[1.5,3],[...],4.2".
  [[nodiscard]] std::string cell_places() const;

  [[nodiscard]] static std::size_t level(double value, const MapScale& scale);
  [[nodiscard]] const Places& places() const { return places_; }
  [[nodiscard]] double length_m() const { return length_m_; }
  [[nodiscard]] const std::vector<double>& x_m() const { return x_m_; }
  [[nodiscard]] const std::vector<double>& y_m() const { return y_m_; }

 private:
  struct View;
  [[nodiscard]] View view(double top_px, double side_px) const;
  [[nodiscard]] View close_view(double top_px) const;
  void draw_house(Svg& svg, const View& view) const;
  void draw_cells(Svg& svg, const View& view, const std::vector<double>& values,
                  const MapScale& scale) const;
  void draw_grid(Svg& svg, const View& view, const Grid& grid, const MapScale& scale) const;
  void draw_heads(Svg& svg, const View& view) const;
  void draw_air(Svg& svg, const View& view) const;
  void draw_change(Svg& svg, const View& view, const PlannedChange& change,
                   const std::string& number) const;
  void draw_north_and_metre(Svg& svg, const View& view) const;

  const record::Group* house_;
  Places places_;
  std::vector<double> x_m_, y_m_;
  double edge_m_ = 0.1, length_m_ = 1.0, width_m_ = 1.0, bearing_rad_ = 0.0;
};

}  // namespace mistwright::report
