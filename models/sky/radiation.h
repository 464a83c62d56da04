#pragma once
// What of the sun's and the sky's radiation reaches the house, and what passes its cover.
// Equations: Haurwitz 1945 clear-sky global; Erbs, Klein and Duffie 1982 diffuse fraction; Kasten
// and Czeplak 1980 for cloud; Swinbank 1963 and Brunt 1932 for the sky's long-wave, with the cloud
// of Unsworth and Monteith 1975; Fresnel's equations for a cover's angle of incidence.
// Left out: spectra, turbidity and altitude in the clear sky, circumsolar light, dirt and age of
// the cover.

namespace mistwright::sky {

/// Global radiation on the level under a cloudless sky; zero when the sun is down.
/// @param zenith_rad  0 to pi
/// @return irradiance [W/m2]
/// Source: Haurwitz 1945, 1098 cos(z) exp(-0.059 / cos(z)) in W/m2.
[[nodiscard]] double clear_sky_global_W_per_m2(double zenith_rad);

/// Share of the clear-sky global radiation that is left under cloud.
/// @param cloud_fraction  0 to 1
/// Source: Kasten and Czeplak 1980, 1 - 0.75 N^3.4 (from memory).
[[nodiscard]] double cloud_transmission_fraction(double cloud_fraction);

/// Diffuse share of the global radiation, from the clearness index (global over extraterrestrial,
/// both on the level, 0 and above). Source: Erbs, Klein and Duffie 1982 equation 1.
[[nodiscard]] double erbs_diffuse_fraction(double clearness_index);

/// Global radiation parted into diffuse on the level and direct facing the sun.
struct SolarSplit {
  double direct_normal_W_per_m2 = 0.0;
  double diffuse_horizontal_W_per_m2 = 0.0;
};

struct GlobalRadiation {
  double global_horizontal_W_per_m2 = 0.0;
  double zenith_rad = 0.0;
  double extraterrestrial_normal_W_per_m2 = 0.0;
};

/// The parts by Erbs's fraction; all diffuse when the sun is below the horizon. Direct light never
/// exceeds that outside the atmosphere: what would is counted as diffuse.
[[nodiscard]] SolarSplit split_global(const GlobalRadiation& radiation);

/// Photons of 400 to 700 nm in a joule of global radiation [mol]: 0.45 of the energy at 4.57 umol a
/// joule. Source: Thimijan and Heins 1983, HortScience 18:818 (from memory); under cloud the share
/// is some 5 % larger.
inline constexpr double photons_mol_per_J = 0.45 * 4.57e-6;

/// Temperature of a clear sky from the air's alone.
/// @param temperature_K  screen temperature, 260 to 315
/// @return temperature [K]. Source: Swinbank 1963, 0.0552 T^1.5.
[[nodiscard]] double swinbank_sky_temperature_K(double temperature_K);

/// Emissivity of a clear sky from the screen's vapour pressure.
/// Source: Brunt 1932 with 0.52 and 0.065 per square root of a hectopascal.
[[nodiscard]] double brunt_sky_emissivity_fraction(double vapour_pressure_Pa);

struct LongwaveSky {
  double temperature_K = 0.0;
  double vapour_pressure_Pa = 0.0;
  double cloud_fraction = 0.0;
};

/// Temperature of the black body that radiates as the sky does: Brunt's clear sky, closed by cloud
/// as e + 0.84 c (1 - e).
/// @return temperature [K]. Source: Unsworth and Monteith 1975 for the cloud.
[[nodiscard]] double sky_temperature_K(const LongwaveSky& sky);

/// Transmittance of one sheet to direct light, relative to that at normal incidence: 1 at 0, 0 at
/// pi/2. Both surfaces and all inner reflections, no absorption.
/// @param incidence_rad  angle between the light and the sheet's normal, 0 to pi/2
/// @param refractive_index  1.526 for glass, about 1.5 for polyethylene
/// Source: Fresnel's equations as in Duffie and Beckman, section 5.1.
[[nodiscard]] double cover_incidence_factor(double incidence_rad, double refractive_index = 1.5);

/// The same for light from the whole sky, as one direct beam at 60 degrees.
/// Source: Duffie and Beckman, section 5.4 (an isotropic sky acts as a beam at about 60 degrees).
[[nodiscard]] double cover_diffuse_factor(double refractive_index = 1.5);

}  // namespace mistwright::sky
