#include "sim/record/whole_file.h"

#include <fcntl.h>
#include <fmt/core.h>
#include <sys/random.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <climits>
#include <cstdio>
#include <cstring>

#include "sim/record/file_error.h"

namespace mistwright::record {
namespace {

struct FilePlace {
  std::string folder, name;
};

FilePlace place_of(const std::string& path) {
  const auto slash = path.rfind('/');
  if (slash == std::string::npos) return {".", path};
  return {slash == 0 ? "/" : path.substr(0, slash), path.substr(slash + 1)};
}

/// A system error while making a file, in plain words.
[[noreturn]] void fail_write(const std::string& path, int error, std::size_t size_bytes) {
  const double megabytes = static_cast<double>(size_bytes) / 1e6;
  switch (error) {
    case ENOSPC:
    case EDQUOT:
      throw FileError(path, fmt::format("no space left for {:.1f} MB of results", megabytes),
                      "Free some space, or name a file on another disk");
    case EFBIG:
      throw FileError(path,
                      fmt::format("a limit on file size stops {:.1f} MB of results", megabytes),
                      "Raise the limit (ulimit -f), or name a file on another disk");
    case EROFS:
      throw FileError(path, "this disk is read-only",
                      "Name a file in a folder that you may write to");
    case EACCES:
    case EPERM:
      throw FileError(path, "writing is not allowed here",
                      "Name a file in a folder that you may write to");
    case ENOENT:
    case ENOTDIR:
      if (struct stat folder{};
          ::stat(place_of(path).folder.c_str(), &folder) == 0 && S_ISDIR(folder.st_mode))
        throw FileError(path, "no file can be made in this folder", "Name another folder");
      throw FileError(path, fmt::format("there is no folder \"{}\"", place_of(path).folder),
                      "Make the folder first, or name another");
    case EEXIST:
      throw FileError(path, "this file exists already and is left as it is",
                      "Name another file, or give --overwrite to replace it");
    case ENAMETOOLONG:
      throw FileError(path, "the name is too long", "Name a shorter one");
    default:
      throw FileError(path, fmt::format("cannot be written ({})", std::strerror(error)),
                      "Name another file");
  }
}

/// A part file that is removed unless it became the final file.
class PartFile {
 public:
  PartFile(std::string part_path, const std::string& final_path, std::size_t size_bytes)
      : part_path_(std::move(part_path)),
        descriptor_(::open(part_path_.c_str(), O_CREAT | O_EXCL | O_WRONLY | O_CLOEXEC, 0666)) {
    if (descriptor_ < 0 && errno == EEXIST)
      throw FileError(part_path_, "a part of an earlier, unfinished file is in the way",
                      "Remove it, then try again");
    if (descriptor_ < 0) fail_write(final_path, errno, size_bytes);
  }
  PartFile(const PartFile&) = delete;
  PartFile& operator=(const PartFile&) = delete;
  ~PartFile() {
    if (descriptor_ >= 0) ::close(descriptor_);
    if (!kept_) ::unlink(part_path_.c_str());
  }

  /// @return 0 or an errno
  int write(std::string_view bytes) {
    while (!bytes.empty()) {
      const ssize_t done =
          ::write(descriptor_, bytes.data(), std::min<std::size_t>(bytes.size(), 1U << 30));
      if (done < 0 && errno == EINTR) continue;
      if (done < 0) return errno;
      if (done == 0) return ENOSPC;
      bytes.remove_prefix(static_cast<std::size_t>(done));
    }
    // A failed sync is final: the kernel may have dropped the pages, so a second try proves
    // nothing.
    if (::fsync(descriptor_) != 0) return errno;
    const int closed = ::close(descriptor_);
    descriptor_ = -1;
    return closed == 0 ? 0 : errno;
  }

  /// @return 0 or an errno
  int become(const std::string& final_path, bool overwrite) {
    if (overwrite) {
      if (std::rename(part_path_.c_str(), final_path.c_str()) != 0) return errno;
      kept_ = true;
      return 0;
    }
    if (::renameat2(AT_FDCWD, part_path_.c_str(), AT_FDCWD, final_path.c_str(), RENAME_NOREPLACE) ==
        0) {
      kept_ = true;
      return 0;
    }
    if (errno != EINVAL && errno != ENOSYS) return errno;
    // File systems without that flag: a hard link never replaces a file either.
    if (::link(part_path_.c_str(), final_path.c_str()) != 0) return errno;
    return 0;
  }

 private:
  std::string part_path_;
  int descriptor_;
  bool kept_ = false;
};

int sync_folder(const std::string& folder) {
  const int descriptor = ::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC);
  if (descriptor < 0) return errno;
  const int synced = ::fsync(descriptor) == 0 ? 0 : errno;
  ::close(descriptor);
  return synced == EINVAL ? 0 : synced;  // some file systems do not sync folders
}

}  // namespace

