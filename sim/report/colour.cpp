#include "sim/report/colour.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>

namespace mistwright::report {
namespace {

struct Lab {
  double L, a, b;
};

// IEC 61966-2-1: the sRGB curve, and the matrix to CIE XYZ at D65.
double linear(double coded) {
  return coded <= 0.04045 ? coded / 12.92 : std::pow((coded + 0.055) / 1.055, 2.4);
}
double coded(double linear) {
  const double held = std::clamp(linear, 0.0, 1.0);
  return held <= 0.0031308 ? 12.92 * held : 1.055 * std::pow(held, 1.0 / 2.4) - 0.055;
}
constexpr std::array<double, 3> white{0.95047, 1.0, 1.08883};

// CIE 15: L*a*b* and back, with the linear part near black.
constexpr double delta = 6.0 / 29.0;
double forward(double t) {
  return t > delta * delta * delta ? std::cbrt(t) : t / (3.0 * delta * delta) + 4.0 / 29.0;
}
double backward(double t) {
  return t > delta ? t * t * t : 3.0 * delta * delta * (t - 4.0 / 29.0);
}

Lab to_lab(const Rgb& c) {
  const double r = linear(c.red_fraction), g = linear(c.green_fraction),
               b = linear(c.blue_fraction);
  const double fx = forward((0.4124564 * r + 0.3575761 * g + 0.1804375 * b) / white[0]);
  const double fy = forward((0.2126729 * r + 0.7151522 * g + 0.0721750 * b) / white[1]);
  const double fz = forward((0.0193339 * r + 0.1191920 * g + 0.9503041 * b) / white[2]);
  return {116.0 * fy - 16.0, 500.0 * (fx - fy), 200.0 * (fy - fz)};
}

Rgb to_rgb(const Lab& lab) {
  const double fy = (lab.L + 16.0) / 116.0;
  const double x = white[0] * backward(fy + lab.a / 500.0), y = white[1] * backward(fy),
               z = white[2] * backward(fy - lab.b / 200.0);
  return {coded(3.2404542 * x - 1.5371385 * y - 0.4985314 * z),
          coded(-0.9692660 * x + 1.8760108 * y + 0.0415560 * z),
          coded(0.0556434 * x - 0.2040259 * y + 1.0572252 * z)};
}

/// Hue and strength of colour along a ramp; their lightness is replaced by an even fall.
const std::array<const char*, 6>& stops(Ramp ramp) {
  static const std::array<const char*, 6> wet{"#faf7ef", "#cdded6", "#8cbbc4",
                                              "#4a8fb2", "#235c96", "#14285c"};
  static const std::array<const char*, 6> drying{"#faf7ef", "#f0d9b2", "#e0aa6c",
                                                 "#c2733f", "#8f4226", "#4e1c18"};
  return ramp == Ramp::Wet ? wet : drying;
}

}  // namespace

double lightness_index(const Rgb& colour) {
  return to_lab(colour).L;
}

double contrast_ratio(const Rgb& a, const Rgb& b) {
  const auto luminance = [](const Rgb& c) {
    return 0.2126 * linear(c.red_fraction) + 0.7152 * linear(c.green_fraction) +
           0.0722 * linear(c.blue_fraction);
  };
  const double one = luminance(a) + 0.05, two = luminance(b) + 0.05;
  return std::max(one, two) / std::min(one, two);
}

Rgb from_hex(const std::string& hex) {
  const auto channel = [&](std::size_t place) {
    return std::stoi(hex.substr(place, 2), nullptr, 16) / 255.0;
  };
  return {channel(1), channel(3), channel(5)};
}

std::string to_hex(const Rgb& c) {
  return fmt::format("#{:02x}{:02x}{:02x}", std::lround(c.red_fraction * 255.0),
                     std::lround(c.green_fraction * 255.0), std::lround(c.blue_fraction * 255.0));
}

Rgb ramp_colour(Ramp ramp, double place_fraction) {
  const auto& colours = stops(ramp);
  const double place = std::clamp(place_fraction, 0.0, 1.0);
  const double first_L = to_lab(from_hex(colours.front())).L,
               last_L = to_lab(from_hex(colours.back())).L;
  const double L = first_L + (last_L - first_L) * place;
  std::size_t i = 1;
  while (i + 1 < colours.size() && to_lab(from_hex(colours[i])).L > L) ++i;
  const Lab low = to_lab(from_hex(colours[i - 1])), high = to_lab(from_hex(colours[i]));
  const double t = (L - low.L) / (high.L - low.L);
  return to_rgb({L, low.a + t * (high.a - low.a), low.b + t * (high.b - low.b)});
}

std::vector<std::string> ramp_colours(Ramp ramp, std::size_t count) {
  std::vector<std::string> colours;
  for (std::size_t i = 0; i < count; ++i)
    colours.push_back(to_hex(ramp_colour(
        ramp, count > 1 ? static_cast<double>(i) / static_cast<double>(count - 1) : 0.0)));
  return colours;
}

}  // namespace mistwright::report
