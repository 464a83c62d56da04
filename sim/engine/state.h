#pragma once
// One walk over a part's state serves checkpoint, resume and hash, so that they cannot differ.
#include <cstdint>
#include <cstring>
#include <stdexcept>
#include <type_traits>
#include <vector>

namespace mistwright::engine {

class StateVisitor {
 public:
  StateVisitor() = default;
  StateVisitor(const StateVisitor&) = delete;
  StateVisitor& operator=(const StateVisitor&) = delete;
  virtual ~StateVisitor() = default;

  /// One number, enum, time or plain struct without padding.
  template <class T>
  void value(T& item) {
    static_assert(std::is_trivially_copyable_v<T>);
    bytes(&item, sizeof item);
  }

  /// A sequence whose length is part of the state.
  template <class T>
  void values(std::vector<T>& items) {
    static_assert(std::is_trivially_copyable_v<T>);
    auto count = static_cast<std::uint64_t>(items.size());
    value(count);
    if (loading()) items.resize(count);
    if (count != 0) bytes(items.data(), count * sizeof(T));
  }

  [[nodiscard]] virtual bool loading() const = 0;

 protected:
  virtual void bytes(void* data, std::size_t count) = 0;
};

/// Appends the state to a buffer.
class StateWriter final : public StateVisitor {
 public:
  [[nodiscard]] bool loading() const override { return false; }
  [[nodiscard]] const std::vector<std::uint8_t>& buffer() const { return buffer_; }

 protected:
  void bytes(void* data, std::size_t count) override {
    const auto* from = static_cast<const std::uint8_t*>(data);
    buffer_.insert(buffer_.end(), from, from + count);
  }

 private:
  std::vector<std::uint8_t> buffer_;
};

/// Takes the state back out of a buffer.
class StateReader final : public StateVisitor {
 public:
  explicit StateReader(const std::vector<std::uint8_t>& buffer) : buffer_(buffer) {}
  [[nodiscard]] bool loading() const override { return true; }
  [[nodiscard]] bool at_end() const { return at_ == buffer_.size(); }

 protected:
  void bytes(void* data, std::size_t count) override {
    if (buffer_.size() - at_ < count) throw std::runtime_error("the saved state ends too early");
    std::memcpy(data, buffer_.data() + at_, count);
    at_ += count;
  }

 private:
  const std::vector<std::uint8_t>& buffer_;
  std::size_t at_ = 0;
};

/// A 64-bit fingerprint of the state (FNV-1a over its bytes).
class StateHash final : public StateVisitor {
 public:
  [[nodiscard]] bool loading() const override { return false; }
  [[nodiscard]] std::uint64_t hash() const { return hash_; }

 protected:
  void bytes(void* data, std::size_t count) override {
    const auto* from = static_cast<const std::uint8_t*>(data);
    for (std::size_t i = 0; i < count; ++i) hash_ = (hash_ ^ from[i]) * 0x100000001b3ULL;
  }

 private:
  std::uint64_t hash_ = 0xcbf29ce484222325ULL;
};

}  // namespace mistwright::engine
