#include "sim/record/field_files.h"

#include <signal.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <fstream>
#include <thread>
#include <vector>

#include "sim/record/file_error.h"
#include "sim/record/sha256.h"
#include "tests/support/catch.h"
#include "tests/support/folder.h"

using mistwright::record::FieldFiles;
using mistwright::record::FileError;
using mistwright::record::sha256;
using mistwright::test::Folder;
namespace fs = std::filesystem;

namespace {

std::string content(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), {}};
}

void write(const std::string& path, const std::string& bytes) {
  std::ofstream(path, std::ios::binary) << bytes;
}

/// Bytes whose every part tells which they are.
std::string long_bytes(int which, std::size_t count = 300'000) {
  std::string bytes(count, '\0');
  for (std::size_t i = 0; i < count; ++i)
    bytes[i] = static_cast<char>((i * 31 + static_cast<std::size_t>(which) * 97 + i / 256) & 0xffU);
  return bytes;
}

}  // namespace

TEST_CASE("record: a store gives back what was saved and nothing else", "[record][law]") {
  const Folder folder;
  FieldFiles store(folder.path + "/made/anew");
  const std::string key("a\0b", 3);
  CHECK_FALSE(store.load(key));
  store.save(key, std::string("\0\1\2", 3));
  store.save("", "");
  CHECK(store.load(key) == std::string("\0\1\2", 3));
  CHECK(store.load("") == std::string());
  CHECK_FALSE(store.load("a"));
  store.save(key, "again");
  CHECK(FieldFiles(folder.path + "/made/anew").load(key) == std::string("again"));
}

TEST_CASE("record: a kept file is laid out as its header says", "[record][worked]") {
  const Folder folder;
  FieldFiles store(folder.path);
  store.save("key", "value");
  const std::string body = std::string("\3\0\0\0\0\0\0\0", 8) + "keyvalue";
  CHECK(content(folder.path + "/" + sha256("key") + ".field") ==
        "mistwright field 1\n" + sha256(body) + "\n" + body);
}

TEST_CASE("record: any byte changed or cut makes a kept file absent until it is saved anew",
          "[record][law]") {
  const Folder folder;
  FieldFiles store(folder.path);
  const std::string value = "twenty bytes of value";
  store.save("key", value);
  const std::string path = store.path_of("key");
  const std::string sound = content(path);
  for (std::size_t i = 0; i < sound.size(); ++i) {
    std::string bad = sound;
    bad[i] = static_cast<char>(bad[i] ^ 0x10);
    write(path, bad);
    REQUIRE_FALSE(store.load("key"));
    write(path, sound.substr(0, i));
    REQUIRE_FALSE(store.load("key"));
  }
  write(path, sound + "x");
  CHECK_FALSE(store.load("key"));
  // Sound, but of another key.
  store.save("other", value);
  fs::copy_file(store.path_of("other"), path, fs::copy_options::overwrite_existing);
  CHECK_FALSE(store.load("key"));
  store.save("key", value);
  CHECK(store.load("key") == value);
}

TEST_CASE("record: a link or a pipe or a folder in a kept file's place counts as absent",
          "[record][input]") {
  const Folder folder;
  FieldFiles store(folder.path);
  const std::string path = store.path_of("key");
  REQUIRE(::mkfifo(path.c_str(), 0600) == 0);
  CHECK_FALSE(store.load("key"));
  store.save("key", "value");
  CHECK(store.load("key") == std::string("value"));
  fs::remove(path);
  write(folder.path + "/foreign", "left alone");
  fs::create_symlink(folder.path + "/foreign", path);
  store.save("key", "value");
  CHECK(store.load("key") == std::string("value"));
  CHECK(content(folder.path + "/foreign") == "left alone");
  fs::remove(path);
  fs::create_directory(path);
  store.save("key", "value");
  CHECK_FALSE(store.load("key"));
}

TEST_CASE("record: a store over its limit loses what went unused longest", "[record][law]") {
  const Folder folder;
  FieldFiles store(folder.path, 3500);
  const auto age = [&](const std::string& key, int hours) {
    fs::last_write_time(store.path_of(key),
                        fs::file_time_type::clock::now() - std::chrono::hours(hours));
  };
  const std::string kilobyte(1000, 'v');
  for (const char* key : {"a", "b", "c"}) store.save(key, kilobyte);
  age("a", 3), age("b", 2), age("c", 1);
  REQUIRE(store.load("a"));  // used just now
  write(folder.path + "/notes.txt", std::string(9000, 'n'));
  store.save("d", kilobyte);
  CHECK_FALSE(store.load("b"));
  for (const char* key : {"a", "c", "d"}) CHECK(store.load(key) == kilobyte);
  CHECK(fs::exists(folder.path + "/notes.txt"));
  store.save("e", std::string(4000, 'v'));  // larger than the limit
  CHECK_FALSE(store.load("e"));
  CHECK(store.load("d"));
}

