#include "sim/scenario/source.h"

#include <fcntl.h>
#include <fmt/core.h>
#include <sys/stat.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstring>

namespace mistwright::scenario {
namespace {

Problem unreadable(const std::string& name, const std::string& message, const std::string& help) {
  Problem p{.code = "E0101", .message = message, .at = {}};
  p.at.source = std::make_shared<SourceText>(name, std::string());
  p.help = help;
  p.unreadable = true;
  return p;
}

/// A file that is open for reading, closed again in any case.
class Descriptor {
 public:
  explicit Descriptor(const std::string& path)
      : fd_(::open(path.c_str(), O_RDONLY | O_NONBLOCK | O_CLOEXEC)) {}
  ~Descriptor() {
    if (fd_ >= 0) ::close(fd_);
  }
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  [[nodiscard]] int get() const { return fd_; }

 private:
  int fd_;
};

std::string why(int error) {
  if (error == ENOENT) return "no such file";
  return error == EACCES ? "permission denied" : std::strerror(error);
}

Problem not_regular(const std::string& name, mode_t mode) {
  const char* what = S_ISDIR(mode) ? "a folder" : S_ISFIFO(mode) ? "a pipe" : "a device";
  return unreadable(name, fmt::format("`{}` is {}, not a regular file", name, what),
                    S_ISDIR(mode) ? "name the scenario inside it" : "");
}

/// Fills the text, or cuts it where the file ends sooner; false on an error.
bool read_whole(const Descriptor& file, std::string& text) {
  std::size_t got = 0;
  while (got < text.size()) {
    const ssize_t n = ::read(file.get(), text.data() + got, text.size() - got);
    if (n < 0 && errno == EINTR) continue;
    if (n < 0) return false;
    if (n == 0) break;
    got += static_cast<std::size_t>(n);
  }
  text.resize(got);
  return true;
}

/// The length of the UTF-8 character at `at`, 0 if it is none.
std::size_t character_bytes(std::string_view text, std::size_t at) {
  const auto byte = [&](std::size_t i) {
    return i < text.size() ? static_cast<unsigned char>(text[i]) : 0u;
  };
  const unsigned lead = byte(at);
  if (lead < 0x80) return 1;
  const auto tail = [&](std::size_t i) { return (byte(at + i) & 0xC0u) == 0x80u; };
  if (lead >= 0xC2 && lead < 0xE0) return tail(1) ? 2 : 0;
  if (lead >= 0xE0 && lead < 0xF0) {
    const bool overlong = lead == 0xE0 && byte(at + 1) < 0xA0;
    const bool surrogate = lead == 0xED && byte(at + 1) >= 0xA0;
    return tail(1) && tail(2) && !overlong && !surrogate ? 3 : 0;
  }
  if (lead >= 0xF0 && lead < 0xF5) {
    const bool overlong = lead == 0xF0 && byte(at + 1) < 0x90;
    const bool beyond = lead == 0xF4 && byte(at + 1) >= 0x90;
    return tail(1) && tail(2) && tail(3) && !overlong && !beyond ? 4 : 0;
  }
  return 0;
}

/// The lexer: walks over comments, strings and the rest, counting.
class Screen {
 public:
  Screen(std::shared_ptr<const SourceText> source, const SourceLimits& limits)
      : source_(std::move(source)), text_(source_->text), limits_(limits) {}

  std::vector<Problem> run() {
    while (at_ < text_.size() && problems_.empty()) {
      const char c = text_[at_];
      if (c == '#') {
        at_ = std::min(text_.find('\n', at_), text_.size());
      } else if (c == '"' || c == '\'') {
        string(c);
      } else {
        plain(c);
      }
    }
    return std::move(problems_);
  }

 private:
  void refuse(std::size_t offset, std::string message, std::string help) {
    problems_.push_back(Problem{.code = "E0104",
                                .message = std::move(message),
                                .at = span_at(source_, offset),
                                .help = std::move(help)});
  }

