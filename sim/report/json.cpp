#include "sim/report/json.h"

#include <fmt/core.h>

#include <cmath>

#include "sim/report/svg.h"

namespace mistwright::report {

std::string json_text(std::string_view text) {
  std::string json = "\"";
  for (const char c : shown(text)) {
    if (c == '\\' || c == '"')
      json += std::string("\\") + c;
    else if (c == '<' || c == '>' || c == '&' || c == '\n' || c == '\t')
      json += fmt::format("\\u{:04x}", static_cast<unsigned>(c));
    else
      json += c;
  }
  return json + '"';
}

std::string json_number(double value, int decimals) {
  if (!std::isfinite(value)) return "null";
  std::string text = fmt::format("{:.{}f}", value, decimals);
  if (text.find('.') != std::string::npos) {
    text.erase(text.find_last_not_of('0') + 1);
    if (text.back() == '.') text.pop_back();
  }
  return text == "-0" ? "0" : text;
}

std::string json_list(const std::vector<double>& values, int decimals) {
  std::string json = "[";
  for (const double value : values) {
    if (json.size() > 1) json += ',';
    json += json_number(value, decimals);
  }
  return json + ']';
}

std::string json_list(const std::vector<std::string>& texts) {
  std::string json = "[";
  for (const std::string& text : texts) {
    if (json.size() > 1) json += ',';
    json += json_text(text);
  }
  return json + ']';
}

std::string data_block(std::string_view id, std::string_view json) {
  return fmt::format("<script type=\"application/json\" id=\"{}\">{}</script>\n", id, json);
}

}  // namespace mistwright::report
