#include "models/air/linear.h"

#include <algorithm>
#include <cmath>

#include "models/contracts.h"

namespace mistwright::air {

void Affine::Terms::add_to_many(const Term& term) {
  if (many_.empty()) many_.assign(few_.begin(), few_.end());
  const auto same = std::find_if(many_.begin(), many_.end(),
                                 [&](const Term& one) { return one.state == term.state; });
  if (same != many_.end()) {
    same->coefficient += term.coefficient;
    return;
  }
  many_.push_back(term);
  ++count_;
}

double Affine::value(const std::vector<double>& state) const {
  double sum = constant;
  for (const Term& term : terms) sum += term.coefficient * state[term.state];
  return sum;
}

LinearSystem assemble(const std::vector<Flux>& fluxes, std::size_t size) {
  LinearSystem system;
  system.source.assign(size, 0.0);
  // Terms are placed row by row; then each row is added up in a dense line, of which only what was
  // met is read.
  std::vector<std::uint32_t> count(size + 1, 0);
  for (const Flux& flux : fluxes) {
    for (const auto& fed : flux.feeds) {
      count[fed.state + 1] += static_cast<std::uint32_t>(flux.size.terms.size());
      system.source[fed.state] += fed.coefficient * flux.size.constant;
    }
  }
  for (std::size_t i = 0; i < size; ++i) count[i + 1] += count[i];
  std::vector<Affine::Term> terms(count[size]);
  std::vector<std::uint32_t> next(count.begin(), count.end() - 1);
  for (const Flux& flux : fluxes) {
    for (const auto& fed : flux.feeds) {
      for (const auto& term : flux.size.terms) {
        terms[next[fed.state]++] = {term.state, fed.coefficient * term.coefficient};
      }
    }
  }
  system.row_start.assign(size + 1, 0);
  system.column.reserve(terms.size());
  system.entry.reserve(terms.size());
  std::vector<double> line(size, 0.0);
  std::vector<std::uint8_t> met(size, 0);
  for (std::size_t i = 0; i < size; ++i) {
    const auto first = static_cast<std::ptrdiff_t>(system.column.size());
    for (std::uint32_t k = count[i]; k < count[i + 1]; ++k) {
      const std::uint32_t column = terms[k].state;
      if (met[column] == 0) {
        met[column] = 1;
        system.column.push_back(column);
      }
      line[column] += terms[k].coefficient;
    }
    std::sort(system.column.begin() + first, system.column.end());
    for (auto it = system.column.begin() + first; it != system.column.end(); ++it) {
      system.entry.push_back(line[*it]);
      line[*it] = 0.0;
      met[*it] = 0;
    }
    system.row_start[i + 1] = static_cast<std::uint32_t>(system.column.size());
  }
  return system;
}

namespace {

double scaled_norm(const LinearSystem& system, const std::vector<double>& scale) {
  double norm = 0.0;
  for (std::size_t i = 0; i < scale.size(); ++i) {
    double sum = 0.0;
    for (std::uint32_t k = system.row_start[i]; k < system.row_start[i + 1]; ++k) {
      sum += std::abs(system.entry[k]) * scale[system.column[k]];
    }
    norm = std::max(norm, sum / scale[i]);
  }
  return norm;
}

void multiply(const LinearSystem& system, const double* x, double factor, double* out) {
  const std::size_t size = system.source.size();
  for (std::size_t i = 0; i < size; ++i) {
    double sum = 0.0;
    for (std::uint32_t k = system.row_start[i]; k < system.row_start[i + 1]; ++k) {
      sum += system.entry[k] * x[system.column[k]];
    }
    out[i] = factor * sum;
  }
}

/// Sum of c[k] x^k.
double horner(const std::vector<double>& c, double x) {
  double sum = c.back();
  for (std::size_t k = c.size() - 1; k-- > 0;) sum = sum * x + c[k];
  return sum;
}

}  // namespace

Stretch::Stretch(const LinearSystem& system, const std::vector<double>& start,
                 const std::vector<double>& scale, double length_s)
    : size_(start.size()), length_s_(length_s) {
  EXPECT(length_s > 0.0);
  EXPECT(scale.size() == size_);
  const double norm = scaled_norm(system, scale) * length_s;
  pieces_ = std::max<std::size_t>(1, static_cast<std::size_t>(std::ceil(norm)));
  piece_s_ = length_s / static_cast<double>(pieces_);
  degree_.assign(pieces_, most_degree);
  coefficient_.resize(pieces_ * (most_degree + 1) * size_);
  integral_.assign((pieces_ + 1) * size_, 0.0);
  swing_.assign(pieces_ * size_, 0.0);
  std::vector<double> y = start;
  for (std::size_t piece = 0; piece < pieces_; ++piece) {
    double* c = coefficient_.data() + piece * (most_degree + 1) * size_;
    std::copy(y.begin(), y.end(), c);
    expand(system, scale, piece);
    const double* before = integral_.data() + piece * size_;
    area(piece, piece_s_, integral_.data() + (piece + 1) * size_);
    for (std::size_t i = 0; i < size_; ++i) integral_[(piece + 1) * size_ + i] += before[i];
    value(piece, piece_s_, y.data());
  }
}

/// The Taylor terms of one piece from its start, until one is too small to touch the last digit.
void Stretch::expand(const LinearSystem& system, const std::vector<double>& scale,
                     std::size_t piece) {
  constexpr double least = 1e-17;  // of a state's typical size; what follows is smaller still
  double* c = coefficient_.data() + piece * (most_degree + 1) * size_;
  double* swing = swing_.data() + piece * size_;
  double length = 1.0;  // piece_s_ to the power
  for (std::size_t power = 0; power < most_degree; ++power) {
    double* next = c + (power + 1) * size_;
    multiply(system, c + power * size_, 1.0 / static_cast<double>(power + 1), next);
    if (power == 0) {
      for (std::size_t i = 0; i < size_; ++i) next[i] += system.source[i];
    }
    length *= piece_s_;
    double largest = 0.0;
    for (std::size_t i = 0; i < size_; ++i) {
      const double term = std::abs(next[i]) * length;
      swing[i] += term;
      largest = std::max(largest, term / scale[i]);
    }
    if (largest < least) {
      degree_[piece] = power + 1;
      return;
    }
  }
}

void Stretch::value(std::size_t piece, double x, double* out) const {
  const double* c = coefficient_.data() + piece * (most_degree + 1) * size_;
  const std::size_t degree = degree_[piece];
  std::copy(c + degree * size_, c + (degree + 1) * size_, out);
  for (std::size_t power = degree; power-- > 0;) {
    const double* term = c + power * size_;
    for (std::size_t i = 0; i < size_; ++i) out[i] = out[i] * x + term[i];
  }
}

void Stretch::area(std::size_t piece, double x, double* out) const {
  const double* c = coefficient_.data() + piece * (most_degree + 1) * size_;
  const std::size_t degree = degree_[piece];
  std::fill(out, out + size_, 0.0);
  for (std::size_t power = degree + 1; power-- > 0;) {
    const double* term = c + power * size_;
    const double share = 1.0 / static_cast<double>(power + 1);
    for (std::size_t i = 0; i < size_; ++i) out[i] = out[i] * x + term[i] * share;
  }
  for (std::size_t i = 0; i < size_; ++i) out[i] *= x;
}

std::size_t Stretch::piece_of(double t_s) const {
  const auto piece = static_cast<std::size_t>(std::max(0.0, t_s / piece_s_));
  return std::min(piece, pieces_ - 1);
}

std::vector<double> Stretch::at(double t_s) const {
  const std::size_t piece = piece_of(t_s);
  std::vector<double> y(size_);
  value(piece, t_s - static_cast<double>(piece) * piece_s_, y.data());
  return y;
}

std::vector<double> Stretch::integral(double t_s) const {
  const std::size_t piece = piece_of(t_s);
  std::vector<double> sum(size_);
  area(piece, t_s - static_cast<double>(piece) * piece_s_, sum.data());
  for (std::size_t i = 0; i < size_; ++i) sum[i] += integral_[piece * size_ + i];
  return sum;
}

bool Stretch::may_cross(const Affine& function, std::size_t piece) const {
  constexpr double rounding = 1.0 + 1e-12;
  const double* c = coefficient_.data() + piece * (most_degree + 1) * size_;
  const double* swing = swing_.data() + piece * size_;
  double start = function.constant;
  double most = 0.0;
  double sizes = std::abs(function.constant);
  for (const auto& term : function.terms) {
    start += term.coefficient * c[term.state];
    most += std::abs(term.coefficient) * swing[term.state];
    sizes += std::abs(term.coefficient * c[term.state]);
  }
  return std::abs(start) <= most * rounding + 1e-14 * sizes;
}

std::vector<double> Stretch::polynomial(const Affine& function, std::size_t piece) const {
  const std::size_t degree = degree_[piece];
  std::vector<double> p(degree + 1, 0.0);
  const double* c = coefficient_.data() + piece * (most_degree + 1) * size_;
  for (std::size_t power = 0; power <= degree; ++power) {
    for (const auto& term : function.terms)
      p[power] += term.coefficient * c[power * size_ + term.state];
  }
  p[0] += function.constant;
  return p;
}

namespace {

/// Where a polynomial, negative at low and not at high, passes zero: bisection to a tenth of a
/// microsecond.
double passing(const std::vector<double>& p, double sign, double low, double high) {
  while (high - low > 1e-7) {
    const double middle = 0.5 * (low + high);
    if (middle <= low || middle >= high) break;
    (sign * horner(p, middle) >= 0.0 ? high : low) = middle;
  }
  return high;
}

}  // namespace

std::optional<double> Stretch::crossing(const Affine& function, bool rising, double after_s) const {
  constexpr int looks = 8;  // a sub-interval
  const double sign = rising ? 1.0 : -1.0;
  for (std::size_t piece = piece_of(after_s); piece < pieces_; ++piece) {
    if (!may_cross(function, piece)) continue;
    const std::vector<double> p = polynomial(function, piece);
    const double base = static_cast<double>(piece) * piece_s_;
    double low = std::max(0.0, after_s - base);
    double low_value = sign * horner(p, low);
    for (int look = 1; look <= looks; ++look) {
      const double high = piece_s_ * static_cast<double>(look) / looks;
      if (high <= low) continue;
      const double high_value = sign * horner(p, high);
      if (low_value < 0.0 && high_value >= 0.0) {
        return std::min(base + passing(p, sign, low, high), length_s_);
      }
      low = high;
      low_value = high_value;
    }
  }
  return std::nullopt;
}

}  // namespace mistwright::air
