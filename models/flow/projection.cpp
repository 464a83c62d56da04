#include "models/flow/projection.h"

#include <cmath>

#include "models/contracts.h"

namespace mistwright::flow {
namespace {

double upper_stiffness(const Grid& grid, const FaceWeights& stiffness, std::size_t cell,
                       std::size_t axis) {
  const std::size_t i = cell % grid.nx;
  const std::size_t j = cell / grid.nx % grid.ny;
  const std::size_t k = cell / (grid.nx * grid.ny);
  if (axis == 0) return stiffness.u[grid.u_face(i + 1, j, k)];
  return axis == 1 ? stiffness.v[grid.v_face(i, j + 1, k)] : stiffness.w[grid.w_face(i, j, k + 1)];
}

/// Off-diagonals couple a cell with its upper neighbours along x, y and z; arrays carry one layer
/// of zeros before and after the grid, so that no neighbour needs a test.
class PressureSystem {
 public:
  PressureSystem(const Grid& grid, const FaceWeights& stiffness)
      : strides_{1, grid.nx, grid.nx * grid.ny}, pad_(grid.nx * grid.ny) {
    const std::size_t size = grid.cells() + 2 * pad_;
    for (auto& upper : upper_) upper.assign(size, 0.0);
    diagonal_.assign(size, 0.0);
    const std::array<double, 3> step_m{grid.dx_m, grid.dy_m, grid.dz_m};
    const std::array<std::size_t, 3> counts{grid.nx, grid.ny, grid.nz};
    for (std::size_t cell = 0; cell < grid.cells(); ++cell) {
      if (grid.fluid[cell] == 0) continue;
      rows_.push_back(cell + pad_);
      for (std::size_t axis = 0; axis < 3; ++axis) {
        const std::size_t at = cell / strides_[axis] % counts[axis];
        const std::size_t next = cell + strides_[axis];
        if (at + 1 == counts[axis] || grid.fluid[next] == 0) continue;
        const double coupling =
            grid.face_area_m2(axis) / step_m[axis] / upper_stiffness(grid, stiffness, cell, axis);
        upper_[axis][cell + pad_] = coupling;
        diagonal_[cell + pad_] += coupling;
        diagonal_[next + pad_] += coupling;
      }
    }
    factorise();
  }

  /// Conjugate gradients until the largest residual is below `tolerance`; returns the iterations.
  int solve(std::vector<double>& residual, double tolerance, int cap,
            std::vector<double>& p) const {
    const std::size_t size = diagonal_.size();
    std::vector<double> z(size, 0.0), scratch(size, 0.0), direction(size, 0.0), image(size, 0.0);
    double rho = 0.0;
    for (int iteration = 0; iteration < cap; ++iteration) {
      if (largest(residual) <= tolerance) return iteration;
      precondition(residual, scratch, z);
      const double rho_new = dot(residual, z);
      const double beta = iteration == 0 ? 0.0 : rho_new / rho;
      rho = rho_new;
      for (const std::size_t c : rows_) direction[c] = z[c] + beta * direction[c];
      multiply(direction, image);
      const double curvature = dot(direction, image);
      if (!(curvature > 0.0)) return iteration;
      const double step = rho / curvature;
      for (const std::size_t c : rows_) {
        p[c] += step * direction[c];
        residual[c] -= step * image[c];
      }
    }
    return cap;
  }

  [[nodiscard]] std::size_t size() const { return diagonal_.size(); }
  [[nodiscard]] std::size_t pad() const { return pad_; }

 private:
  /// Gustafsson's modified factor: dropped fill is taken from the diagonal, all but a little of it.
  void factorise() {
    constexpr double kept_factor = 0.97;  // Bridson 2008: 0.97 works well, from memory
    constexpr double safety_factor =
        0.25;  // pivots below this share of the diagonal are not trusted
    inverse_root_.assign(diagonal_.size(), 0.0);
    for (const std::size_t c : rows_) {
      double pivot = diagonal_[c];
      for (std::size_t axis = 0; axis < 3; ++axis) {
        const std::size_t b = c - strides_[axis];
        const double scaled = upper_[axis][b] * inverse_root_[b];
        const double fill = upper_[(axis + 1) % 3][b] + upper_[(axis + 2) % 3][b];
        pivot -= scaled * scaled + kept_factor * scaled * fill * inverse_root_[b];
      }
      if (pivot < safety_factor * diagonal_[c]) pivot = diagonal_[c];
      inverse_root_[c] = pivot > 0.0 ? 1.0 / std::sqrt(pivot) : 0.0;
    }
  }

  void precondition(const std::vector<double>& r, std::vector<double>& q,
                    std::vector<double>& z) const {
    for (const std::size_t c : rows_) {
      double t = r[c];
      for (std::size_t axis = 0; axis < 3; ++axis) {
        const std::size_t b = c - strides_[axis];
        t += upper_[axis][b] * inverse_root_[b] * q[b];
      }
      q[c] = t * inverse_root_[c];
    }
    for (std::size_t row = rows_.size(); row-- > 0;) {
      const std::size_t c = rows_[row];
      double t = q[c];
      for (std::size_t axis = 0; axis < 3; ++axis)
        t += upper_[axis][c] * inverse_root_[c] * z[c + strides_[axis]];
      z[c] = t * inverse_root_[c];
    }
  }