  void plain(char c) {
    if (c == '[' || c == '{') {
      if (++depth_ > limits_.nesting) {
        refuse(at_, fmt::format("brackets are nested deeper than {}", limits_.nesting),
               "no scenario needs this; is a closing bracket missing above?");
      }
    } else if (c == ']' || c == '}') {
      depth_ = std::max(0, depth_ - 1);
    } else if (c == '.') {
      if (++parts_ > limits_.dotted_parts) {
        refuse(at_, fmt::format("a dotted name has more than {} parts", limits_.dotted_parts), {});
      }
    } else if (c == '=' && ++keys_ > limits_.keys) {
      refuse(at_, fmt::format("more than {} keys", limits_.keys), "split the scenario");
    } else if (static_cast<unsigned char>(c) >= 0x80) {
      refuse(at_, "letters outside ASCII may stand only in quotes and comments",
             "put the name in double quotes");
    }
    // A dotted name goes on over letters, digits, `-`, `_`, quotes, dots and blanks.
    const bool goes_on = c == '.' || c == '-' || c == '_' || c == ' ' || c == '\t' ||
                         (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
    if (!goes_on) parts_ = 1;
    ++at_;
  }

  void string(char quote) {
    const std::size_t start = at_;
    const std::string fence(3, quote);
    const bool multi = text_.compare(at_, 3, fence) == 0;
    at_ += multi ? 3 : 1;
    while (at_ < text_.size()) {
      if (text_[at_] == '\\' && quote == '"') {
        at_ += 2;
      } else if (multi ? text_.compare(at_, 3, fence) == 0 : text_[at_] == quote) {
        at_ += multi ? 3 : 1;
        // The parser takes up to two more quotes before the closing fence as part of the string.
        for (int more = 0; multi && more < 2 && at_ < text_.size() && text_[at_] == quote; ++more)
          ++at_;
        break;
      } else if (!multi && text_[at_] == '\n') {
        break;  // the parser says so with its own words
      } else {
        ++at_;
      }
    }
    at_ = std::min(at_, text_.size());
    if (at_ - start > limits_.string_bytes) {
      refuse(start, fmt::format("a string is longer than {} KiB", limits_.string_bytes >> 10), {});
    }
  }

  std::shared_ptr<const SourceText> source_;
  const std::string& text_;
  SourceLimits limits_;
  std::size_t at_ = 0;
  int depth_ = 0;
  int parts_ = 1;
  std::size_t keys_ = 0;
  std::vector<Problem> problems_;
};

}  // namespace

Span span_at(const std::shared_ptr<const SourceText>& source, std::size_t offset,
             std::size_t bytes) {
  const auto next =
      std::upper_bound(source->line_starts.begin(), source->line_starts.end(), offset);
  const auto line = static_cast<int>(next - source->line_starts.begin());
  const std::size_t start = *(next - 1);
  const auto points = [&](std::size_t from, std::size_t to) {
    int count = 0;
    for (std::size_t i = from; i < std::min(to, source->text.size());) {
      i += std::max<std::size_t>(character_bytes(source->text, i), 1);
      ++count;
    }
    return count;
  };
  return Span{source, line, points(start, offset) + 1, std::max(1, points(offset, offset + bytes))};
}

Loaded load(const std::string& path, std::size_t most_bytes, const std::string& shown_as) {
  Loaded out;
  const std::string name = shown_as.empty() ? path : shown_as;
  if (path.find('\0') != std::string::npos) {
    out.problems.push_back(unreadable(name, "a path cannot hold a NUL character", {}));
    return out;
  }
  const Descriptor file(path);
  if (file.get() < 0) {
    out.problems.push_back(
        unreadable(name, fmt::format("cannot open `{}`: {}", name, why(errno)), {}));
    return out;
  }
  struct stat info {};
  if (::fstat(file.get(), &info) != 0 || !S_ISREG(info.st_mode)) {
    out.problems.push_back(not_regular(name, info.st_mode));
    return out;
  }
  if (static_cast<std::size_t>(info.st_size) > most_bytes) {
    out.problems.push_back(Problem{.code = "E0102",
                                   .message = fmt::format("`{}` has {} bytes; at most {} are read",
                                                          name, info.st_size, most_bytes),
                                   .at = {std::make_shared<SourceText>(name, std::string())}});
    return out;
  }
  std::string text(static_cast<std::size_t>(info.st_size), '\0');
  if (!read_whole(file, text)) {
    out.problems.push_back(
        unreadable(name, fmt::format("cannot read `{}`: {}", name, why(errno)), {}));
    return out;
  }
  out.source = std::make_shared<SourceText>(name, std::move(text));
  return out;
}

std::shared_ptr<const SourceText> without_mark(std::shared_ptr<const SourceText> source) {
  if (!source->text.starts_with("\xEF\xBB\xBF")) return source;
  return std::make_shared<const SourceText>(source->name, source->text.substr(3));
}

std::vector<Problem> screen_encoding(const std::shared_ptr<const SourceText>& source) {
  const std::string& text = source->text;
  const auto problem = [&](std::size_t at, std::string message, std::string help) {
    return std::vector<Problem>{Problem{.code = "E0103",
                                        .message = std::move(message),
                                        .at = span_at(source, at),
                                        .help = std::move(help)}};
  };
  const std::string_view head = std::string_view(text).substr(0, 2);
  if (head == "\xFF\xFE" || head == "\xFE\xFF") {
    auto out = problem(0, fmt::format("`{}` is UTF-16, not UTF-8", source->name), "save as UTF-8");
    out.front().at.line = 0;  // nothing of it can be shown
    return out;
  }
  for (std::size_t at = 0; at < text.size();) {
    const std::size_t bytes = character_bytes(text, at);
    const auto byte = static_cast<unsigned char>(text[at]);
    if (bytes == 0 || byte == 0) {
      const Span span = span_at(source, at);
      return problem(at,
                     byte == 0
                         ? fmt::format("`{}` holds a NUL (line {}, column {})", source->name,
                                       span.line, span.column)
                         : fmt::format("`{}` is not UTF-8 (byte 0x{:02X} at line {}, column {})",
                                       source->name, byte, span.line, span.column),
                     "save as UTF-8");
    }
    at += bytes;
  }
  return {};
}

std::vector<Problem> screen(const std::shared_ptr<const SourceText>& source,
                            const SourceLimits& limits) {
  const std::string& text = source->text;
  if (text.size() > limits.bytes) {
    return {Problem{.code = "E0102",
                    .message = fmt::format("`{}` has {} bytes; at most {} are read", source->name,
                                           text.size(), limits.bytes),
                    .at = {source}}};
  }
  if (auto broken = screen_encoding(source); !broken.empty()) return broken;
  for (std::size_t i = 0; i < source->line_starts.size(); ++i) {
    const std::size_t end =
        i + 1 < source->line_starts.size() ? source->line_starts[i + 1] : text.size();
    if (end - source->line_starts[i] > limits.line_bytes) {
      return {Problem{
          .code = "E0104",
          .message = fmt::format("line {} is longer than {} KiB", i + 1, limits.line_bytes >> 10),
          .at = span_at(source, source->line_starts[i])}};
    }
  }
  return Screen(source, limits).run();
}

}  // namespace mistwright::scenario
