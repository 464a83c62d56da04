#pragma once
// A folder of a test's own that is gone at the end.
#include <stdlib.h>

#include <cstddef>
#include <filesystem>
#include <stdexcept>
#include <string>
#include <string_view>

namespace mistwright::test {

struct Folder {
  Folder() : path((std::filesystem::temp_directory_path() / "mistwright-XXXXXX").string()) {
    if (::mkdtemp(path.data()) == nullptr) throw std::runtime_error("cannot make " + path);
  }
  Folder(const Folder&) = delete;
  Folder& operator=(const Folder&) = delete;
  ~Folder() { std::filesystem::remove_all(path); }

  [[nodiscard]] std::string file(const std::string& name) const { return path + "/" + name; }
  /// Files whose names end so.
  [[nodiscard]] std::size_t count(std::string_view end = {}) const {
    std::size_t found = 0;
    for (const auto& entry : std::filesystem::directory_iterator(path))
      found += entry.path().string().ends_with(end) ? 1 : 0;
    return found;
  }

  std::string path;
};

}  // namespace mistwright::test
