#include "sim/record/hdf5_file.h"

#include <signal.h>
#include <sys/resource.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmath>
#include <filesystem>
#include <functional>

#include "sim/record/conform.h"
#include "sim/record/whole_file.h"
#include "tests/report/sample_record.h"
#include "tests/support/catch.h"
#include "tests/support/folder.h"

using namespace mistwright;
using test::Folder;
namespace fs = std::filesystem;

namespace {

record::FileError error_of(const std::function<void()>& act) {
  try {
    act();
  } catch (const record::FileError& error) {
    return error;
  }
  return {"", "no error", ""};
}

void expect_same(const record::Variable& a, const record::Variable& b) {
  CAPTURE(a.name);
  CHECK(a.name == b.name);
  CHECK(a.long_name == b.long_name);
  CHECK(a.units == b.units);
  CHECK(a.dimensions == b.dimensions);
  CHECK(a.whole == b.whole);
  CHECK(a.standard_name == b.standard_name);
  CHECK(a.cell_methods == b.cell_methods);
  CHECK(a.flag_meanings == b.flag_meanings);
  CHECK(a.attributes == b.attributes);
  REQUIRE(a.values.size() == b.values.size());
  const auto same = [](double p, double q) { return p == q || (std::isnan(p) && std::isnan(q)); };
  CHECK(std::equal(a.values.begin(), a.values.end(), b.values.begin(), same));
}

record::Record rich_record() {
  record::Record r = test::sample_record();
  r.groups[0].variables[5].values[4] = std::nan("");
  r.groups[0].variables[5].standard_name = "air_temperature";
  r.groups[0].variables[5].cell_methods = "time: mean";
  r.groups.push_back({.name = "silence",
                      .dimensions = {{"event", 0}},
                      .variables = {{.name = "kind",
                                     .long_name = "kind",
                                     .units = "1",
                                     .dimensions = {"event"},
                                     .values = {},
                                     .whole = true,
                                     .flag_meanings = {"burst", "fan on"}}}});
  r.attributes["comment"] = "höher als \"40 psi\" 𝛼";
  r.groups.back().attributes["empty"] = "";
  r.groups.back().attributes["long"] = std::string(200'000, 'z');
  return r;
}

}  // namespace

TEST_CASE("record: a record read back is the record written to the last bit", "[record][law]") {
  const Folder folder;
  record::Record wanted = record::conforming(rich_record());
  record::write_hdf5(rich_record(), folder.file("a.h5"), false);
  CHECK(folder.count() == 1);
  const record::Record got = record::read_hdf5(folder.file("a.h5"));
  wanted.attributes["mistwright_schema"] = "1";
  wanted.attributes["content_sha256"] = record::content_sha256(wanted);
  CHECK(got.attributes == wanted.attributes);
  REQUIRE(got.groups.size() == wanted.groups.size());
  for (std::size_t g = 0; g < got.groups.size(); ++g) {
    CAPTURE(got.groups[g].name);
    CHECK(got.groups[g].name == wanted.groups[g].name);
    CHECK(got.groups[g].attributes == wanted.groups[g].attributes);
    REQUIRE(got.groups[g].variables.size() == wanted.groups[g].variables.size());
    for (std::size_t v = 0; v < got.groups[g].variables.size(); ++v)
      expect_same(got.groups[g].variables[v], wanted.groups[g].variables[v]);
  }
}

TEST_CASE("record: one record gives the same bytes twice", "[record][same]") {
  CHECK(record::hdf5_image(test::sample_record()) == record::hdf5_image(test::sample_record()));
}

TEST_CASE("record: a file that exists is left alone unless replacing it was asked for",
          "[record][input]") {
  const Folder folder;
  const std::string path = folder.file("a.h5");
  record::write_whole_file(path, "kept", false);
  CHECK(error_of([&] { record::write_hdf5(test::sample_record(), path, false); }).problem ==
        "this file exists already and is left as it is");
  CHECK(record::read_whole_file(path, 100) == "kept");
  CHECK(error_of([&] { record::expect_writable(path, false); }).problem ==
        "this file exists already and is left as it is");
  CHECK_NOTHROW(record::expect_writable(path, true));
  record::write_hdf5(test::sample_record(), path, true);
  CHECK(record::read_hdf5(path).find("bench") != nullptr);
  CHECK(folder.count() == 1);
}

TEST_CASE("record: places where no file can be are refused in plain words", "[record][input]") {
  const Folder folder;
  const auto problem = [](const std::string& path) {
    return error_of([&] { record::write_whole_file(path, "x", false); }).problem;
  };
  CHECK(problem(folder.file("none/a.h5")) == "there is no folder \"" + folder.file("none") + "\"");
  CHECK(problem(folder.path) == "this is a folder, not a file");
  CHECK(problem(folder.path + "/") == "this names a folder, not a file");
  CHECK(problem(folder.file(std::string(300, 'n'))) == "the name is too long");
  CHECK(error_of([&] { (void)record::read_hdf5(folder.file("none.h5")); }).problem ==
        "there is no such file");
  CHECK(error_of([&] { (void)record::read_hdf5(folder.path); }).problem ==
        "this is not a regular file");
  REQUIRE(::mkfifo(folder.file("pipe").c_str(), 0600) == 0);
  CHECK(error_of([&] { (void)record::read_hdf5(folder.file("pipe")); }).problem ==
        "this is not a regular file");
}

TEST_CASE("record: what cannot become a file is told before long work and leaves no trace",
          "[record][input]") {
  const Folder folder;
  const auto problem = [](const std::string& path) {
    return error_of([&] { record::expect_writable(path, false); }).problem;
  };
  CHECK(problem(folder.file(std::string(256, 'n'))) == "the name is too long");
  CHECK(problem(folder.file("none/a.h5")) == "there is no folder \"" + folder.file("none") + "\"");
  CHECK(problem("/proc/a.h5") == "no file can be made in this folder");
  std::string accents;
  while (accents.size() < 254) accents += "\u00e9";
  for (const std::string& name : {std::string("a.h5"), std::string(255, 'n'), accents + "n"}) {
    CAPTURE(name);
    CHECK(problem(folder.file(name)) == "no error");
    CHECK(folder.count() == 0);
    record::write_whole_file(folder.file(name), "x", false);
    CHECK(folder.count() == 1);
    fs::remove(folder.file(name));
  }
}

// Root may write anywhere, so the attempt is made by a child that has given up its rights.
TEST_CASE("record: a folder without leave to write is refused in plain words", "[record][input]") {
  const Folder folder;
  fs::permissions(folder.path, fs::perms::owner_read | fs::perms::owner_exec |
                                   fs::perms::others_read | fs::perms::others_exec);
  const pid_t child = ::fork();
  if (child == 0) {
    if (::geteuid() == 0 && (::setgid(65534) != 0 || ::setuid(65534) != 0)) ::_exit(9);
    const std::string problem =
        error_of([&] { record::write_whole_file(folder.file("a.h5"), "x", false); }).problem;
    const std::string before =
        error_of([&] { record::expect_writable(folder.file("a.h5"), false); }).problem;
    ::_exit(problem == "writing is not allowed here" && before == problem ? 0 : 1);
  }
  int status = 0;
  REQUIRE(::waitpid(child, &status, 0) == child);
  CHECK(WIFEXITED(status));
  CHECK(WEXITSTATUS(status) == 0);
  fs::permissions(folder.path, fs::perms::owner_all);
}

TEST_CASE("record: a disk that fills leaves an error and neither a file nor a part of one",
          "[record][input]") {
  const Folder folder;
  for (const rlim_t limit : {rlim_t{0}, rlim_t{1}, rlim_t{4096}, rlim_t{65536}}) {
    CAPTURE(limit);
    const pid_t child = ::fork();
    if (child == 0) {
      ::signal(SIGXFSZ, SIG_IGN);
      const rlimit small{limit, limit};
      ::setrlimit(RLIMIT_FSIZE, &small);
      const std::string problem =
          error_of([&] {
            record::write_hdf5(test::sample_record(), folder.file("a.h5"), false);
          }).problem;
      ::_exit(problem.starts_with("a limit on file size stops") ? 0 : 1);
    }
    int status = 0;
    REQUIRE(::waitpid(child, &status, 0) == child);
    CHECK(WIFEXITED(status));
    CHECK(WEXITSTATUS(status) == 0);
    CHECK(folder.count() == 0);
  }
}

TEST_CASE("record: a stranger's file and a newer layout are refused by name", "[record][input]") {
  const auto problem = [](const std::string& bytes) {
    return error_of([&] { (void)record::from_hdf5_image(bytes, "a.h5"); }).problem;
  };
  CHECK(problem("") == "this file is empty");
  CHECK(problem("PK\x03\x04 something else") == "this is not an HDF5 file");
  const std::string bytes = record::hdf5_image(test::sample_record());
  CHECK(problem(bytes.substr(0, bytes.size() / 2)) ==
        "this file is damaged: its content does not agree with its checksums");
  CHECK(problem(bytes.substr(0, 8)) ==
        "this file is damaged: its content does not agree with its checksums");
}

// The 400 places are drawn from a fixed stream. A changed byte may lie where nothing is stored;
// then the record must still be the same one.
TEST_CASE("record: a changed byte is noticed or changes nothing", "[record][law]") {
  const std::string good = record::hdf5_image(test::sample_record());
  const record::Record wanted = record::from_hdf5_image(good, "a.h5");
  int noticed = 0;
  std::uint64_t state = 20270528;
  for (int trial = 0; trial < 400; ++trial) {
    state = state * 6364136223846793005ULL + 1442695040888963407ULL;
    const std::size_t place = static_cast<std::size_t>((state >> 24) % good.size());
    std::string bad = good;
    bad[place] = static_cast<char>(bad[place] ^ static_cast<char>(1U + (state >> 56) % 255U));
    CAPTURE(place);
    try {
      const record::Record got = record::from_hdf5_image(bad, "a.h5");
      CHECK(got.attributes == wanted.attributes);
      REQUIRE(got.groups.size() == wanted.groups.size());
      for (std::size_t g = 0; g < got.groups.size(); ++g)
        for (std::size_t v = 0; v < got.groups[g].variables.size(); ++v) {
          CHECK(got.groups[g].variables[v].values == wanted.groups[g].variables[v].values);
          CHECK(got.groups[g].variables[v].units == wanted.groups[g].variables[v].units);
        }
    } catch (const record::FileError& error) {
      ++noticed;
    }
  }
  CHECK(noticed > 200);
}
