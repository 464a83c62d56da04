#pragma once
// Whole files as text.
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>

namespace mistwright::test {

inline std::string text_of(const std::filesystem::path& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

}  // namespace mistwright::test