namespace {

/// The part file beside a file; of a long name only what leaves room for the rest.
std::string part_path(const std::string& path, const std::string& word) {
  const FilePlace place = place_of(path);
  const std::string tail = ".part-" + word;
  const auto within = [](char c) { return (static_cast<unsigned char>(c) & 0xC0U) == 0x80U; };
  std::size_t kept = std::min<std::size_t>(place.name.size(), NAME_MAX - 1 - tail.size());
  while (kept > 0 && kept < place.name.size() && within(place.name[kept])) --kept;
  return place.folder + "/." + place.name.substr(0, kept) + tail;
}

/// What can be told of a path without touching it.
void check_place(const std::string& path, bool overwrite, const std::vector<std::string>& read) {
  const FilePlace place = place_of(path);
  if (place.name.empty())
    throw FileError(path, "this names a folder, not a file", "Add a file name");
  struct stat status {};
  if (::stat(path.c_str(), &status) == 0)
    for (const std::string& one : read) {
      struct stat other {};
      if (::stat(one.c_str(), &other) == 0 && other.st_dev == status.st_dev &&
          other.st_ino == status.st_ino)
        throw FileError(path, "this is a file that is read: it would be lost", "Name another file");
    }
  if (::stat(place.folder.c_str(), &status) != 0) fail_write(path, errno, 0);
  if (!S_ISDIR(status.st_mode)) fail_write(path, ENOTDIR, 0);
  if (::lstat(path.c_str(), &status) == 0) {
    if (S_ISDIR(status.st_mode))
      throw FileError(path, "this is a folder, not a file", "Name a file in it");
    if (!overwrite) fail_write(path, EEXIST, 0);
    if (!S_ISREG(status.st_mode))
      throw FileError(path, "this is not a regular file", "Name another file");
  } else if (errno != ENOENT) {
    fail_write(path, errno, 0);
  }
  if (::access(place.folder.c_str(), W_OK | X_OK) != 0) fail_write(path, errno, 0);
}

/// @param word  what tells this writer's part file from others'
void write_by_part(const std::string& path, std::string_view bytes, bool overwrite,
                   const std::string& word) {
  check_place(path, overwrite, {});
  PartFile part(part_path(path, word), path, bytes.size());
  if (const int error = part.write(bytes); error != 0) fail_write(path, error, bytes.size());
  if (const int error = part.become(path, overwrite); error != 0)
    fail_write(path, error, bytes.size());
  if (const int error = sync_folder(place_of(path).folder); error != 0)
    fail_write(path, error, bytes.size());
}

}  // namespace

void expect_writable(const std::string& path, bool overwrite,
                     const std::vector<std::string>& read) {
  check_place(path, overwrite, read);
  // Permissions do not tell all: what is made here is removed at once.
  const PartFile trial(part_path(path, std::to_string(::getpid())), path, 0);
}

void write_whole_file(const std::string& path, std::string_view bytes, bool overwrite) {
  write_by_part(path, bytes, overwrite, std::to_string(::getpid()));
}

void replace_shared_file(const std::string& path, std::string_view bytes) {
  std::uint64_t word = 0;
  if (::getrandom(&word, sizeof word, 0) != static_cast<ssize_t>(sizeof word))
    fail_write(path, errno, bytes.size());
  write_by_part(path, bytes, true, fmt::format("{:016x}", word));
}

std::string read_whole_file(const std::string& path, std::uint64_t largest_bytes) {
  // Non-blocking, so that a pipe cannot make the program wait for ever.
  const int descriptor = ::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK);
  if (descriptor < 0) {
    if (errno == ENOENT || errno == ENOTDIR)
      throw FileError(path, "there is no such file", "Check the name and the folder");
    if (errno == EACCES)
      throw FileError(path, "reading is not allowed", "Ask its owner for leave to read it");
    throw FileError(path, fmt::format("cannot be opened ({})", std::strerror(errno)),
                    "Name another file");
  }
  struct Closer {
    int descriptor;
    ~Closer() { ::close(descriptor); }
  } const closer{descriptor};
  struct stat status {};
  if (::fstat(descriptor, &status) != 0 || !S_ISREG(status.st_mode))
    throw FileError(path, "this is not a regular file", "Name a file");
  const auto size = static_cast<std::uint64_t>(status.st_size);
  if (size > largest_bytes)
    throw FileError(path,
                    fmt::format("this file has {} bytes; at most {} are read", size, largest_bytes),
                    "Name a smaller file");
  std::string bytes(size, '\0');
  std::size_t filled = 0;
  while (filled < bytes.size()) {
    const ssize_t got = ::read(descriptor, bytes.data() + filled,
                               std::min<std::size_t>(bytes.size() - filled, 1U << 30));
    if (got < 0 && errno == EINTR) continue;
    if (got < 0)
      throw FileError(path, fmt::format("cannot be read ({})", std::strerror(errno)),
                      "Try a copy of it");
    if (got == 0) break;
    filled += static_cast<std::size_t>(got);
  }
  bytes.resize(filled);
  return bytes;
}

}  // namespace mistwright::record
