// Report for Python, and the small picture that a notebook shows of a record.
#include <pybind11/pybind11.h>
#include <pybind11/stl.h>
//
#include <fmt/core.h>

#include <algorithm>

#include "bindings/python/core.h"
#include "sim/record/whole_file.h"
#include "sim/report/bench_map.h"
#include "sim/report/page.h"
#include "sim/report/verdict.h"

namespace py = pybind11;

namespace mistwright::python {
namespace {

void replace_all(std::string& text, const std::string& from, const std::string& to) {
  for (std::size_t at = 0; (at = text.find(from, at)) != std::string::npos; at += to.size())
    text.replace(at, from.size(), to);
}

/// A picture of the report for where the report's own style sheet is not: classes become colours.
std::string plain_picture(std::string svg) {
  replace_all(svg, "class=\"frame\"", "fill=\"none\" stroke=\"#7a827d\"");
  replace_all(svg, "class=\"head\"", "fill=\"#fff\" stroke=\"#111\" stroke-width=\"1.6\"");
  replace_all(svg, "<text ",
              "<text fill=\"currentColor\" font-family=\"sans-serif\" font-size=\"13\" ");
  replace_all(svg, "<svg ", "<svg style=\"display:block;width:100%;max-width:30em;height:auto\" ");
  return svg;
}

std::string first_sentence(const std::string& verdict) {
  const std::string opening = report::verdict_lines(verdict).opening;
  // A sentence ends in a full stop before a blank; "YES" alone stands before its reason.
  const std::size_t end = opening.find(". ", 12);
  return end == std::string::npos ? opening : opening.substr(0, end + 1);
}

}  // namespace

std::string picture_of(const record::Record& record) {
  const record::Group* provenance = record.find("provenance");
  if (provenance == nullptr || record.find("bench") == nullptr) {
    return fmt::format("<p>mistwright record of {} groups</p>", record.groups.size());
  }
  const report::Summary summary = report::summarise(record);
  std::vector<double> minutes = record.group("bench").variable("dry_time").values;
  for (double& value : minutes) value /= 60.0 * summary.days_number;
  const double most = minutes.empty() ? 0.0 : *std::max_element(minutes.begin(), minutes.end());
  const report::MapScale scale{report::Ramp::Drying,
                               0.0,
                               report::round_ticks(0.0, std::max(10.0, most), 5).back(),
                               "minutes a day in which a leaf is more than half bare",
                               "never",
                               "longest"};
  const report::Plan plan(record);
  return fmt::format(
      "<figure style=\"margin:0\"><figcaption><strong>{}</strong><br>{}</figcaption>{}{}</figure>",
      report::escaped(summary.house_name),
      report::escaped(first_sentence(report::kept_verdict(record))),
      plain_picture(plan.small("The benches from above with the dry minutes of each place", minutes,
                               scale, "")),
      plain_picture(plan.colour_bar(scale)));
}

namespace {

struct Page {
  std::string html, verdict;

  static Page of(const Results& results) {
    Page page;
    page.verdict = of_run([&] { return report::kept_verdict(results.record()); });
    page.html = of_run([&] { return report::page(results.record(), page.verdict); });
    return page;
  }
};

}  // namespace

void add_report(py::module_& module) {
  py::class_<Page>(module, "Report", plain_type(), py::is_final(),
                   R"(The report of a run: one HTML page that needs nothing else.

>>> Report(record).html[:15]
'<!doctype html>'
)")
      .def(py::init([](const Results& results) { return Page::of(results); }), py::arg("record"),
           R"(__init__(self, record)
--

Raises RecordError when these are no run's results.
)")
      .def_readonly("html", &Page::html, "The page.")
      .def_readonly("verdict", &Page::verdict, "The answer in plain words.")
      .def(
          "save",
          [](const Page& page, const py::object& path, bool overwrite) {
            const std::string name = path_text(path);
            refuse_to_replace(name, overwrite);
            with_files([&] {
              record::write_whole_file(name, page.html, overwrite);
              return 0;
            });
          },
          py::arg("path"), py::kw_only(), py::arg("overwrite") = false,
          R"(save(self, path, *, overwrite=False)
--

Writes the page; it is whole under its name or does not exist.

Raises RecordExistsError (a FileExistsError) or RecordError as Record.write() does.
)")
      .def("__repr__",
           [](const Page& page) { return fmt::format("<Report of {} bytes>", page.html.size()); });
}

}  // namespace mistwright::python
