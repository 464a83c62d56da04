"""The command line as its users meet it: help, answers, mistakes, exit statuses."""
import json
import math
import os
import re
import shlex
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
PROGRAM = Path(os.environ.get("MISTWRIGHT_BIN", ROOT / "build" / "dev" / "mistwright"))
CALCS = ("air", "droplet", "film", "pipe", "sun")


def call(*words, cwd=ROOT, env=None, timeout=60):
    """Runs the program; the result has status, stdout, stderr."""
    surroundings = {**os.environ, "TERM": "xterm", "MISTWRIGHT_STORE": "", **(env or {})}
    return subprocess.run([str(PROGRAM), *words], cwd=cwd, env=surroundings, capture_output=True,
                          text=True, timeout=timeout, check=False)


def calc(*words):
    answer = call("calc", *words, "--json")
    assert answer.returncode == 0, answer.stderr + answer.stdout
    return json.loads(answer.stdout)


def commands():
    """The commands that the overview lists, so that a new one cannot stay untested."""
    listed = call("help").stdout.split("Commands", 1)[1].split("\n\n", 1)[0]
    return re.findall(r"^  ([a-z]+) ", listed, re.M)


def examples(text):
    return re.findall(r"^  (mistwright .*)$", text, re.M)


# ---- help ------------------------------------------------------------------------------------

def test_no_arguments_give_five_lines_and_three_examples():
    answer = call()
    assert answer.returncode == 0 and answer.stderr == ""
    words, shown = answer.stdout.rstrip("\n").split("\n\n")
    assert len(words.splitlines()) == 5
    assert len(examples(shown)) == len(shown.splitlines()) == 3


def test_the_commands_are_all_there():
    assert commands() == ["check", "run", "shade", "cans", "move", "split", "report", "heads", "calc"]


@pytest.mark.parametrize("words", [("help",), ("-h",), ("--help",)])
def test_help_fits_a_screen(words):
    answer = call(*words)
    assert answer.returncode == 0 and answer.stderr == ""
    lines = answer.stdout.splitlines()
    assert len(lines) <= 24 and max(map(len, lines)) <= 80
    assert lines[0] == "Examples:"


@pytest.mark.parametrize("command", ["check", "run", "shade", "cans", "move", "split", "report", "heads", "calc",
                                     *(f"calc {name}" for name in CALCS)])
def test_help_of_a_command_opens_with_two_examples_of_it(command):
    words = command.split()
    spellings = [call(*words, "--help"), call(*words, "-h"), call("help", *words), call(*words, "help")]
    assert all(answer.returncode == 0 for answer in spellings)
    assert len({answer.stdout for answer in spellings}) == 1
    text = spellings[0].stdout
    shown = examples(text)
    assert text.splitlines()[0] == "Examples:" and len(shown) == 2
    assert all(example.startswith(f"mistwright {command}") for example in shown)


def test_help_examples_run_in_the_order_of_a_first_day(tmp_path):
    for name in ("scenarios",):
        (tmp_path / name).symlink_to(ROOT / name)
    order = ["heads", "check", "run", "shade", "cans", "move", "split", "report", "calc", *(f"calc {name}" for name in CALCS)]
    # Twenty whole days would take as long as all other tests: a short afternoon is as good.
    shorter = ["--set", "span.length=2 h", "--set", "numerics.parcels_per_class=50",
               "--set", "numerics.flow_cell=0.3 m"]
    seen = []
    for command in order:
        for example in examples(call(*command.split(), "--help").stdout):
            words = shlex.split(example)[1:]
            answer = call(*words, *(shorter if command in ("shade", "cans", "move") else []), cwd=tmp_path, timeout=600)
            assert answer.returncode == 0, f"{example}\n{answer.stderr}"
            assert answer.stdout.strip(), example
            seen.append(example)
    assert len(seen) == 2 * len(order)
    assert set(examples(call().stdout)) | set(examples(call("help").stdout)) <= set(seen)


