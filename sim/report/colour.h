#pragma once
// Colour ramps whose lightness falls evenly, so that equal steps of a value look like equal steps
// and a grey print still reads. Lightness is L* of CIE 1976 (CIE 15), colours are sRGB (IEC
// 61966-2-1). The ramps' colours are our own: paper to deep water, and paper to bark.
#include <array>
#include <string>
#include <vector>

namespace mistwright::report {

struct Rgb {
  double red_fraction = 0.0, green_fraction = 0.0,
         blue_fraction = 0.0;  ///< sRGB, gamma-coded, 0 to 1
};

/// L* [0..100] of an sRGB colour.
[[nodiscard]] double lightness_index(const Rgb& colour);

/// Contrast ratio of WCAG 2 [1..21].
[[nodiscard]] double contrast_ratio(const Rgb& a, const Rgb& b);

[[nodiscard]] Rgb from_hex(const std::string& hex);  ///< "#rrggbb"
[[nodiscard]] std::string to_hex(const Rgb& colour);

enum class Ramp { Wet, Drying };

/// The colour at a place of a ramp, 0 (paper) to 1 (deepest); beyond is held at the ends.
[[nodiscard]] Rgb ramp_colour(Ramp ramp, double place_fraction);

/// `count` colours evenly along a ramp, as hexadecimal text.
[[nodiscard]] std::vector<std::string> ramp_colours(Ramp ramp, std::size_t count);

}  // namespace mistwright::report
