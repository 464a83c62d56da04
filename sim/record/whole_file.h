#pragma once
// Whole files in and out. A file written here is complete under its final name or does not exist:
// the bytes go to a part file in the same folder, are synced, then renamed, then the folder is
// synced. No buffering library stands between, so that every error is seen where it happens.
#include <cstddef>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace mistwright::record {

/// Writes `bytes` to `path`. While it runs, the folder holds `.NAME.part-PID`.
/// @param overwrite replace a file that exists; without it such a file is an error
/// @throws FileError  exists, no space, read-only, missing folder, not a regular file
void write_whole_file(const std::string& path, std::string_view bytes, bool overwrite);

/// As write_whole_file() with `overwrite`, for a file that several may write at once, in threads or
/// processes: each writes a part file of its own name, `.NAME.part-` and a random word.
/// @throws FileError
void replace_shared_file(const std::string& path, std::string_view bytes);

/// For use before long work starts. Makes and removes a part file, which no check replaces.
/// @param read  files that the work reads: writing over them would destroy them
/// @throws FileError if `path` cannot become a new file, or leads to one that is read
void expect_writable(const std::string& path, bool overwrite,
                     const std::vector<std::string>& read = {});

/// The bytes of a regular file.
/// @param largest_bytes refuse anything larger
/// @throws FileError  missing, not allowed, not a regular file, too large
[[nodiscard]] std::string read_whole_file(const std::string& path, std::uint64_t largest_bytes);

}  // namespace mistwright::record
