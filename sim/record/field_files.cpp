#include "sim/record/field_files.h"

#include <fcntl.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <chrono>
#include <cstdlib>
#include <cstring>
#include <filesystem>
#include <system_error>
#include <tuple>
#include <vector>

#include "sim/record/file_error.h"
#include "sim/record/sha256.h"
#include "sim/record/whole_file.h"

namespace mistwright::record {
namespace {

namespace fs = std::filesystem;

constexpr std::string_view heading = "mistwright field 1\n";
constexpr std::string_view ending = ".field";
constexpr std::size_t digest_size = 64;

std::string eight_bytes(std::uint64_t number) {
  std::string bytes(8, '\0');
  for (std::size_t i = 0; i < 8; ++i) bytes[i] = static_cast<char>((number >> (8 * i)) & 0xffU);
  return bytes;
}

/// What stands before the bytes kept, but for heading and digest.
std::string preface(std::string_view key) {
  return eight_bytes(key.size()).append(key);
}

/// The bytes kept in a file; none unless the file is sound and of that key.
std::optional<std::string> unpacked(const std::string& file, std::string_view key) {
  std::string_view left = file;
  if (!left.starts_with(heading)) return {};
  left.remove_prefix(heading.size());
  if (left.size() <= digest_size || left[digest_size] != '\n') return {};
  const std::string_view digest = left.substr(0, digest_size);
  left.remove_prefix(digest_size + 1);
  const std::string before = preface(key);
  if (!left.starts_with(before) || sha256(left) != digest) return {};
  return std::string(left.substr(before.size()));
}

bool digest_like(std::string_view name) {
  return name.size() == digest_size &&
         name.find_first_not_of("0123456789abcdef") == std::string_view::npos;
}

bool kept_name(std::string_view name) {
  return name.ends_with(ending) && digest_like(name.substr(0, name.size() - ending.size()));
}

bool part_name(std::string_view name) {
  return name.size() > digest_size && name.front() == '.' &&
         digest_like(name.substr(1, digest_size)) &&
         name.substr(1 + digest_size).starts_with(".field.part-");
}

struct Kept {
  fs::file_time_type used;
  fs::path path;
  std::uint64_t size_bytes;
};

const char* variable(const char* name) {
  const char* text = std::getenv(name);
  return text == nullptr ? "" : text;
}

}  // namespace

FieldFiles::FieldFiles(std::string folder, std::uint64_t most_bytes)
    : folder_(std::move(folder)), most_bytes_(most_bytes) {
  const auto fail = [this](const std::string& problem) {
    throw FileError(folder_, problem,
                    "Name a folder that you may write to, or run without a store");
  };
  if (folder_.empty()) fail("this names no folder");
  std::error_code error;
  fs::create_directories(folder_, error);
  if (error) fail("this folder for airflow fields cannot be made (" + error.message() + ")");
  if (!fs::is_directory(folder_, error)) fail("this is not a folder");
  if (::access(folder_.c_str(), R_OK | W_OK | X_OK) != 0)
    fail(std::string("airflow fields cannot be kept in this folder (") + std::strerror(errno) +
         ")");
}

std::string FieldFiles::path_of(std::string_view key) const {
  return folder_ + "/" + sha256(key).append(ending);
}

std::optional<std::string> FieldFiles::load(std::string_view key) noexcept {
  try {
    const std::string path = path_of(key);
    auto found = unpacked(read_whole_file(path, most_bytes_), key);
    // What is used stays longest. Where times may not be set it goes by when it was written.
    if (found) static_cast<void>(::utimensat(AT_FDCWD, path.c_str(), nullptr, 0));
    return found;
  } catch (...) {
    return {};
  }
}

void FieldFiles::save(std::string_view key, std::string_view bytes) noexcept {
  try {
    const std::string before = preface(key);
    const std::uint64_t size =
        heading.size() + digest_size + 1 + before.size() + std::uint64_t{bytes.size()};
    if (size > most_bytes_) return;
    Sha256 digest;
    digest.add(std::string_view(before));
    digest.add(bytes);
    std::string file(heading);
    file.reserve(size);
    file.append(digest.digest()).append("\n").append(before).append(bytes);
    const std::string path = path_of(key);
    // A link or a pipe of that name is not ours.
    if (!fs::is_regular_file(fs::symlink_status(path))) ::unlink(path.c_str());
    replace_shared_file(path, file);
    make_room();
  } catch (...) {
    // Then the field is solved again next time.
  }
}

void FieldFiles::make_room() const {
  const auto an_hour_ago = fs::file_time_type::clock::now() - std::chrono::hours(1);
  std::vector<Kept> kept;
  std::uint64_t total_bytes = 0;
  for (const fs::directory_entry& entry : fs::directory_iterator(folder_)) {
    // Another run may remove any of them meanwhile.
    std::error_code gone;
    const std::string name = entry.path().filename();
    const auto used = entry.last_write_time(gone);
    if (gone) continue;
    if (part_name(name) && used < an_hour_ago) fs::remove(entry.path(), gone);
    if (!kept_name(name)) continue;
    const std::uint64_t size_bytes = entry.file_size(gone);
    if (gone) continue;
    total_bytes += size_bytes;
    kept.push_back({used, entry.path(), size_bytes});
  }
  std::sort(kept.begin(), kept.end(), [](const Kept& a, const Kept& b) {
    return std::tie(a.used, a.path) < std::tie(b.used, b.path);
  });
  for (const Kept& oldest : kept) {
    if (total_bytes <= most_bytes_) return;
    std::error_code gone;
    fs::remove(oldest.path, gone);
    total_bytes -= oldest.size_bytes;
  }
}

std::optional<std::string> usual_field_folder() {
  if (const char* named = std::getenv("MISTWRIGHT_STORE"))
    return *named == '\0' ? std::nullopt : std::optional<std::string>(named);
  // Paths there are to be absolute; others are to be passed over (XDG Base Directory
  // Specification).
  const std::string cache = variable("XDG_CACHE_HOME");
  if (cache.starts_with("/")) return cache + "/mistwright/fields";
  const std::string home = variable("HOME");
  if (!home.starts_with("/")) return {};
  return home + "/.cache/mistwright/fields";
}

}  // namespace mistwright::record
