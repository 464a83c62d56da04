#include "sim/app/store.h"

#include "sim/record/field_files.h"

namespace mistwright::app {

std::shared_ptr<FieldStore> store_for(const Manners& manners, const StoreRequest& request) {
  if (request.none) return {};
  if (request.folder) return std::make_shared<record::FieldFiles>(*request.folder);
  const auto usual = record::usual_field_folder();
  if (!usual) return {};
  try {
    return std::make_shared<record::FieldFiles>(*usual);
  } catch (const record::FileError& error) {
    scenario::Problem problem = trouble(error);
    problem.severity = scenario::Severity::Warning;
    problem.code = "W0403";
    problem.help = "name another folder with --store, or give --no-store";
    if (!manners.json && !manners.quiet)
      tell(manners, {problem}, "the run goes on; its airflow is not kept");
    return {};
  }
}

}  // namespace mistwright::app