  void multiply(const std::vector<double>& x, std::vector<double>& y) const {
    for (const std::size_t c : rows_) {
      double sum = diagonal_[c] * x[c];
      for (std::size_t axis = 0; axis < 3; ++axis) {
        const std::size_t s = strides_[axis];
        sum -= upper_[axis][c] * x[c + s] + upper_[axis][c - s] * x[c - s];
      }
      y[c] = sum;
    }
  }

  [[nodiscard]] double dot(const std::vector<double>& a, const std::vector<double>& b) const {
    double sum = 0.0;
    for (const std::size_t c : rows_) sum += a[c] * b[c];
    return sum;
  }

  [[nodiscard]] double largest(const std::vector<double>& a) const {
    double most = 0.0;
    for (const std::size_t c : rows_) most = std::fmax(most, std::fabs(a[c]));
    return most;
  }

  std::array<std::size_t, 3> strides_;
  std::size_t pad_;
  std::vector<std::size_t> rows_;
  std::array<std::vector<double>, 3> upper_;
  std::vector<double> diagonal_, inverse_root_;
};

void subtract_gradient(const Grid& grid, const FaceWeights& stiffness,
                       const std::vector<double>& padded_p, FaceField& field) {
  const std::size_t layer = grid.nx * grid.ny;
  const double* p = padded_p.data() + layer;
  for (std::size_t k = 0; k < grid.nz; ++k)
    for (std::size_t j = 0; j < grid.ny; ++j)
      for (std::size_t i = 0; i < grid.nx; ++i) {
        const std::size_t c = grid.cell(i, j, k);
        if (grid.fluid[c] == 0) continue;
        if (i > 0 && grid.fluid[c - 1] != 0) {
          const std::size_t face = grid.u_face(i, j, k);
          field.u_m_per_s[face] -= (p[c] - p[c - 1]) / grid.dx_m / stiffness.u[face];
        }
        if (j > 0 && grid.fluid[c - grid.nx] != 0) {
          const std::size_t face = grid.v_face(i, j, k);
          field.v_m_per_s[face] -= (p[c] - p[c - grid.nx]) / grid.dy_m / stiffness.v[face];
        }
        if (k > 0 && grid.fluid[c - layer] != 0) {
          const std::size_t face = grid.w_face(i, j, k);
          field.w_m_per_s[face] -= (p[c] - p[c - layer]) / grid.dz_m / stiffness.w[face];
        }
      }
}

}  // namespace

std::vector<double> outflow_m3_per_s(const Grid& grid, const FaceField& field) {
  std::vector<double> out(grid.cells(), 0.0);
  for (std::size_t k = 0; k < grid.nz; ++k)
    for (std::size_t j = 0; j < grid.ny; ++j)
      for (std::size_t i = 0; i < grid.nx; ++i) {
        const std::size_t c = grid.cell(i, j, k);
        if (grid.fluid[c] == 0) continue;
        const auto& [u, v, w] = field;
        out[c] = (u[grid.u_face(i + 1, j, k)] - u[grid.u_face(i, j, k)]) * grid.face_area_m2(0) +
                 (v[grid.v_face(i, j + 1, k)] - v[grid.v_face(i, j, k)]) * grid.face_area_m2(1) +
                 (w[grid.w_face(i, j, k + 1)] - w[grid.w_face(i, j, k)]) * grid.face_area_m2(2);
      }
  return out;
}

FaceWeights even_weights(const Grid& grid) {
  return {std::vector<double>(grid.u_faces(), 1.0), std::vector<double>(grid.v_faces(), 1.0),
          std::vector<double>(grid.w_faces(), 1.0)};
}

ProjectionResult project(const Grid& grid, const FaceWeights& stiffness_factor,
                         const std::vector<double>& source_m3_per_s, double residual_m3_per_s,
                         FaceField& field) {
  EXPECT(source_m3_per_s.size() == grid.cells());
  constexpr int iteration_cap = 2000, pass_cap = 6;
  // Each pass need only gain six digits: the next one starts from the true residual of the field,
  // so that the recursion's drift never limits the mass balance.
  constexpr double pass_gain = 1e-6;
  const PressureSystem system(grid, stiffness_factor);
  ProjectionResult result;
  for (int pass = 0; pass <= pass_cap; ++pass) {
    const std::vector<double> out = outflow_m3_per_s(grid, field);
    std::vector<double> residual(system.size(), 0.0);
    double worst = 0.0;
    for (std::size_t c = 0; c < grid.cells(); ++c) {
      if (grid.fluid[c] == 0) continue;
      residual[c + system.pad()] = source_m3_per_s[c] - out[c];
      worst = std::fmax(worst, std::fabs(source_m3_per_s[c] - out[c]));
    }
    result.residual_m3_per_s = worst;
    result.converged = worst <= residual_m3_per_s;
    if (result.converged || pass == pass_cap || result.iterations >= iteration_cap) break;
    std::vector<double> p(system.size(), 0.0);
    const double goal = std::fmax(0.3 * residual_m3_per_s, pass_gain * worst);
    result.iterations += system.solve(residual, goal, iteration_cap - result.iterations, p);
    subtract_gradient(grid, stiffness_factor, p, field);
  }
  return result;
}

}  // namespace mistwright::flow