TEST_CASE("record: parts left by killed runs go after an hour and no sooner", "[record][law]") {
  const Folder folder;
  FieldFiles store(folder.path);
  const std::string part = folder.path + "/." + sha256("x") + ".field.part-";
  write(part + "old", "p");
  write(part + "new", "p");
  fs::last_write_time(part + "old", fs::file_time_type::clock::now() - std::chrono::hours(2));
  store.save("key", "value");
  CHECK_FALSE(fs::exists(part + "old"));
  CHECK(fs::exists(part + "new"));
}

TEST_CASE("record: writers killed at random moments leave no torn file", "[record][law]") {
  const Folder folder;
  FieldFiles store(folder.path);
  // However fast the machine and the build are: killed within the time of four saves.
  const auto began = std::chrono::steady_clock::now();
  for (int round = 0; round < 5; ++round) store.save("key", long_bytes(round));
  const std::chrono::duration<double, std::micro> five = std::chrono::steady_clock::now() - began;
  const double save_us = std::max(500.0, five.count() / 5.0);
  fs::remove(store.path_of("key"));
  int complete = 0;
  for (int i = 0; i < 120; ++i) {
    const pid_t child = ::fork();
    if (child == 0) {
      FieldFiles mine(folder.path);
      for (int round = 0;; ++round) mine.save("key", long_bytes(round % 5));
    }
    ::usleep(static_cast<useconds_t>(save_us * (0.5 + (i * 7919) % 4000 / 1000.0)));
    ::kill(child, SIGKILL);
    ::waitpid(child, nullptr, 0);
    if (!fs::exists(store.path_of("key"))) continue;
    const auto found = store.load("key");
    REQUIRE(found);
    complete += 1;
    bool whole = false;
    for (int which = 0; which < 5; ++which) whole = whole || *found == long_bytes(which);
    REQUIRE(whole);
    if (i % 3 == 0) fs::remove(store.path_of("key"));
  }
  CHECK(complete > 10);
  // Some were killed while they wrote: else the test has seen nothing.
  CHECK(folder.count(".field") + 1 <
        static_cast<std::size_t>(std::distance(fs::directory_iterator(folder.path), {})));
}

TEST_CASE("record: threads and processes that save one key at once never show half a value",
          "[record][law]") {
  const Folder folder;
  std::vector<pid_t> children;
  for (int which = 0; which < 3; ++which) {
    children.push_back(::fork());
    if (children.back() != 0) continue;
    FieldFiles mine(folder.path);
    for (int round = 0; round < 40; ++round) mine.save("key", long_bytes(which, 40'000));
    ::_exit(0);
  }
  FieldFiles store(folder.path);
  std::vector<std::thread> threads;
  for (int which = 3; which < 5; ++which) {
    threads.emplace_back([&store, which] {
      for (int round = 0; round < 40; ++round) store.save("key", long_bytes(which, 40'000));
    });
  }
  int seen = 0;
  bool sound = true;
  for (int round = 0; round < 400; ++round) {
    const auto found = store.load("key");
    if (!found) {
      sound = sound && seen == 0;  // once there, it is always there
      continue;
    }
    ++seen;
    bool whole = false;
    for (int which = 0; which < 5; ++which) whole = whole || *found == long_bytes(which, 40'000);
    sound = sound && whole;
  }
  for (std::thread& thread : threads) thread.join();
  for (const pid_t child : children) {
    int status = 1;
    ::waitpid(child, &status, 0);
    CHECK(status == 0);
  }
  CHECK(sound);
  CHECK(store.load("key"));
  CHECK(folder.count(".field") == 1);
  CHECK(std::distance(fs::directory_iterator(folder.path), {}) == 1);  // no part is left
}

TEST_CASE("record: a folder that cannot hold a store is told", "[record][input]") {
  const Folder folder;
  write(folder.path + "/file", "");
  CHECK_THROWS_AS(FieldFiles(folder.path + "/file"), FileError);
  CHECK_THROWS_AS(FieldFiles(folder.path + "/file/below"), FileError);
  CHECK_THROWS_AS(FieldFiles(""), FileError);
}

TEST_CASE("record: the usual folder follows the environment", "[record][exact]") {
  using mistwright::record::usual_field_folder;
  ::setenv("HOME", "/h", 1);
  ::setenv("XDG_CACHE_HOME", "/x", 1);
  ::setenv("MISTWRIGHT_STORE", "s", 1);
  CHECK(usual_field_folder() == std::string("s"));
  ::setenv("MISTWRIGHT_STORE", "", 1);
  CHECK_FALSE(usual_field_folder());
  ::unsetenv("MISTWRIGHT_STORE");
  CHECK(usual_field_folder() == std::string("/x/mistwright/fields"));
  ::setenv("XDG_CACHE_HOME", "x", 1);
  CHECK(usual_field_folder() == std::string("/h/.cache/mistwright/fields"));
  ::unsetenv("HOME");
  CHECK_FALSE(usual_field_folder());
}
