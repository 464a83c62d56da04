#pragma once
// A record in HDF5 and back. The only .cpp that includes the HDF5 library is this header's. The
// file's layout is described in DEVELOPERS.md. The library's image is built in memory and written
// by our own code (whole_file.h): HDF5 itself never has a disk file open, so a full disk cannot
// leave it in a state in which its exit handler crashes. The packaged library is not safe with
// threads; a lock here admits one.
#include <string>
#include <string_view>

#include "sim/record/file_error.h"
#include "sim/record/record.h"

namespace mistwright::record {

/// The bytes of the HDF5 file that holds conforming(record).
[[nodiscard]] std::string hdf5_image(const Record& record);

/// @param path only for messages
/// @throws FileError  damaged, foreign, too new
[[nodiscard]] Record from_hdf5_image(const std::string& bytes, const std::string& path);

/// @param overwrite replace a file that exists; without it such a file is an error
/// @throws FileError  see write_whole_file
void write_hdf5(const Record& record, const std::string& path, bool overwrite);

/// @return the record as written, with `mistwright_schema` and `content_sha256` among its
/// attributes
/// @throws FileError  missing, not allowed, damaged, foreign, too new
[[nodiscard]] Record read_hdf5(const std::string& path);

}  // namespace mistwright::record
