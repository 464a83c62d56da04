#include "sim/app/report.h"

#include <fmt/format.h>

#include <filesystem>
#include <stdexcept>

#include "sim/record/hdf5_file.h"
#include "sim/record/whole_file.h"
#include "sim/report/page.h"
#include "sim/report/verdict.h"

namespace mistwright::app {

int report(const Manners& manners, const ReportRequest& request) {
  const std::string path = request.page.value_or(
      std::filesystem::path(request.results).replace_extension(".html").string());
  try {
    record::expect_writable(path, request.overwrite, {request.results});
    const record::Record record = record::read_hdf5(request.results);
    std::string verdict;
    std::string html;
    try {
      verdict = report::kept_verdict(record);
      html = report::page(record, verdict);
    } catch (const std::out_of_range& missing) {
      throw record::FileError(request.results,
                              fmt::format("it is no run's results: {}", missing.what()),
                              "write results with `mistwright run SCENARIO -o FILE.h5`");
    }
    record::write_whole_file(path, html, request.overwrite);
    if (manners.json) {
      JsonObject object;
      object.text("page", path);
      object.text("verdict", verdict);
      fmt::print("{}\n", object.str());
    } else if (!manners.quiet) {
      fmt::print("{}\nPage          {}\n", verdict, path);
    }
  } catch (const record::FileError& error) {
    return refuse(manners, file_error, {trouble(error)}, nothing_written);
  }
  return done;
}

}  // namespace mistwright::app
