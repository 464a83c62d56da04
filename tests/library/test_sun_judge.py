"""The sun judged by a general library, fluids, and by the published example of the algorithm."""

import datetime
import math

import fluids.atmosphere
import pytest

from program import calc

PLACES = [(43.0, -79.0, 180.0), (-35.0, 0.0, 0.0), (39.742476, -105.1786, 1830.0),
          (0.5, 100.0, 50.0), (68.0, 20.0, 300.0)]
MOMENTS = [datetime.datetime(2003, 10, 17, 19, 30, 30), datetime.datetime(2010, 1, 3, 7, 15, 0),
           datetime.datetime(2019, 6, 21, 16, 45, 10), datetime.datetime(2025, 6, 1, 21, 5, 0),
           datetime.datetime(2025, 9, 22, 12, 0, 0), datetime.datetime(2030, 12, 21, 3, 33, 33)]
ASTRONOMICAL_UNIT_M = 149597870700.0


def ours(moment, place):
    latitude, longitude, altitude = place
    return calc("sun", latitude=f"{latitude} deg", longitude=f"{longitude} deg",
                altitude=f"{altitude} m", time=moment.isoformat() + "Z")


def standard_pressure_pa(altitude):
    return 101325.0 * (1.0 - 2.25577e-5 * altitude) ** 5.2559


def test_the_published_example_is_met_within_a_hundredth_of_a_degree():
    # Reda and Andreas 2004; its 820 hPa and 11 degC move the refraction by 0.0002 degrees from ours.
    sun = calc("sun", latitude="39.742476 deg", longitude="-105.1786 deg", altitude="1830.14 m",
               time="2003-10-17T12:30:30-07:00")
    assert sun["zenith_deg"] == pytest.approx(50.11162, abs=0.01)
    assert sun["azimuth_deg"] == pytest.approx(194.34024, abs=0.01)


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("moment", MOMENTS)
def test_the_sun_stands_where_fluids_has_it(moment, place):
    latitude, longitude, altitude = place
    zenith, _, _, _, azimuth, _ = fluids.atmosphere.solar_position(
        moment, latitude, longitude, Z=altitude, T=288.15, P=standard_pressure_pa(altitude))
    sun = ours(moment, place)
    # The algorithm's own uncertainty is 0.0003 degrees; the azimuth widens as the sun nears the zenith.
    assert sun["zenith_deg"] == pytest.approx(zenith, abs=3e-4)
    turn = (sun["azimuth_deg"] - azimuth + 180.0) % 360.0 - 180.0
    assert abs(turn) * math.sin(math.radians(zenith)) < 3e-4


@pytest.mark.parametrize("moment", MOMENTS)
def test_light_outside_and_under_a_clear_sky_follows_from_the_sun(moment):
    place = PLACES[0]
    sun = ours(moment, place)
    distance = fluids.atmosphere.earthsun_distance(moment) / ASTRONOMICAL_UNIT_M
    # Kopp and Lean 2011.
    assert sun["extraterrestrial_w_m2"] == pytest.approx(1361.0 / distance**2, rel=1e-5)
    # Haurwitz 1945.
    cosine = math.cos(math.radians(sun["zenith_deg"]))
    clear = 1098.0 * cosine * math.exp(-0.059 / cosine) if cosine > 0 else 0.0
    assert sun["clear_sky_w_m2"] == pytest.approx(clear, rel=1e-6, abs=1e-6)
