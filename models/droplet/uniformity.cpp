#include "models/droplet/uniformity.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <stdexcept>
#include <vector>

#include "models/contracts.h"
#include "models/units.h"

namespace mistwright::droplet {

namespace {

double weight(const Catches& catches, std::size_t i) {
  return catches.weights.empty() ? 1.0 : catches.weights[i];
}

double weight_of_all(const Catches& catches) {
  EXPECT(catches.weights.empty() || catches.weights.size() == catches.amounts.size());
  double sum = 0.0;
  for (std::size_t i = 0; i < catches.amounts.size(); ++i) sum += weight(catches, i);
  if (!(sum > 0.0)) throw std::invalid_argument("uniformity of nothing");
  return sum;
}

std::size_t cans_in_quarter(std::size_t cans, QuarterRule rule) {
  switch (rule) {
    case QuarterRule::RoundedUp:
      return (cans + 3) / 4;
    case QuarterRule::Nearest:
      return std::max<std::size_t>(1, (cans + 2) / 4);
    case QuarterRule::Down:
      return std::max<std::size_t>(1, cans / 4);
  }
  return cans;
}

}  // namespace

double mean_number(const Catches& catches) {
  const double weights = weight_of_all(catches);
  double sum = 0.0;
  for (std::size_t i = 0; i < catches.amounts.size(); ++i)
    sum += weight(catches, i) * catches.amounts[i];
  return sum / weights;
}

double christiansen_ratio(const Catches& catches) {
  const double mean = mean_number(catches);
  if (mean <= 0.0) return 0.0;
  double deviation = 0.0;
  for (std::size_t i = 0; i < catches.amounts.size(); ++i)
    deviation += weight(catches, i) * std::abs(catches.amounts[i] - mean);
  return 1.0 - deviation / (weight_of_all(catches) * mean);
}

double low_quarter_ratio(std::span<const double> amounts, QuarterRule rule) {
  const double mean = mean_number({amounts});
  if (mean <= 0.0) return 0.0;
  std::vector<double> sorted(amounts.begin(), amounts.end());
  std::sort(sorted.begin(), sorted.end());
  sorted.resize(cans_in_quarter(sorted.size(), rule));
  return mean_number({sorted}) / mean;
}

double driest_share_ratio(const Catches& catches, double share_fraction) {
  EXPECT(share_fraction > 0.0 && share_fraction <= 1.0);
  const double mean = mean_number(catches);
  if (mean <= 0.0) return 0.0;
  std::vector<std::size_t> order(catches.amounts.size());
  std::iota(order.begin(), order.end(), std::size_t{0});
  std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
    return catches.amounts[a] < catches.amounts[b];
  });
  const double wanted = share_fraction * weight_of_all(catches);
  double taken = 0.0;
  double sum = 0.0;
  for (const std::size_t i : order) {
    const double part = std::min(weight(catches, i), wanted - taken);
    if (part <= 0.0) continue;
    taken += part;
    sum += part * catches.amounts[i];
  }
  return sum / taken / mean;
}

double variation_ratio(const Catches& catches) {
  const double mean = mean_number(catches);
  if (mean <= 0.0) return 0.0;
  const double weights = weight_of_all(catches);
  double squares = 0.0;
  double weights_squared = 0.0;
  for (std::size_t i = 0; i < catches.amounts.size(); ++i) {
    const double w = weight(catches, i);
    const double off = catches.amounts[i] - mean;
    squares += w * off * off;
    weights_squared += w * w;
  }
  const double free_weight = weights - weights_squared / weights;
  return free_weight > 1e-12 * weights ? std::sqrt(squares / free_weight) / mean : 0.0;
}

double normal_christiansen_ratio(double variation_ratio) {
  return 1.0 - std::sqrt(2.0 / pi) * variation_ratio;
}

Evenness evenness(const Catches& catches) {
  return {mean_number(catches), christiansen_ratio(catches), driest_share_ratio(catches, 0.25),
          variation_ratio(catches), driest_share_ratio(catches, 0.1)};
}

}  // namespace mistwright::droplet
