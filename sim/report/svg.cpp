#include "sim/report/svg.h"

#include <fmt/core.h>

#include <algorithm>
#include <cmath>
#include <cstdint>

namespace mistwright::report {
namespace {

/// One character of UTF-8 text; a byte that begins none stands alone.
std::string_view next_character(std::string_view text, std::size_t at) {
  const auto lead = static_cast<unsigned char>(text[at]);
  const std::size_t length = lead < 0x80    ? 1
                             : lead >= 0xf0 ? 4
                             : lead >= 0xe0 ? 3
                             : lead >= 0xc0 ? 2
                                            : 1;
  if (at + length > text.size()) return text.substr(at, 1);
  for (std::size_t i = 1; i < length; ++i)
    if ((static_cast<unsigned char>(text[at + i]) & 0xc0U) != 0x80U) return text.substr(at, 1);
  return text.substr(at, length);
}

std::uint32_t code_point(std::string_view character) {
  const auto byte = [&](std::size_t i) {
    return static_cast<std::uint32_t>(static_cast<unsigned char>(character[i]));
  };
  switch (character.size()) {
    case 2:
      return ((byte(0) & 0x1fU) << 6) | (byte(1) & 0x3fU);
    case 3:
      return ((byte(0) & 0x0fU) << 12) | ((byte(1) & 0x3fU) << 6) | (byte(2) & 0x3fU);
    case 4:
      return ((byte(0) & 0x07U) << 18) | ((byte(1) & 0x3fU) << 12) | ((byte(2) & 0x3fU) << 6) |
             (byte(3) & 0x3fU);
    default:
      return byte(0);
  }
}

/// Controls, marks that turn the direction of writing, surrogates, and bytes that are no UTF-8.
bool shown_as_code(std::uint32_t c, std::size_t bytes) {
  if (c < 0x20) return c != '\n' && c != '\t';
  if (c >= 0x7f && c < 0xa0) return true;
  if (bytes == 1 && c >= 0x80) return true;
  return c == 0x61c || c == 0x200e || c == 0x200f || (c >= 0x2028 && c <= 0x202e) ||
         (c >= 0x2066 && c <= 0x2069) || (c >= 0xd800 && c <= 0xdfff) || c == 0xfeff ||
         c > 0x10ffff;
}

std::string attribute(const char* name, const std::string& value) {
  return value.empty() ? std::string() : fmt::format(" {}=\"{}\"", name, value);
}

std::string points_text(const std::vector<Point>& points) {
  std::string text;
  for (const Point& p : points) {
    if (!text.empty()) text += ' ';
    text += short_number(p.x_px) + ',' + short_number(p.y_px);
  }
  return text;
}

}  // namespace

std::string shown(std::string_view text) {
  std::string plain;
  for (std::size_t at = 0; at < text.size();) {
    const std::string_view character = next_character(text, at);
    at += character.size();
    const std::uint32_t code = code_point(character);
    if (shown_as_code(code, character.size()))
      plain += fmt::format("\\u{{{:x}}}", code);
    else
      plain += character;
  }
  return plain;
}

std::string shortened(std::string_view text, std::size_t most) {
  std::string kept;
  std::size_t characters = 0, whole = 0;  // whole: bytes that fit with the dots after them
  for (std::size_t at = 0; at < text.size(); ++characters) {
    if (characters == most) return kept.substr(0, whole) + "\u2026";
    if (characters + 1 == most) whole = kept.size();
    const std::string_view character = next_character(text, at);
    at += character.size();
    kept += character;
  }
  return kept;
}

std::string escaped(std::string_view text) {
  std::string safe;
  for (const char c : shown(text)) {
    switch (c) {
      case '&':
        safe += "&amp;";
        break;
      case '<':
        safe += "&lt;";
        break;
      case '>':
        safe += "&gt;";
        break;
      case '"':
        safe += "&quot;";
        break;
      case '\'':
        safe += "&#39;";
        break;
      default:
        safe += c;
    }
  }
  return safe;
}

std::string short_number(double value) {
  std::string text = fmt::format("{:.1f}", value);
  if (text.ends_with(".0")) text.resize(text.size() - 2);
  return text == "-0" ? std::string("0") : text;
}

Svg::Svg(double width_px, double height_px) : width_px_(width_px), height_px_(height_px) {}

void Svg::rect(const Box& box, const std::string& css_class, const std::string& fill) {
  body_ += fmt::format("<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"{}{}/>",
                       short_number(box.x_px), short_number(box.y_px), short_number(box.width_px),
                       short_number(box.height_px), attribute("class", css_class),
                       attribute("fill", fill));
}

void Svg::line(Point from, Point to, const std::string& css_class) {
  body_ += fmt::format("<line x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\" class=\"{}\"/>",
                       short_number(from.x_px), short_number(from.y_px), short_number(to.x_px),
                       short_number(to.y_px), css_class);
}

void Svg::polyline(const std::vector<Point>& points, const std::string& css_class) {
  body_ += fmt::format("<polyline points=\"{}\" class=\"{}\"/>", points_text(points), css_class);
}

void Svg::polygon(const std::vector<Point>& points, const std::string& css_class) {
  body_ += fmt::format("<polygon points=\"{}\" class=\"{}\"/>", points_text(points), css_class);
}

void Svg::circle(Point centre, double radius_px, const std::string& css_class) {
  body_ +=
      fmt::format("<circle cx=\"{}\" cy=\"{}\" r=\"{}\" class=\"{}\"/>", short_number(centre.x_px),
                  short_number(centre.y_px), short_number(radius_px), css_class);
}

void Svg::path(const std::string& data) {
  body_ += "<path d=\"" + data + "\"/>";
}

void Svg::stroke(const std::string& data, const std::string& colour) {
  body_ += "<path d=\"" + data + "\" stroke=\"" + colour + "\"/>";
}

void Svg::arrow(Point from, Point to, double head_px, const std::string& css_class) {
  const double dx = to.x_px - from.x_px, dy = to.y_px - from.y_px, length = std::hypot(dx, dy);
  if (length < 1.0) return;
  const double ux = dx / length, uy = dy / length, h = std::min(head_px, 0.6 * length);
  const auto barb = [&](double side) {
    return Point{to.x_px - h * (ux + side * 0.5 * uy), to.y_px - h * (uy - side * 0.5 * ux)};
  };
  const Point a = barb(1.0), b = barb(-1.0);
  body_ += fmt::format("<path d=\"M{} {}L{} {}M{} {}L{} {}L{} {}\" class=\"{}\"/>",
                       short_number(from.x_px), short_number(from.y_px), short_number(to.x_px),
                       short_number(to.y_px), short_number(a.x_px), short_number(a.y_px),
                       short_number(to.x_px), short_number(to.y_px), short_number(b.x_px),
                       short_number(b.y_px), css_class);
}

void Svg::text(Point at, std::string_view words, Anchor anchor, const std::string& css_class) {
  const char* const place = anchor == Anchor::Start    ? ""
                            : anchor == Anchor::Middle ? "middle"
                                                       : "end";
  body_ += fmt::format("<text x=\"{}\" y=\"{}\"{}{}>{}</text>", short_number(at.x_px),
                       short_number(at.y_px), attribute("text-anchor", place),
                       attribute("class", css_class), escaped(words));
}

void Svg::text_up(Point at, std::string_view words, const std::string& css_class) {
  body_ += fmt::format(
      "<text transform=\"translate({} {}) rotate(-90)\" text-anchor=\"middle\"{}>{}</text>",
      short_number(at.x_px), short_number(at.y_px), attribute("class", css_class), escaped(words));
}

void Svg::open_group(const std::string& attributes) {
  body_ += "<g " + attributes + ">";
}

void Svg::close_group() {
  body_ += "</g>";
}

std::string Svg::finish(std::string_view name, const std::string& css_class) const {
  return fmt::format("<svg viewBox=\"0 0 {} {}\" role=\"img\" aria-label=\"{}\"{}>{}</svg>",
                     short_number(width_px_), short_number(height_px_), escaped(name),
                     attribute("class", css_class), body_);
}

std::vector<double> round_ticks(double low, double high, int wanted) {
  if (!(high > low)) high = low + (low == 0.0 ? 1.0 : std::abs(low) * 0.1);
  const double raw = (high - low) / wanted;
  const double power = std::pow(10.0, std::floor(std::log10(raw)));
  double step = 10.0 * power;
  for (const double factor : {1.0, 2.0, 2.5, 5.0})
    if (factor * power >= raw * (1.0 - 1e-9)) {
      step = factor * power;
      break;
    }
  std::vector<double> ticks;
  const auto first = static_cast<long>(std::floor(low / step + 1e-9)),
             last = static_cast<long>(std::ceil(high / step - 1e-9));
  for (long i = first; i <= last; ++i) ticks.push_back(static_cast<double>(i) * step);
  return ticks;
}

std::string tick_words(double value, double step) {
  int decimals = 0;
  for (double s = step; decimals < 6 && std::abs(s - std::round(s)) > 1e-6 * s; s *= 10.0)
    ++decimals;
  return fmt::format("{:.{}f}", value == 0.0 ? 0.0 : value, decimals);
}

}  // namespace mistwright::report
