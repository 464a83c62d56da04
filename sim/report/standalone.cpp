#include "sim/report/standalone.h"

#include <fmt/core.h>

#include "models/contracts.h"
#include "sim/report/svg.h"

namespace mistwright::report {

namespace {

/// The page's classes of pictures, on paper.
constexpr const char* style =
    "svg{background:#fff}"
    "text{font:13px system-ui,\"DejaVu Sans\",sans-serif;fill:#1d2320}"
    ".tick{fill:#4a524d;font-size:12px}"
    ".axis{font-weight:600;font-size:12.5px}"
    ".wall{fill:none;stroke:#1d2320;stroke-width:2}"
    ".vent{stroke:#1d5b8f;stroke-width:5}"
    ".fan{fill:#a8481a;stroke:#fff;stroke-width:1}"
    ".frame{fill:none;stroke:#4a524d;stroke-width:1}"
    ".outline{fill:none;stroke:#111;stroke-width:1.2;stroke-dasharray:5 3}"
    ".driest{fill:none;stroke:#a8481a;stroke-width:1.3}"
    ".cell{shape-rendering:crispEdges}"
    ".cell path{vector-effect:non-scaling-stroke;stroke-width:.4px}"
    ".head{fill:#fff;stroke:#111;stroke-width:1.6}"
    ".on-map{paint-order:stroke;stroke:#fff;stroke-width:3px;stroke-linejoin:round;fill:#111}"
    ".strong{font-weight:700}"
    ".halo{fill:none;stroke:#fff;stroke-width:5}"
    ".ring{fill:none;stroke:#111;stroke-width:2}"
    ".change-halo{fill:none;stroke:#fff;stroke-width:6;stroke-linejoin:round}"
    ".change{fill:none;stroke:#6b1d8f;stroke-width:2.6;stroke-linejoin:round}"
    ".compass{fill:none;stroke:#1d2320;stroke-width:1.8}";

}  // namespace

std::string standalone(const std::string& svg, const std::string& title) {
  constexpr std::string_view opening = "<svg ";
  EXPECT(svg.starts_with(opening));
  const std::size_t body = svg.find('>') + 1;
  return fmt::format(
      "<svg xmlns=\"http://www.w3.org/2000/svg\" {}<title>{}</title><style>{}</style>{}\n",
      svg.substr(opening.size(), body - opening.size()), escaped(title), style, svg.substr(body));
}

}  // namespace mistwright::report
