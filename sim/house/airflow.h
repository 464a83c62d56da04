#pragma once
// The airflow regimes of a house and the footprints of heads in them, each computed once, when
// first asked for, and shared by every run of the same building. What is stored depends only on
// what it is asked with, never on who asked first, so that sharing cannot be seen in a result.
#include <cstdint>
#include <map>
#include <memory>
#include <mutex>
#include <string>
#include <vector>

#include "models/droplet/entrainment.h"
#include "models/droplet/nodes.h"
#include "models/flow/openings.h"
#include "sim/house/bench_air.h"
#include "sim/house/field_store.h"
#include "sim/house/plan.h"

namespace mistwright {

/// Which fans run and which openings stand open.
struct DeviceState {
  std::vector<std::uint8_t> fan_on, opening_open;

  /// One bit a fan, then one an opening.
  [[nodiscard]] std::uint64_t key() const;
  [[nodiscard]] static DeviceState from_key(std::uint64_t key, std::size_t fans,
                                            std::size_t openings);
};

/// What keeps a regime's air moving at its nominal flows, over the air's density [m5/s3].
struct Drive {
  double jets_m5_per_s3 = 0.0;      ///< of air that comes in through openings; as their flow cubed
  double stirring_m5_per_s3 = 0.0;  ///< of fans that stir, whatever the weather
  double lift_m5_per_s3 = 0.0;      ///< of warm air that rises; as the heat and how far it rises
  double lifted_W_m = 0.0;          ///< that heat times its way up, nominal

  /// How much faster the air moves inside than at nominal flows: power goes as speed cubed.
  /// @param flow_ratio  present flows through the envelope over the nominal ones, at least 0
  /// @param lift_ratio  present heat times its way up over the nominal, at least 0
  [[nodiscard]] double speed_ratio(double flow_ratio, double lift_ratio) const;
};

/// Where heat that the air takes up leaves it, and where benches give theirs: above the floor.
struct HeatHeights {
  double cover_m = 0.0, bench_m = 0.0;
};

/// One steady airflow.
struct Regime {
  std::uint64_t key = 0;
  std::string words;  ///< "exhaust running; inlet open"
  flow::RegimeField field;
  flow::Exchanges exchanges;  ///< at the nominal flows
  double nominal_inflow_m3_per_s = 0.0;
  Drive drive;
  /// Share of the square of the speed over the benches that thermal convection keeps up at all
  /// times.
  double still_share_fraction = 0.0;
  std::vector<double>
      bench_air_speed_m_per_s;  ///< over each bench cell at the leaves, mean and turbulent together
  BenchResponse bench_response;
  std::vector<double> class_air_speed_m_per_s;  ///< among the leaves of each class
};

/// A head as the drops know it.
struct SprayKey {
  std::uint64_t regime = 0;
  droplet::Launch launch;
  double diameter_m = 0.0;
  std::size_t evaporation_node = 0;
  double enough_noise_ratio = 0.0;  ///< of droplet::FootprintCase

  [[nodiscard]] bool operator<(const SprayKey& other) const;
};

class Airflow {
 public:
  /// @param store  where fields are kept between runs; null: nowhere
  Airflow(const House& house, const Plan& plan, std::shared_ptr<FieldStore> store = {});

  [[nodiscard]] const Regime& regime(const DeviceState& devices);

  /// Flows through the envelope in some weather.
  [[nodiscard]] flow::EnvelopeFlows envelope(const DeviceState& devices,
                                             const flow::EnvelopeState& state,
                                             double wind_from_rad) const;

  /// Computes whatever of these is not there yet, spread over threads.
  void ensure(const std::vector<SprayKey>& keys, int threads);
  /// A footprint that ensure() has seen.
  [[nodiscard]] const droplet::Outcome& footprint(const SprayKey& key) const;

  [[nodiscard]] droplet::Throw thrown(const water::HeadType& type);
  [[nodiscard]] const droplet::AirState& drop_air() const { return plan_.drop_air; }
  [[nodiscard]] const droplet::EvaporationNodes& nodes() const { return nodes_; }
  [[nodiscard]] std::size_t footprints() const;
  [[nodiscard]] const HeatHeights& heat_heights() const { return heights_; }

 private:
  [[nodiscard]] Drive drive(const flow::Enclosure& enclosure,
                            const std::vector<flow::PortFlow>& ports,
                            const flow::FieldOptions& options) const;
  [[nodiscard]] std::unique_ptr<Regime> compute(const DeviceState& devices) const;

  const House& house_;
  const Plan& plan_;
  std::shared_ptr<FieldStore> store_;
  droplet::EvaporationNodes nodes_;
  double leakage_at_1_Pa_m3_per_s_ = 0.0;
  flow::Covering covering_;
  double sunlit_W_per_m2_ = 0.0;  ///< mean light while the sun is up, under a middling cloth
  HeatHeights heights_;
  flow::EnvelopeState reference_;
  double reference_wind_from_rad_ = 0.0;
  mutable std::mutex guard_;
  std::map<std::uint64_t, std::unique_ptr<Regime>> regimes_;
  std::map<SprayKey, droplet::Outcome> footprints_;
  std::map<std::vector<double>, droplet::Throw> throws_;
};

}  // namespace mistwright
