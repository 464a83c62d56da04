#include "models/flow/envelope_network.h"

#include <Eigen/Cholesky>
#include <algorithm>
#include <boost/graph/adjacency_list.hpp>
#include <boost/graph/connected_components.hpp>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>

#include "models/contracts.h"
#include "models/units.h"

namespace mistwright::flow {
namespace {

constexpr double balance_tolerance = 1e-9;
/// Flows below this are rest.
constexpr double rest_m3_per_s = 1e-14;
constexpr int most_newton_steps = 40;
constexpr int most_polishing_steps = 3;
constexpr int most_sweeps = 40;

/// Each edge remembers its path; parallel edges stay apart.
using Graph = boost::adjacency_list<boost::vecS, boost::vecS, boost::undirectedS,
                                    boost::no_property, std::uint32_t>;

/// A path as the solver sees it: the outside is the vertex after the last zone.
struct Link {
  std::uint32_t from, to;
  double drive_Pa;  ///< what wind and warmth add to the fall of pressure
  const PathLaw* law;
};

class Solver {
 public:
  Solver(const EnvelopeNetwork& network, const OutsideAir& outside);
  NetworkFlows solve();

 private:
  using Vector = Eigen::VectorXd;

  [[nodiscard]] PathFlow flow(const Link& link) const {
    return path_flow(*link.law, pressure_Pa_[link.from] - pressure_Pa_[link.to] + link.drive_Pa,
                     density_kg_per_m3_);
  }
  void join();
  void hold_what_floats();
  void start();
  void factorise(Vector& step_Pa);
  void balance_sums(bool slopes);
  [[nodiscard]] bool closed() const;
  bool newton();
  double along(const Vector& from_Pa, const Vector& step_Pa, double length);
  double search(const Vector& from_Pa, const Vector& step_Pa, double start_slope);
  double zone_inflow(std::uint32_t zone, double at_Pa);
  void balance_zone(std::uint32_t zone);
  void sweep();
  [[nodiscard]] bool fans_alone_somewhere() const;
  NetworkFlows answer();

