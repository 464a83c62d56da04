#include "tests/bench/vectors.h"

#include <cmath>
#include <cstddef>

namespace mistwright::bench {

namespace {

double* data(N_Vector v) {
  return NV_DATA_S(v);
}

std::size_t length(N_Vector v) {
  return static_cast<std::size_t>(NV_LENGTH_S(v));
}

/// z = op(x, y) element by element; z may be x or y.
template <class Operation>
void each(N_Vector x, N_Vector y, N_Vector z, const Operation& operation) {
  const double* from = data(x);
  const double* with = data(y);
  double* to = data(z);
  const std::size_t n = length(z);
#pragma omp simd
  for (std::size_t i = 0; i < n; ++i) to[i] = operation(from[i], with[i]);
}

void linear_sum(double a, N_Vector x, double b, N_Vector y, N_Vector z) {
  if (b == 1.0) {
    each(x, y, z, [a](double p, double q) { return a * p + q; });
  } else if (a == 1.0) {
    each(x, y, z, [b](double p, double q) { return p + b * q; });
  } else {
    each(x, y, z, [a, b](double p, double q) { return a * p + b * q; });
  }
}

void fill(double c, N_Vector z) {
  each(z, z, z, [c](double, double) { return c; });
}

void product(N_Vector x, N_Vector y, N_Vector z) {
  each(x, y, z, [](double p, double q) { return p * q; });
}

void quotient(N_Vector x, N_Vector y, N_Vector z) {
  each(x, y, z, [](double p, double q) { return p / q; });
}

void scale(double c, N_Vector x, N_Vector z) {
  each(x, x, z, [c](double p, double) { return c * p; });
}

void absolute(N_Vector x, N_Vector z) {
  each(x, x, z, [](double p, double) { return std::fabs(p); });
}

void inverse(N_Vector x, N_Vector z) {
  each(x, x, z, [](double p, double) { return 1.0 / p; });
}

void add_constant(N_Vector x, double b, N_Vector z) {
  each(x, x, z, [b](double p, double) { return p + b; });
}

double dot(N_Vector x, N_Vector y) {
  const double* p = data(x);
  const double* q = data(y);
  const std::size_t n = length(x);
  double sum = 0.0;
#pragma omp simd reduction(+ : sum)
  for (std::size_t i = 0; i < n; ++i) sum += p[i] * q[i];
  return sum;
}

double largest(N_Vector x) {
  const double* p = data(x);
  const std::size_t n = length(x);
  double most = 0.0;
#pragma omp simd reduction(max : most)
  for (std::size_t i = 0; i < n; ++i) most = most > std::fabs(p[i]) ? most : std::fabs(p[i]);
  return most;
}

double weighted_sum(N_Vector x, N_Vector w) {
  const double* p = data(x);
  const double* q = data(w);
  const std::size_t n = length(x);
  double sum = 0.0;
#pragma omp simd reduction(+ : sum)
  for (std::size_t i = 0; i < n; ++i) sum += (p[i] * q[i]) * (p[i] * q[i]);
  return sum;
}

double weighted_rms(N_Vector x, N_Vector w) {
  return std::sqrt(weighted_sum(x, w) / static_cast<double>(length(x)));
}

double weighted_norm(N_Vector x, N_Vector w) {
  return std::sqrt(weighted_sum(x, w));
}

}  // namespace

void vectorise(N_Vector vector) {
  N_Vector_Ops ops = vector->ops;
  ops->nvlinearsum = linear_sum;
  ops->nvconst = fill;
  ops->nvprod = product;
  ops->nvdiv = quotient;
  ops->nvscale = scale;
  ops->nvabs = absolute;
  ops->nvinv = inverse;
  ops->nvaddconst = add_constant;
  ops->nvdotprod = dot;
  ops->nvmaxnorm = largest;
  ops->nvwrmsnorm = weighted_rms;
  ops->nvwl2norm = weighted_norm;
}

}  // namespace mistwright::bench