def test_version_is_one_line():
    answer = call("--version")
    assert answer.returncode == 0 and re.fullmatch(r"mistwright \d+\.\d+\.\d+\n", answer.stdout)


# ---- calc ------------------------------------------------------------------------------------

KEYS = {
    "air": ["vapour_pressure_pa", "saturation_pressure_pa", "vapour_pressure_deficit_pa", "dew_point_c",
            "wet_bulb_c", "humidity_ratio", "enthalpy_j_kg", "density_kg_m3"],
    "droplet": ["terminal_velocity_m_s", "lifetime_s", "fall_time_s", "drift_m", "landing_diameter_um",
                "evaporated_fraction"],
    "film": ["evaporation_kg_m2_s", "time_to_half_bare_s", "time_to_dry_s", "leaf_temperature_c",
             "boundary_conductance_m_s"],
    "pipe": ["velocity_m_s", "reynolds", "friction_factor", "pressure_drop_pa", "hazen_williams_drop_pa"],
    "sun": ["zenith_deg", "azimuth_deg", "extraterrestrial_w_m2", "clear_sky_w_m2"],
}
ASK = {
    "air": ["--temperature", "25 degC", "--humidity", "60 %"],
    "droplet": ["--diameter", "150 um", "--temperature", "25 degC", "--humidity", "60 %",
                "--height", "1 m", "--wind", "0.3 m/s"],
    "film": ["--depth", "0.05 mm", "--temperature", "35 degC", "--humidity", "25 %", "--air-speed",
             "0.5 m/s", "--net-radiation", "300 W/m2", "--leaf-length", "5 cm"],
    "pipe": ["--length", "25 m", "--diameter", "16 mm", "--flow", "6 L/min"],
    "sun": ["--latitude", "43 deg", "--longitude", "-72 deg", "--time", "2026-05-28T13:00-04:00"],
}


@pytest.mark.parametrize("name", CALCS)
def test_calc_prints_one_flat_object_with_exactly_its_keys(name):
    answer = calc(name, *ASK[name])
    assert list(answer) == KEYS[name]
    assert all(isinstance(value, (int, float)) for value in answer.values())


@pytest.mark.parametrize("name", CALCS)
def test_calc_speaks_in_aligned_words_without_json(name):
    answer = call("calc", name, *ASK[name])
    lines = answer.stdout.splitlines()
    assert len(lines) == len(KEYS[name])
    starts = {len(re.match(r"(.*?  +)\S", line).group(1)) for line in lines}
    assert len(starts) == 1
    assert not any(key in answer.stdout for key in KEYS[name])


def test_calc_sun_agrees_with_the_worked_example_of_reda_and_andreas():
    # NREL/TP-560-34302, table A5.1: zenith 50.11162, azimuth 194.34024 degrees. Its pressure (820 mbar)
    # and temperature (11 degC) move the refraction by less than the 0.01 degree asked for.
    answer = calc("sun", "--latitude", "39.742476 deg", "--longitude", "-105.1786 deg", "--altitude",
                  "1830.14 m", "--time", "2003-10-17T12:30:30-07:00")
    assert abs(answer["zenith_deg"] - 50.11162) < 0.01
    assert abs(answer["azimuth_deg"] - 194.34024) < 0.01


def test_calc_air_agrees_with_the_steam_table():
    # IAPWS R7-97 table 35: 3.53658941 kPa at 300 K.
    answer = calc("air", "--temperature", "300 K", "--humidity", "100 %")
    assert abs(answer["saturation_pressure_pa"] / 3536.58941 - 1) < 2e-9
    assert answer["dew_point_c"] == pytest.approx(26.85, abs=1e-6)
    assert answer["wet_bulb_c"] == pytest.approx(26.85, abs=1e-6)
    assert answer["vapour_pressure_deficit_pa"] == 0


