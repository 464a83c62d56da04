#pragma once
// What went wrong with a file, in words for the person who named it. Exit status 4 of the program.
#include <stdexcept>
#include <string>

namespace mistwright::record {

class FileError : public std::runtime_error {
 public:
  FileError(std::string file_path, std::string what_is_wrong, std::string what_helps)
      : std::runtime_error(file_path + ": " + what_is_wrong + ". " + what_helps),
        path(std::move(file_path)),
        problem(std::move(what_is_wrong)),
        help(std::move(what_helps)) {}

  std::string path, problem, help;
};

}  // namespace mistwright::record
