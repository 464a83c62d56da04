#include "sim/record/sha256.h"

#include "tests/support/catch.h"

using mistwright::record::Sha256;
using mistwright::record::sha256;

// NIST, "SHA-256 examples" to FIPS 180-4 (one block, two blocks) and the million-a message of FIPS
// 180-2 appendix B.3; the empty message from NIST's test vectors for short messages. From memory.
TEST_CASE("record: the digest agrees with the examples of FIPS 180-4", "[record][published]") {
  CHECK(sha256("") == "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  CHECK(sha256("abc") == "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  CHECK(sha256("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq") ==
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  CHECK(sha256(std::string(1'000'000, 'a')) ==
        "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

TEST_CASE("record: the digest does not depend on how its bytes are portioned", "[record][law]") {
  const std::string text(300, 'x');
  for (const std::size_t portion : {1U, 7U, 55U, 64U, 65U, 119U}) {
    CAPTURE(portion);
    Sha256 hash;
    for (std::size_t i = 0; i < text.size(); i += portion)
      hash.add(std::string_view(text).substr(i, portion));
    CHECK(hash.digest() == sha256(text));
  }
}
