#pragma once
// What the writer and the reader of this room share of the HDF5 library. Include it in no header.
#include <H5Cpp.h>
#include <H5PLpublic.h>

#include <mutex>
#include <string>

namespace mistwright::record {

inline constexpr const char* schema_name = "mistwright_schema";
inline constexpr const char* digest_name = "content_sha256";

/// One thread at a time, no exit handler, no messages of the library's own.
class Library {
 public:
  Library() : lock_(mutex()) {
    static const bool prepared = [] {
      H5::H5Library::dontAtExit();
      H5PLset_loading_state(0);  // no filters from elsewhere
      return true;
    }();
    (void)prepared;
    H5::Exception::dontPrint();
  }

 private:
  static std::mutex& mutex() {
    static std::mutex one;
    return one;
  }
  std::lock_guard<std::mutex> lock_;
};

inline void check(herr_t status) {
  if (status < 0) throw H5::Exception("HDF5", "a call failed");
}

/// Latest format: its headers carry checksums.
inline H5::FileAccPropList in_memory() {
  H5::FileAccPropList access;
  access.setCore(std::size_t{1} << 20, false);
  access.setLibverBounds(H5F_LIBVER_LATEST, H5F_LIBVER_LATEST);
  return access;
}

}  // namespace mistwright::record