@pytest.mark.parametrize("name, one, other", [
    ("air", ["--temperature", "25 degC", "--humidity", "60 %"],
     ["--temperature", "77 degF", "--humidity", "0.6", "--pressure", "1013.25 hPa"]),
    ("droplet", ["--diameter", "50.8 um", "--temperature", "298.15 K", "--humidity", "60 %", "--height",
                 "3.048 m", "--wind", "0.3048 m/s"],
     ["--diameter", "0.002 in", "--temperature", "77 degF", "--humidity", "60 %", "--height", "10 ft",
      "--wind", "60 ft/min"]),
    ("pipe", ["--length", "30.48 m", "--diameter", "25.4 mm", "--flow", "3.785411784 L/min"],
     ["--length", "100 ft", "--diameter", "1 in", "--flow", "1 gal/min"]),
    ("sun", ["--latitude", "43 deg", "--longitude", "-72 deg", "--time", "2026-05-28T17:00Z"],
     ["--latitude", "43 degree", "--longitude", "288 deg", "--time", "2026-05-28T19:30:00+02:30"]),
])
def test_calc_gives_the_same_in_other_units(name, one, other):
    first, second = calc(name, *one), calc(name, *other)
    for key in first:
        assert first[key] == pytest.approx(second[key], rel=1e-9, abs=1e-9), key


def test_a_drop_in_saturated_air_has_no_end():
    answer = calc("droplet", "--diameter", "50 um", "--temperature", "20 degC", "--humidity", "100 %")
    assert answer["lifetime_s"] is None and answer["fall_time_s"] is None
    assert answer["evaporated_fraction"] == 0


def test_a_film_under_dew_never_dries():
    answer = calc("film", "--depth", "0.05 mm", "--temperature", "20 degC", "--humidity", "100 %",
                  "--air-speed", "0.2 m/s", "--net-radiation=-60 W/m2", "--leaf-length", "5 cm")
    assert answer["evaporation_kg_m2_s"] < 0 and answer["time_to_dry_s"] is None


def test_a_negative_value_needs_no_trick():
    assert calc("air", "--temperature", "-5 degC", "--humidity", "60 %")["dew_point_c"] < -5


# ---- mistakes in the command line: status 2 ----------------------------------------------------

@pytest.mark.parametrize("words, message, help_line", [
    (["chekc"], "unknown command `chekc`", "the nearest is `mistwright check`"),
    (["reprot", "demo.h5"], "unknown command `reprot`", "the nearest is `mistwright report`"),
    (["calc", "sum"], "unknown command `calc sum`", "the nearest is `mistwright calc sun`"),
    (["help", "rum"], "unknown command `rum`", "the nearest is `mistwright run`"),
    (["calc"], "`calc` needs to know what to calculate", "one of: air, droplet, film, pipe, sun"),
    (["calc", "air", "--temperature", "25 degC", "--humidty", "60 %"], "unknown option `--humidty`",
     "the nearest is `--humidity`"),
    (["calc", "air", "--temperature", "25 degC"], "`--humidity` is missing",
     "see `mistwright calc air --help`"),
    (["calc", "air", "extra", "--temperature", "25 degC", "--humidity", "60 %"],
     "`extra` is one word too many", "see `mistwright calc air --help`"),
    (["run"], "SCENARIO", "see `mistwright run --help`"),
])
def test_a_wrong_command_line_is_answered_with_status_2(words, message, help_line):
    answer = call(*words)
    assert answer.returncode == 2 and answer.stdout == ""
    first, second = answer.stderr.splitlines()[:2]
    assert re.match(r"error\[E\d{4}\]: ", first) and message in first
    assert second == f"help: {help_line}"
    assert answer.stderr.splitlines()[-1].endswith("nothing was run, nothing was written")
    assert json.loads(call(*words, "--json").stdout)["problems"][0]["message"] in first


# ---- values that cannot be: status 3 -----------------------------------------------------------

