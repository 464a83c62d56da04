#pragma once
// Coupled balances that are linear between events, moved in closed form.
//
// A balance is written as fluxes: each flux is an affine function of the state and feeds some of
// the state's rates. The rates are then y' = M y + b with M and b frozen for a stretch of time,
// whose solution y(t) = y0 + t phi_1(t M)(M y0 + b) is an entire function of t. Stretch holds its
// Taylor polynomials over sub-intervals short enough (scaled norm of M times length at most one)
// that the remainder lies below the last digit: values, running integrals and crossings at any
// instant inside come from the same polynomials, so that asking twice, or between, changes nothing.
// Terms too small to touch the last digit are left out; a state that cannot reach zero within a
// sub-interval, by the sizes of its terms, is not looked at there.
// Source: Al-Mohy and Higham 2011, "Computing the action of the matrix exponential", SIAM J. Sci.
// Comput. 33:488 (truncated Taylor series with scaling; from memory).
#include <array>
#include <cstddef>
#include <cstdint>
#include <initializer_list>
#include <optional>
#include <vector>

namespace mistwright::air {

/// An affine function of the state: constant + sum of coefficient times state.
struct Affine {
  struct Term {
    std::uint32_t state = 0;
    double coefficient = 0.0;
  };
  /// One term a state. Up to four lie in the function itself: nearly all have no more, and a house
  /// has a thousand of them anew in every stretch.
  class Terms {
   public:
    Terms() = default;
    Terms(std::initializer_list<Term> terms) {
      for (const Term& term : terms) add(term);
    }
    void add(const Term& term) {
      if (many_.empty()) {
        for (std::size_t k = 0; k < count_; ++k) {
          if (few_[k].state != term.state) continue;
          few_[k].coefficient += term.coefficient;
          return;
        }
        if (count_ < few_.size()) {
          few_[count_++] = term;
          return;
        }
      }
      add_to_many(term);
    }
    [[nodiscard]] std::size_t size() const { return count_; }
    [[nodiscard]] const Term& front() const { return *begin(); }
    [[nodiscard]] const Term* begin() const { return many_.empty() ? few_.data() : many_.data(); }
    [[nodiscard]] const Term* end() const { return begin() + count_; }

   private:
    void add_to_many(const Term& term);

    std::array<Term, 4> few_ = {};
    std::size_t count_ = 0;
    std::vector<Term> many_;  ///< all of them, once there are more
  };
  Terms terms;
  double constant = 0.0;

  Affine& add(std::uint32_t state, double coefficient) {
    terms.add({state, coefficient});
    return *this;
  }
  Affine& add(const Affine& other, double factor) {
    for (const Term& term : other.terms) terms.add({term.state, term.coefficient * factor});
    constant += other.constant * factor;
    return *this;
  }
  [[nodiscard]] double value(const std::vector<double>& state) const;
};

/// A flow of heat or of mass: how large, booked under which line, and which rates it feeds.
struct Flux {
  std::uint32_t line = 0;
  Affine size;
  Affine::Terms feeds;  ///< rate of `state` grows by coefficient times the flux
};

/// y' = M y + b as compressed rows, columns in rising order.
struct LinearSystem {
  std::vector<std::uint32_t> row_start, column;
  std::vector<double> entry, source;
};

/// Adds up the fluxes.
/// @param size number of states
[[nodiscard]] LinearSystem assemble(const std::vector<Flux>& fluxes, std::size_t size);

/// The frozen system's exact motion over a stretch of time.
class Stretch {
 public:
  Stretch() = default;
  /// @param scale typical size of each state, all positive: sets the norm in which M is measured
  /// @param length_s of the stretch, positive
  Stretch(const LinearSystem& system, const std::vector<double>& start,
          const std::vector<double>& scale, double length_s);

  [[nodiscard]] double length_s() const { return length_s_; }

  /// The state after t seconds, 0 to length_s.
  [[nodiscard]] std::vector<double> at(double t_s) const;
  /// The integral of each state over the first t seconds.
  [[nodiscard]] std::vector<double> integral(double t_s) const;

  /// The first t in (after_s, length_s] at which the function, starting from where it is just after
  /// after_s, reaches or passes zero in the given direction. Found on the Taylor polynomials to a
  /// tenth of a microsecond; a double crossing inside one eighth of a sub-interval can be missed.
  /// @param rising whether to look for a rise through zero, else a fall
  [[nodiscard]] std::optional<double> crossing(const Affine& function, bool rising,
                                               double after_s) const;

 private:
  void expand(const LinearSystem& system, const std::vector<double>& scale, std::size_t piece);
  [[nodiscard]] std::size_t piece_of(double t_s) const;
  void value(std::size_t piece, double x, double* out) const;
  void area(std::size_t piece, double x, double* out) const;
  [[nodiscard]] bool may_cross(const Affine& function, std::size_t piece) const;
  [[nodiscard]] std::vector<double> polynomial(const Affine& function, std::size_t piece) const;

  static constexpr std::size_t most_degree = 17;
  std::size_t size_ = 0, pieces_ = 0;
  double length_s_ = 0.0, piece_s_ = 0.0;
  std::vector<std::size_t> degree_;  ///< by piece
  std::vector<double> coefficient_;  ///< [piece][power][state]
  std::vector<double> integral_;     ///< [piece][state]: over all pieces before
  std::vector<double> swing_;        ///< [piece][state]: most that it can move inside the piece
};

}  // namespace mistwright::air