  const EnvelopeNetwork& network_;
  std::size_t zones_;
  double density_kg_per_m3_ = 0.0;
  std::vector<Link> links_;
  Graph graph_;
  std::vector<bool> held_;
  double widest_Pa_ = 1.0;  ///< no step is longer
  Vector pressure_Pa_;      ///< by vertex; the outside's stays 0
  Vector inflow_;           ///< net, by zone
  Vector through_;          ///< half of what comes in and leaves, by zone
  Eigen::MatrixXd slope_;   ///< of the net inflow, sign turned: symmetric, not negative
  int steps_ = 0, sweeps_ = 0;
};

Solver::Solver(const EnvelopeNetwork& network, const OutsideAir& outside)
    : network_(network), zones_(network.zones.size()), graph_(zones_ + 1) {
  EXPECT(outside.temperature_K > 0.0);
  density_kg_per_m3_ = air_density_kg_per_m3(outside.pressure_Pa, outside.temperature_K);
  const double wind_Pa =
      0.5 * density_kg_per_m3_ * outside.wind_speed_m_per_s * outside.wind_speed_m_per_s;
  const auto density = [&](std::uint32_t vertex) {
    return vertex == zones_
               ? density_kg_per_m3_
               : air_density_kg_per_m3(outside.pressure_Pa, network.zones[vertex].temperature_K);
  };
  links_.reserve(network.paths.size());
  for (const AirPath& path : network.paths) {
    EXPECT(path.from == outdoors || path.from < zones_);
    EXPECT(path.to == outdoors || path.to < zones_);
    const auto outer = static_cast<std::uint32_t>(zones_);
    Link link{std::min(path.from, outer), std::min(path.to, outer), 0.0, &path.law};
    const double wind = path.pressure_coefficient * wind_Pa;
    link.drive_Pa = (link.from == outer ? wind : 0.0) - (link.to == outer ? wind : 0.0) -
                    (density(link.from) - density(link.to)) * gravity_m_per_s2 * path.height_m;
    widest_Pa_ += std::fabs(link.drive_Pa);
    if (const auto* fan = std::get_if<FanPath>(&path.law)) widest_Pa_ += closing_pressure_Pa(*fan);
    links_.push_back(link);
  }
  pressure_Pa_ = Vector::Zero(static_cast<Eigen::Index>(zones_ + 1));
  inflow_ = through_ = Vector::Zero(static_cast<Eigen::Index>(zones_));
  slope_ = Eigen::MatrixXd::Zero(inflow_.size(), inflow_.size());
  join();
  hold_what_floats();
}

void Solver::join() {
  for (std::uint32_t n = 0; n < links_.size(); ++n) {
    const Link& link = links_[n];
    if (link.from != link.to && passes(*link.law)) boost::add_edge(link.from, link.to, n, graph_);
  }
}

/// Pressures of zones that nothing joins to the outside are known but for a sum.
void Solver::hold_what_floats() {
  std::vector<std::uint32_t> part(zones_ + 1);
  const auto parts = static_cast<std::size_t>(boost::connected_components(
      graph_,
      boost::make_iterator_property_map(part.begin(), boost::get(boost::vertex_index, graph_))));
  std::vector<bool> grounded(parts, false);
  grounded[part[zones_]] = true;
  held_.assign(zones_, false);
  for (std::size_t zone = 0; zone < zones_; ++zone) {
    held_[zone] = !grounded[part[zone]];
    grounded[part[zone]] = true;
  }
}

/// Net inflow of each zone, what passes it, and how the net falls with the pressures.
void Solver::balance_sums(bool slopes) {
  inflow_.setZero();
  through_.setZero();
  if (slopes) slope_.setZero();
  for (const Link& link : links_) {
    const PathFlow now = flow(link);
    const auto add = [&](std::uint32_t zone, std::uint32_t other, double in) {
      if (zone == zones_) return;
      inflow_[zone] += in;
      through_[zone] += 0.5 * std::fabs(in);
      if (!slopes || held_[zone]) return;
      slope_(zone, zone) += now.slope_m3_per_s_Pa;
      if (other != zones_ && !held_[other]) slope_(zone, other) -= now.slope_m3_per_s_Pa;
    };
    if (link.from == link.to) continue;
    add(link.from, link.to, -now.flow_m3_per_s);
    add(link.to, link.from, now.flow_m3_per_s);
  }
}

bool Solver::closed() const {
  for (Eigen::Index zone = 0; zone < inflow_.size(); ++zone) {
    if (std::fabs(inflow_[zone]) > balance_tolerance * through_[zone] + rest_m3_per_s) return false;
  }
  return true;
}

/// The step that would balance the zones if flows were linear. A ridge far below all slopes keeps
/// the matrix regular where fans run at their free flow.
void Solver::factorise(Vector& step_Pa) {
  const double ridge = 1e-13 * std::max(1e-6, slope_.diagonal().maxCoeff());
  for (Eigen::Index zone = 0; zone < inflow_.size(); ++zone) {
    slope_(zone, zone) += held_[static_cast<std::size_t>(zone)] ? 1.0 : ridge;
  }
  Vector sums = inflow_;
  for (Eigen::Index zone = 0; zone < sums.size(); ++zone) {
    if (held_[static_cast<std::size_t>(zone)]) sums[zone] = 0.0;
  }
  if (sums.size() == 1) {
    step_Pa = sums / slope_(0, 0);
  } else {
    step_Pa = slope_.ldlt().solve(sums);
  }
  const double longest = step_Pa.cwiseAbs().maxCoeff();
  if (longest > widest_Pa_) step_Pa *= widest_Pa_ / longest;
}

/// Pressures that balance if each path were linear with its flow at 1 Pa (Walton 1989), each fan a
/// straight line from its free flow to its closing pressure.
void Solver::start() {
  inflow_.setZero();
  slope_.setZero();
  for (const Link& link : links_) {
    if (link.from == link.to || !passes(*link.law)) continue;
    double slope = 0.0;
    double flow = 0.0;
    if (const auto* fan = std::get_if<FanPath>(link.law)) {
      const double free_m3_per_s = fan_flow(*fan, 0.0).flow_m3_per_s;
      slope = free_m3_per_s / std::max(1.0, closing_pressure_Pa(*fan));
      flow = free_m3_per_s + slope * link.drive_Pa;
    } else {
      slope = path_flow(*link.law, 1.0, density_kg_per_m3_).flow_m3_per_s;
      flow = slope * link.drive_Pa;
    }
    const auto add = [&](std::uint32_t zone, std::uint32_t other, double in) {
      if (zone == zones_ || held_[zone]) return;
      inflow_[zone] += in;
      slope_(zone, zone) += slope;
      if (other != zones_ && !held_[other]) slope_(zone, other) -= slope;
    };
    add(link.from, link.to, -flow);
    add(link.to, link.from, flow);
  }
  Vector step_Pa;
  factorise(step_Pa);
  pressure_Pa_.head(inflow_.size()) = step_Pa;
}

/// Net inflow weighted with the step, at a length along it: the falling function of the search.
double Solver::along(const Vector& from_Pa, const Vector& step_Pa, double length) {
  pressure_Pa_.head(step_Pa.size()) = from_Pa + length * step_Pa;
  balance_sums(false);
  return inflow_.dot(step_Pa);
}

/// A length at which that function has fallen to half of its start or less.
double Solver::search(const Vector& from_Pa, const Vector& step_Pa, double start_slope) {
  const auto falling = [&](double length) { return along(from_Pa, step_Pa, length); };
  constexpr double enough = 0.5;
  double low = 0.0;
  double low_value = start_slope;
  double high = 1.0;
  double high_value = falling(high);
  while (high_value > enough * start_slope && high < 1e3) {
    low = high;
    low_value = high_value;
    high *= 4.0;
    high_value = falling(high);
  }
  if (std::fabs(high_value) <= enough * start_slope || high_value >= 0.0) return high;
  std::uintmax_t evaluations = zones_ == 1 ? 100 : 8;
  const auto [first, second] =
      boost::math::tools::toms748_solve(falling, low, high, low_value, high_value,
                                        boost::math::tools::eps_tolerance<double>(), evaluations);
  // With fewer evaluations than convergence takes the nearer end may still be the start.
  if (first <= 0.0) return second;
  return std::fabs(falling(first)) <= std::fabs(falling(second)) ? first : second;
}

bool Solver::newton() {
  const auto count = inflow_.size();
  Vector best_Pa = pressure_Pa_;
  Vector step_Pa;
  double least = std::numeric_limits<double>::infinity();
  bool reached = false;
  int polished = 0;
  for (int step = 0; step < most_newton_steps; ++step) {
    balance_sums(true);
    const double worst = inflow_.cwiseAbs().maxCoeff();
    const bool better = worst < least;
    const bool now_closed = closed();
    if (better && (now_closed || !reached)) {
      least = worst;
      best_Pa = pressure_Pa_;
      reached = now_closed;
    }
    if (reached && (!better || least == 0.0 || ++polished > most_polishing_steps)) break;
    ++steps_;
    factorise(step_Pa);
    const Vector from_Pa = pressure_Pa_.head(count);
    const double start_slope = inflow_.dot(step_Pa);
    if (start_slope <= 0.0) break;
    const double length = reached ? 1.0 : search(from_Pa, step_Pa, start_slope);
    pressure_Pa_.head(count) = from_Pa + length * step_Pa;
  }
  pressure_Pa_ = best_Pa;
  return reached;
}

double Solver::zone_inflow(std::uint32_t zone, double at_Pa) {
  pressure_Pa_[zone] = at_Pa;
  double sum = 0.0;
  const auto [first, last] = boost::out_edges(zone, graph_);
  for (auto edge = first; edge != last; ++edge) {
    const Link& link = links_[graph_[*edge]];
    sum += (link.to == zone ? 1.0 : -1.0) * flow(link).flow_m3_per_s;
  }
  return sum;
}

/// The net inflow of a zone falls as its pressure grows. The zero stays between two ends until they
/// are neighbouring numbers (Alefeld, Potra and Shi 1995, TOMS algorithm 748, of Boost.Math).
void Solver::balance_zone(std::uint32_t zone) {
  double low_Pa = 0.0, high_Pa = 0.0;
  const auto widen = [&](double at_Pa) {
    low_Pa = std::min(low_Pa, at_Pa);
    high_Pa = std::max(high_Pa, at_Pa);
  };
  const auto [first_edge, last_edge] = boost::out_edges(zone, graph_);
  for (auto edge = first_edge; edge != last_edge; ++edge) {
    const Link& link = links_[graph_[*edge]];
    const bool entering = link.to == zone;
    const double rest_Pa =
        entering ? pressure_Pa_[link.from] + link.drive_Pa : pressure_Pa_[link.to] - link.drive_Pa;
    const auto* fan = std::get_if<FanPath>(link.law);
    const double most_Pa = fan ? closing_pressure_Pa(*fan) : 0.0;
    widen(entering ? rest_Pa + most_Pa : rest_Pa - most_Pa);
  }
  low_Pa -= 1.0;
  high_Pa += 1.0;
  const auto net = [&](double at_Pa) { return zone_inflow(zone, at_Pa); };
  const double low_net = net(low_Pa);
  const double high_net = net(high_Pa);
  // Without a crack or an opening the air rests: at any pressure, or where a fan's curve ends.
  if (low_net <= 0.0 || high_net >= 0.0) {
    const bool any = low_net <= 0.0 && high_net >= 0.0;
    pressure_Pa_[zone] = any ? 0.0 : low_net <= 0.0 ? low_Pa : high_Pa;
    return;
  }
  std::uintmax_t evaluations = 200;
  const auto [first_Pa, second_Pa] =
      boost::math::tools::toms748_solve(net, low_Pa, high_Pa, low_net, high_net,
                                        boost::math::tools::eps_tolerance<double>(), evaluations);
  const bool first = std::fabs(net(first_Pa)) <= std::fabs(net(second_Pa));
  pressure_Pa_[zone] = first ? first_Pa : second_Pa;
}

void Solver::sweep() {
  ++sweeps_;
  for (std::uint32_t zone = 0; zone < zones_; ++zone) {
    if (!held_[zone]) balance_zone(zone);
  }
}

/// A zone with fans alone has a range of pressures at rest, of which the brackets choose one.
bool Solver::fans_alone_somewhere() const {
  for (std::uint32_t zone = 0; zone < zones_; ++zone) {
    const auto [first, last] = boost::out_edges(zone, graph_);
    if (first != last && std::all_of(first, last, [&](const auto& edge) {
          return std::holds_alternative<FanPath>(*links_[graph_[edge]].law);
        }))
      return true;
  }
  return false;
}

NetworkFlows Solver::solve() {
  if (zones_ == 0) return answer();
  if (fans_alone_somewhere()) {
    sweep();
  } else {
    start();
  }
  bool done = newton();
  while (!done && sweeps_ < most_sweeps) {
    for (int n = 0; n < (zones_ == 1 ? 1 : 10); ++n) sweep();
    balance_sums(false);
    // One zone is as near as its pressure can be told; more zones gain from another try.
    done = closed() || zones_ == 1 || newton();
  }
  return answer();
}

NetworkFlows Solver::answer() {
  NetworkFlows flows;
  balance_sums(false);
  flows.balanced = closed();
  flows.newton_steps = steps_;
  flows.sweeps = sweeps_;
  flows.zone_pressure_Pa.assign(pressure_Pa_.begin(), pressure_Pa_.begin() + inflow_.size());
  flows.imbalance_m3_per_s.assign(inflow_.begin(), inflow_.end());
  flows.path_flow_m3_per_s.reserve(links_.size());
  std::vector<double> in(zones_ + 1, 0.0);
  for (const Link& link : links_) {
    const double passing = flow(link).flow_m3_per_s;
    flows.path_flow_m3_per_s.push_back(passing);
    if (link.from != link.to) in[passing > 0.0 ? link.to : link.from] += std::fabs(passing);
  }
  for (std::size_t zone = 0; zone < zones_; ++zone) {
    const double volume_m3 = network_.zones[zone].volume_m3;
    flows.air_changes_per_h.push_back(volume_m3 > 0.0 ? in[zone] * 3600.0 / volume_m3 : 0.0);
  }
  return flows;
}

}  // namespace

double air_density_kg_per_m3(double pressure_Pa, double temperature_K) {
  EXPECT(temperature_K > 0.0);
  return pressure_Pa / gas_constant_dry_air_J_per_kg_K / temperature_K;
}

NetworkFlows solve(const EnvelopeNetwork& network, const OutsideAir& outside) {
  return Solver(network, outside).solve();
}

}  // namespace mistwright::flow