@pytest.mark.parametrize("words, excerpt", [
    (["air", "--temperature", "20 C", "--humidity", "60 %"],
     "error[E0304]: `C` means coulomb, not Celsius\n --> --temperature:1:4\n  |\n1 | 20 C\n  |    ^\n  |\n"
     "help: write \"20 degC\"\n"),
    (["air", "--temperature", "25 degC", "--humidity", "60"],
     "error[E0308]: `--humidity` of 6000 % is out of range\n --> --humidity:1:1\n"),
    (["air", "--temperature", "25", "--humidity", "60 %"],
     "error[E0301]: `--temperature` needs a unit\n --> --temperature:1:1\n"),
    (["pipe", "--length", "25 m", "--diameter", "16 mm", "--flow", "6 gal"],
     "error[E0305]: `--flow` must be a flow, but `gal` is a volume\n --> --flow:1:3\n"),
    (["air", "--temperature", "3,5 degC", "--humidity", "60 %"],
     "error[E0302]: a decimal comma is not read\n --> --temperature:1:2\n"),
    (["sun", "--latitude", "43 deg", "--longitude", "-72 deg", "--time", "2026-05-28T13:00"],
     "error[E0308]: `--time` is not a moment with its zone\n --> --time:1:1\n"),
    (["sun", "--latitude", "43 deg", "--longitude", "-72 deg", "--time", "2026-02-29T13:00Z"],
     "error[E0308]: `--time` names a moment that does not exist\n --> --time:1:1\n"),
])
def test_a_value_that_cannot_be_is_shown_with_a_caret(words, excerpt):
    answer = call("calc", *words)
    assert answer.returncode == 3 and answer.stdout == ""
    assert excerpt in answer.stderr


def test_all_faults_of_a_call_are_told_at_once():
    answer = call("calc", "pipe", "--length", "25", "--diameter", "16 C", "--flow", "6 gal")
    assert answer.returncode == 3
    assert len(re.findall(r"^error\[", answer.stderr, re.M)) == 3
    assert answer.stderr.splitlines()[-1] == "3 errors, 0 warnings; nothing was run, nothing was written"


def test_control_characters_of_an_argument_do_not_reach_the_terminal():
    answer = call("calc", "air", "--temperature", "25 \x1b[31mdegC", "--humidity", "60 %")
    assert answer.returncode == 3 and "\x1b" not in answer.stderr and "\\x1B" in answer.stderr
    answer = call("\x1b]0;title\x07")
    assert answer.returncode == 2 and "\x1b" not in answer.stderr and "\x07" not in answer.stderr


# ---- colour ------------------------------------------------------------------------------------

def on_a_terminal(words, env):
    """Standard error as a terminal would get it."""
    import pty
    leader, follower = pty.openpty()
    child = subprocess.Popen([str(PROGRAM), *words], stdout=subprocess.DEVNULL, stderr=follower,
                             env={**os.environ, "TERM": "xterm", **env})
    os.close(follower)
    out = b""
    while True:
        try:
            piece = os.read(leader, 4096)
        except OSError:
            break
        if not piece:
            break
        out += piece
    child.wait(timeout=60)
    os.close(leader)
    return out.decode()


def test_colour_is_for_terminals_and_no_color_is_obeyed():
    without = {key: "" for key in ("NO_COLOR",)}
    assert "\x1b[" in on_a_terminal(["chekc"], without)
    assert "\x1b[" not in on_a_terminal(["chekc"], {"NO_COLOR": "1"})
    assert "\x1b[" not in on_a_terminal(["chekc"], {**without, "TERM": "dumb"})
    assert "\x1b[" not in call("chekc", env=without).stderr


def test_numbers_do_not_depend_on_the_language_of_the_machine():
    plain = call("calc", "air", *ASK["air"], "--json", env={"LC_ALL": "C", "TZ": "UTC"}).stdout
    other = call("calc", "air", *ASK["air"], "--json", env={"LC_ALL": "de_DE.UTF-8", "TZ": "Asia/Tokyo"}).stdout
    assert plain == other and math.isfinite(json.loads(plain)["density_kg_m3"])
