#pragma once
// What a function needs (EXPECT) and what it promises (ENSURE). A failed one is our own mistake.
#include <stdexcept>
#include <string>

namespace mistwright {

/// A stated condition did not hold: a fault of this program, never of its user.
class ContractError : public std::logic_error {
 public:
  using std::logic_error::logic_error;
};

/// A relation was asked outside its published range.
class RangeError : public std::domain_error {
 public:
  using std::domain_error::domain_error;
};

[[noreturn]] inline void contract_failed(const char* kind, const char* condition, const char* file,
                                         int line) {
  throw ContractError(std::string(kind) + " failed: " + condition + " (" + file + ":" +
                      std::to_string(line) + ")");
}

}  // namespace mistwright

#ifdef MISTWRIGHT_CONTRACTS
#define EXPECT(condition) \
  ((condition) ? void(0) : ::mistwright::contract_failed("EXPECT", #condition, __FILE__, __LINE__))
#define ENSURE(condition) \
  ((condition) ? void(0) : ::mistwright::contract_failed("ENSURE", #condition, __FILE__, __LINE__))
#else
#define EXPECT(condition) void(sizeof(bool(condition)))
#define ENSURE(condition) void(sizeof(bool(condition)))
#endif
