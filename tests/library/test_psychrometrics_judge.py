"""Psychrometrics judged by two general libraries: iapws (IAPWS R7-97) and psychrolib (ASHRAE 2017)."""

import json
import subprocess

import iapws.iapws97
import pytest

from program import calc, environment

TEMPERATURES_C = [0, 5, 10, 15, 20, 25, 30, 35, 40, 45, 50, 55, 60]
HUMIDITIES = [0.05, 0.20, 0.40, 0.61, 0.80, 0.95, 1.0]
PRESSURES_PA = [80000, 101325]

# psychrolib's humidity ratio, wet bulb, dew point, vapour pressure, enthalpy and density.
JUDGE = """
const p = require(process.argv[1] + '/psychrolib');
p.SetUnitSystem(p.SI);
const cases = JSON.parse(process.argv[2]);
console.log(JSON.stringify(cases.map(([t, rh, pressure]) => {
  const w = p.GetHumRatioFromRelHum(t, rh, pressure);
  return {
    humidity_ratio: w,
    wet_bulb_c: p.GetTWetBulbFromHumRatio(t, w, pressure),
    dew_point_c: p.GetTDewPointFromRelHum(t, rh),
    vapour_pressure_pa: p.GetVapPresFromRelHum(t, rh),
    enthalpy_j_kg: p.GetMoistAirEnthalpy(t, w),
    density_kg_m3: p.GetMoistAirDensity(t, w, pressure),
    vapour_pressure_deficit_pa: p.GetVaporPressureDeficit(t, w, pressure),
  };
})));
"""


def ours(t, humidity, pressure):
    return calc("air", temperature=f"{t} degC", humidity=f"{100 * humidity:g} %",
                pressure=f"{pressure} Pa")


def psychrolib(cases):
    done = subprocess.run(
        ["node", "-e", JUDGE, environment("MISTWRIGHT_NODE_MODULES"), json.dumps(cases)],
        capture_output=True, text=True, timeout=120)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


@pytest.mark.parametrize("t", TEMPERATURES_C)
def test_saturation_pressure_is_that_of_iapws_within_a_thousandth(t):
    expected = 1e6 * iapws.iapws97._PSat_T(273.15 + t)
    got = ours(t, 0.5, 101325)["saturation_pressure_pa"]
    # The same equation to rounding; at 0 degC ours is already over ice, 0.01 % lower.
    assert got == pytest.approx(expected, rel=1e-6 if t > 0 else 1e-3)


@pytest.mark.parametrize("t", [t for t in TEMPERATURES_C if t > 0])
def test_dew_point_is_that_of_iapws(t):
    above_freezing = [humidity for humidity in HUMIDITIES
                      if humidity * iapws.iapws97._PSat_T(273.15 + t) > 0.000612]
    assert above_freezing
    for humidity in above_freezing:
        pressure = humidity * iapws.iapws97._PSat_T(273.15 + t)
        expected = iapws.iapws97._TSat_P(pressure) - 273.15
        got = ours(t, humidity, 101325)["dew_point_c"]
        assert got == pytest.approx(expected, abs=1e-3), (t, humidity)


def test_moist_air_is_that_of_psychrolib_from_0_to_60_degrees():
    cases = [(t, humidity, pressure) for t in TEMPERATURES_C for humidity in HUMIDITIES
             for pressure in PRESSURES_PA]
    judged = psychrolib(cases)
    assert len(judged) == len(cases) == 182
    for case, expected in zip(cases, judged):
        got = ours(*case)
        for key in ("humidity_ratio", "vapour_pressure_pa", "density_kg_m3"):
            assert got[key] == pytest.approx(expected[key], rel=1e-3), (case, key)
        # Enthalpy counts from 0 degC, where a thousandth of it is nothing: 1 J/kg beside it.
        assert got["enthalpy_j_kg"] == pytest.approx(expected["enthalpy_j_kg"], rel=1e-3, abs=1.0), case
        assert got["wet_bulb_c"] == pytest.approx(expected["wet_bulb_c"], abs=0.05), case
        assert got["dew_point_c"] == pytest.approx(expected["dew_point_c"], abs=0.05), case
        # A difference of two pressures, each good to a thousandth of the saturation pressure.
        assert got["vapour_pressure_deficit_pa"] == pytest.approx(
            expected["vapour_pressure_deficit_pa"],
            abs=1e-3 * got["saturation_pressure_pa"]), case


def test_the_hard_wet_bulb_of_7_degrees_is_found():
    assert ours(7, 0.61, 100000)["wet_bulb_c"] == pytest.approx(3.92667, rel=1e-3)
