"""Drops judged by fluids, a general library of fluid mechanics: drag, terminal speed, and what follows from them.

fluids 1.0.22 solves the force balance of a sphere with drag laws of its own (here Clift, Grace and Weber 1978 and
Brown and Lawler 2003) and gives the properties of air by its own correlations.
"""

import math

import fluids.atmosphere
import fluids.drag
import pytest

from program import calc

WATER_KG_M3 = 998.2
GRAVITY_M_S2 = 9.80665


def ours(diameter_um, temperature_c=20, humidity=50, height_m=None, wind_m_s=0, pressure_pa=101325):
    options = {"diameter": f"{diameter_um} um", "temperature": f"{temperature_c} degC",
               "humidity": f"{humidity} %", "wind": f"{wind_m_s} m/s",
               "pressure": f"{pressure_pa} Pa"}
    if height_m is not None:
        options["height"] = f"{height_m} m"
    return calc("droplet", **options)


def air(temperature_c, humidity, pressure_pa):
    """Density of moist air as perfect gases, viscosity by the standard atmosphere."""
    saturation_pa = 610.94 * math.exp(17.625 * temperature_c / (temperature_c + 243.04))  # Magnus
    vapour_pa = humidity / 100 * saturation_pa
    kelvin = temperature_c + 273.15
    density = (pressure_pa - vapour_pa) / (287.05 * kelvin) + vapour_pa / (461.5 * kelvin)
    return density, fluids.atmosphere.ATMOSPHERE_1976.viscosity(kelvin)


def sphere_speed(diameter_m, density, viscosity, method):
    if diameter_m < 20e-6:  # the library's solver gives up; Stokes's law is within 1 %
        return (WATER_KG_M3 - density) * GRAVITY_M_S2 * diameter_m**2 / (18 * viscosity)
    return fluids.drag.v_terminal(D=diameter_m, rhop=WATER_KG_M3, rho=density, mu=viscosity, Method=method)


@pytest.mark.parametrize("diameter_um", [30, 50, 80, 100, 150, 200, 300, 500, 700, 1000])
@pytest.mark.parametrize("temperature_c, humidity, pressure_pa",
                         [(20, 50, 101325), (35, 20, 101325), (5, 90, 101325), (25, 60, 80000)])
def test_terminal_speed_is_that_of_a_sphere_by_clift(diameter_um, temperature_c, humidity, pressure_pa):
    density, viscosity = air(temperature_c, humidity, pressure_pa)
    expected = sphere_speed(diameter_um * 1e-6, density, viscosity, "Clift")
    # Slip, which the library leaves out: twice the free path over the diameter times 1.257.
    expected *= 1 + 2 * 0.066e-6 * 101325 / pressure_pa * 1.257 / (diameter_um * 1e-6)
    got = ours(diameter_um, temperature_c, humidity, pressure_pa=pressure_pa)
    # Magnus against IAPWS and the free path's own temperature: below 0.2 %.
    assert got["terminal_velocity_m_s"] == pytest.approx(expected, rel=3e-3)


@pytest.mark.parametrize("diameter_um", [50, 100, 200, 400, 800, 1200])
def test_terminal_speed_lies_near_that_of_other_drag_laws(diameter_um):
    density, viscosity = air(20, 50, 101325)
    got = ours(diameter_um)["terminal_velocity_m_s"]
    for method in ("Khan_Richardson", "Haider_Levenspiel", "Barati"):
        expected = sphere_speed(diameter_um * 1e-6, density, viscosity, method)
        # The laws differ from one another by up to 5 % in drag.
        assert got == pytest.approx(expected, rel=0.05), method


def test_a_drop_of_ten_micrometres_falls_by_stokes_and_cunningham():
    density, viscosity = air(20, 50, 101325)
    diameter = 10e-6
    stokes = (WATER_KG_M3 - density) * GRAVITY_M_S2 * diameter**2 / (18 * viscosity)
    assert ours(10)["terminal_velocity_m_s"] == pytest.approx(stokes * 1.0166, rel=1e-2)


@pytest.mark.parametrize("diameter_um, height_m, wind_m_s", [(150, 0.6, 0.3), (100, 1.0, 1.0), (300, 2.0, 0.1)])
def test_a_fall_in_saturated_air_is_height_over_speed_and_drift_wind_times_time(diameter_um, height_m, wind_m_s):
    density, viscosity = air(20, 100, 101325)
    speed = sphere_speed(diameter_um * 1e-6, density, viscosity, "Clift")
    got = ours(diameter_um, humidity=100, height_m=height_m, wind_m_s=wind_m_s)
    assert got["fall_time_s"] == pytest.approx(height_m / speed, rel=3e-3)
    assert got["drift_m"] == pytest.approx(wind_m_s * height_m / speed, rel=3e-3)
    assert got["landing_diameter_um"] == pytest.approx(diameter_um, rel=1e-9)
    assert got["evaporated_fraction"] == 0


@pytest.mark.parametrize("diameter_um, height_m", [(50, 0.1), (100, 0.6), (150, 1.5), (200, 2.0), (60, 5.0)])
def test_a_drying_fall_is_that_of_small_steps_with_the_librarys_speed(diameter_um, height_m):
    """Explicit steps of 1 ms: the library's terminal speed, our still-air life, Ranz and Marshall 1952."""
    temperature_c, humidity = 25, 60
    density, viscosity = air(temperature_c, humidity, 101325)
    got = ours(diameter_um, temperature_c, humidity, height_m=height_m, wind_m_s=0.2)
    squared = (diameter_um * 1e-6) ** 2
    K = squared / got["lifetime_s"]
    schmidt = viscosity / density / (0.2178e-4 * ((temperature_c + 273.15) / 273.15) ** 1.81)
    depth = age = 0.0
    step = 1e-3
    last = (diameter_um * 1e-6) ** 2 * 1e-4
    while squared > last and depth < height_m:
        diameter = math.sqrt(squared)
        speed = sphere_speed(diameter, density, viscosity, "Clift")
        reynolds = speed * diameter * density / viscosity
        squared -= K * (1 + 0.3 * math.sqrt(reynolds) * schmidt ** (1 / 3)) * step
        depth += speed * step
        age += step
    left = math.sqrt(max(squared, 0)) if squared > last else 0.0
    assert got["fall_time_s"] == pytest.approx(age, rel=1e-2)
    assert got["drift_m"] == pytest.approx(0.2 * age, rel=1e-2)
    assert got["landing_diameter_um"] == pytest.approx(left * 1e6, rel=1e-2)
    assert got["evaporated_fraction"] == pytest.approx(1 - (left * 1e6 / diameter_um) ** 3, abs=1e-2)
