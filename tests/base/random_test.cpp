#include "models/random.h"

#include <cmath>
#include <vector>

#include "tests/support/catch.h"

using namespace mistwright;
using test::abs;

TEST_CASE("base: Philox gives the published known answers of Salmon et al. 2011",
          "[base][published]") {
  // The known-answer vectors for ten rounds: all zeros, all ones, and digits of pi.
  CHECK(philox4x32({0, 0, 0, 0}, {0, 0}) ==
        PhiloxBlock{0x6627e8d5, 0xe169c58d, 0xbc57ac4c, 0x9b00dbd8});
  CHECK(philox4x32({0xffffffff, 0xffffffff, 0xffffffff, 0xffffffff}, {0xffffffff, 0xffffffff}) ==
        PhiloxBlock{0x408f276d, 0x41c83b0e, 0xa20bc7c6, 0x6d5451fd});
  CHECK(philox4x32({0x243f6a88, 0x85a308d3, 0x13198a2e, 0x03707344}, {0xa4093822, 0x299f31d0}) ==
        PhiloxBlock{0xd16cfe09, 0x94fdcceb, 0x5001e420, 0x24126ea1});
}

TEST_CASE("base: the name of a stream hashes as FNV-1a is published to", "[base][published]") {
  // Fowler, Noll and Vo's test vectors for 64 bits: the empty string, "a" and "foobar".
  CHECK(stream_of("") == 0xcbf29ce484222325ULL);
  CHECK(stream_of("a") == 0xaf63dc4c8601ec8cULL);
  CHECK(stream_of("foobar") == 0x85944171f73967e8ULL);
}

TEST_CASE("base: a stream depends on its seed and name alone", "[base][same]") {
  Random first(7, stream_of("north bench"));
  Random other(7, stream_of("south bench"));
  Random again(7, stream_of("north bench"));
  Random reseeded(8, stream_of("north bench"));
  int differs_by_name = 0, differs_by_seed = 0;
  for (int i = 0; i < 100; ++i) {
    const double x = first.uniform();
    CHECK(x == again.uniform());
    differs_by_name += x != other.uniform() ? 1 : 0;
    differs_by_seed += x != reseeded.uniform() ? 1 : 0;
  }
  CHECK(differs_by_name == 100);
  CHECK(differs_by_seed == 100);
}

TEST_CASE("base: uniform and normal draws have their moments within four standard errors",
          "[base][law]") {
  constexpr int count = 200000;
  Random random(2, stream_of("moments"));
  double sum = 0.0, squares = 0.0, least = 1.0, most = 0.0;
  for (int i = 0; i < count; ++i) {
    const double u = random.uniform();
    sum += u;
    squares += (u - 0.5) * (u - 0.5);
    least = std::fmin(least, u);
    most = std::fmax(most, u);
  }
  // Standard errors: sqrt(1/12 / n) of the mean, sqrt(1/180 / n) of the variance.
  CHECK_THAT(sum / count, abs(0.5, 4.0 * std::sqrt(1.0 / 12.0 / count)));
  CHECK_THAT(squares / count, abs(1.0 / 12.0, 4.0 * std::sqrt(1.0 / 180.0 / count)));
  CHECK(least > 0.0);
  CHECK(most < 1.0);

  double mean = 0.0, variance = 0.0, fourth = 0.0, lagged = 0.0, before = 0.0;
  for (int i = 0; i < count; ++i) {
    const double z = random.normal();
    mean += z;
    variance += z * z;
    fourth += z * z * z * z;
    lagged += z * before;
    before = z;
  }
  CHECK_THAT(mean / count, abs(0.0, 4.0 / std::sqrt(count)));
  CHECK_THAT(variance / count, abs(1.0, 4.0 * std::sqrt(2.0 / count)));
  CHECK_THAT(fourth / count, abs(3.0, 4.0 * std::sqrt(96.0 / count)));
  CHECK_THAT(lagged / count, abs(0.0, 4.0 / std::sqrt(count)));
}
