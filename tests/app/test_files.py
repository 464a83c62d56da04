"""What the program does with files: nothing half-written, nothing overwritten unasked, bad input told."""
import json
import os
import re
import shutil
import signal
import subprocess
import time
from pathlib import Path

import pytest

from test_cli import PROGRAM, ROOT, call

DEMO = ROOT / "scenarios" / "demo.toml"
# A short run of the demonstration house, coarse enough to take a second or two.
QUICK = ["--alone", "--set", "span.length=1 h", "--set", "numerics.parcels_per_class=100"]


def demo_with(folder, before, after):
    """A copy of the demonstration with one text replaced, beside the files that it names."""
    text = DEMO.read_text(encoding="utf-8")
    assert before in text
    for name in ("heads", "weather"):
        if not (folder / name).exists():
            (folder / name).symlink_to(DEMO.parent / name)
    path = folder / "house.toml"
    path.write_text(text.replace(before, after, 1), encoding="utf-8")
    return path


def names(folder):
    return sorted(entry.name for entry in folder.iterdir() if not entry.is_symlink())


# ---- scenarios that cannot be read ---------------------------------------------------------------

@pytest.mark.parametrize("verb", [["check"], ["run", "-o", "out.h5"], ["heads"]])
def test_a_missing_scenario_is_status_4(verb, tmp_path):
    answer = call(*verb, "nowhere.toml", cwd=tmp_path)
    assert answer.returncode == 4 and answer.stdout == ""
    assert "nowhere.toml" in answer.stderr and names(tmp_path) == []


def test_a_folder_or_a_pipe_is_no_scenario(tmp_path):
    os.mkfifo(tmp_path / "pipe.toml")
    (tmp_path / "folder.toml").mkdir()
    for name in ("pipe.toml", "folder.toml"):
        answer = call("check", name, cwd=tmp_path, timeout=5)
        assert answer.returncode == 4 and "regular file" in answer.stderr


@pytest.mark.parametrize("verb", [["check"], ["run", "-o", "out.h5"]])
def test_a_misspelt_key_is_status_3_and_nothing_is_written(verb, tmp_path):
    house = demo_with(tmp_path, "static_pressure", "static_presure")
    answer = call(*verb, house.name, cwd=tmp_path)
    assert answer.returncode == 3 and answer.stdout == ""
    line = 1 + house.read_text().splitlines().index(
        next(row for row in house.read_text().splitlines() if "static_presure" in row))
    assert f"--> house.toml:{line}:1" in answer.stderr
    assert "unknown key `static_presure`" in answer.stderr and "`static_pressure`" in answer.stderr
    assert answer.stderr.splitlines()[-1].endswith("nothing was run, nothing was written")
    assert names(tmp_path) == ["house.toml"]


def test_all_faults_of_a_file_are_told_at_once(tmp_path):
    house = demo_with(tmp_path, "static_pressure", "static_presure")
    text = house.read_text()
    text = re.sub(r'(?m)^latitude = .*$', 'latitude = "43 psi"', text)
    text = re.sub(r'(?m)^altitude = .*$', "altitude = 180", text)
    house.write_text(text)
    answer = call("check", house.name, "--json", cwd=tmp_path)
    report = json.loads(answer.stdout)
    assert answer.returncode == 3 and report["errors"] == len(report["problems"]) >= 3
    messages = " ".join(problem["message"] for problem in report["problems"])
    assert "static_presure" in messages and "latitude" in messages and "altitude" in messages
    assert all(problem["span"]["line"] > 0 for problem in report["problems"])


def test_a_wrong_setting_is_told_like_a_wrong_file():
    answer = call("check", str(DEMO), "--set", "site.altitude=180")
    assert answer.returncode == 3 and "needs a unit" in answer.stderr
    answer = call("check", str(DEMO), "--set", "site.altitudes=180 m")
    assert answer.returncode == 3 and "`altitude`" in answer.stderr


# ---- check ----------------------------------------------------------------------------------------

def test_check_describes_the_demonstration_house():
    answer = call("check", str(DEMO))
    assert answer.returncode == 0 and answer.stderr == ""
    text = " ".join(answer.stdout.split())
    for word in ("7.2 m", "3.6 m", "2 benches", "6 heads", "60 L/h", "150 um", "1.1 m", "L/min",
                 "bar", "psi", "6 s every 10 min from 07:00 to 19:00", "72 starts a day", "leaves", "MB"):
        assert word in text, word
    assert max(map(len, answer.stdout.splitlines())) <= 100


def test_check_in_json_is_one_object():
    answer = json.loads(call("check", str(DEMO), "--json").stdout)
    assert answer["heads"] == 6 and answer["leaves"] >= 10_000
    assert answer["supply"][0]["starved"] is False


def test_assumed_values_carry_range_and_evidence():
    answer = json.loads(call("check", str(DEMO), "--assumed", "--json").stdout)
    assert len(answer["assumed"]) == answer["assumed_count"] > 5
    tags = {"source", "memory", "common practice", "derived", "our choice"}
    for value in answer["assumed"]:
        assert value["evidence"] in tags and value["meaning"] and value["value"], value
    lines = call("check", str(DEMO), "--assumed").stdout
    assert all(value["key"] in lines for value in answer["assumed"])


# ---- heads ----------------------------------------------------------------------------------------

def test_heads_warn_of_a_circle_out_of_reach_and_mark_it():
    far = ROOT / "tests" / "input" / "49_diameter_out_of_reach.toml"
    answer = call("heads", far.name, cwd=far.parent)
    assert answer.returncode == 0 and "throws 2.64 m of the 9 m stated" in answer.stdout
    assert answer.stderr.startswith("warning[W0516]: ") and f"{far.name}:35:19" in answer.stderr
    quiet = call("heads", far.name, "-q", cwd=far.parent)
    assert quiet.stderr == "" and "throws 2.64 m of the 9 m stated" in quiet.stdout
    told = json.loads(call("heads", far.name, "--json", cwd=far.parent).stdout)["heads"][0]
    assert told["wetted_diameter_m"] == 9 and told["thrown_diameter_m"] == pytest.approx(2.64, abs=0.05)


def test_heads_that_come_with_the_program_reach_their_circles():
    answer = call("heads")
    assert answer.returncode == 0 and answer.stderr == "" and " stated" not in answer.stdout


ODD = ["it's \"odd\" \\ here", "caf\u00e9 {x}", "two\nlines", "tab\t]", "-q", "bytes\udcff"]


@pytest.mark.parametrize("name", ODD, ids=range(len(ODD)))
def test_heads_of_any_file_name_are_listed(name, tmp_path):
    folder = tmp_path / "scenarios" / "heads"
    folder.mkdir(parents=True)
    shutil.copy(DEMO.parent / "heads" / "coarse.toml", folder / f"{name}.toml")
    answer = call("heads", cwd=tmp_path, env={"MISTWRIGHT_SHARE": str(tmp_path)})
    assert answer.returncode == 0 and answer.stderr == "" and "200 L/h" in answer.stdout
    told = json.loads(call("heads", "--json", env={"MISTWRIGHT_SHARE": str(tmp_path)}).stdout)
    assert len(told["heads"]) == 1
    # A fault in it names the file.
    (folder / f"{name}.toml").write_text("schema = 1\n")
    answer = call("heads", cwd=tmp_path, env={"MISTWRIGHT_SHARE": str(tmp_path)})
    assert answer.returncode == 3 and answer.stdout == "" and "needs `flow`" in answer.stderr
    assert re.search(r"^ *--> .*/scenarios/heads/.*\.toml$", answer.stderr, re.M), answer.stderr


@pytest.mark.parametrize("folder", ["it's \"odd\" \\ here", "caf\u00e9 {x}", "two\nlines", "#", "%s"])
def test_head_data_in_a_folder_of_any_name_are_read(folder, tmp_path):
    (tmp_path / folder).mkdir()
    shutil.copy(DEMO.parent / "heads" / "medium_mist.toml", tmp_path / folder / "mist.toml")
    named = json.dumps(f"{folder}/mist.toml", ensure_ascii=False)
    house = demo_with(tmp_path, "[[clock]]", f"[head_type.spare]\nfile = {named}\n\n[[clock]]")
    answer = call("heads", house.name, "--json", cwd=tmp_path)
    assert answer.returncode == 0, answer.stdout
    assert json.loads(answer.stdout)["heads"][1]["name"] == "spare"
    (tmp_path / folder / "mist.toml").unlink()
    answer = call("check", house.name, cwd=tmp_path)
    assert answer.returncode == 3 and "no such file" in answer.stderr, answer.stderr
    assert answer.stderr.count("\nerror[") == 0


# ---- run and report ---------------------------------------------------------------------------------

@pytest.fixture(scope="module")
def quick(tmp_path_factory):
    """Results of a short run, and what it said."""
    folder = tmp_path_factory.mktemp("quick")
    answer = call("run", str(DEMO), "-o", "quick.h5", *QUICK, cwd=folder, timeout=300)
    assert answer.returncode == 0, answer.stderr
    return folder / "quick.h5", answer


def test_a_run_says_its_verdict_and_leaves_one_file(quick):
    path, answer = quick
    assert re.match(r"(YES|YES, BUT|NOT YET)\b", answer.stdout)
    assert path.read_bytes()[:4] == b"\x89HDF" and names(path.parent) == ["quick.h5"]


def test_nobody_at_the_terminal_sees_no_progress(quick):
    assert "\r" not in quick[1].stderr and "left" not in quick[1].stderr


def test_results_are_never_overwritten_unasked(quick):
    path, _ = quick
    before = path.read_bytes()
    answer = call("run", str(DEMO), "-o", str(path), *QUICK, timeout=10)
    assert answer.returncode == 4 and "--overwrite" in answer.stderr
    assert path.read_bytes() == before


def test_a_folder_that_does_not_exist_is_told_before_the_run(tmp_path):
    answer = call("run", str(DEMO), "-o", str(tmp_path / "no" / "out.h5"), timeout=10)
    assert answer.returncode == 4 and names(tmp_path) == []


@pytest.mark.parametrize("verb, flag", [("run", "-o"), ("move", "--map"), ("report", "-o")])
@pytest.mark.parametrize("name, words", [
    ("n" * 256, "the name is too long"),
    ("\u00e9" * 128, "the name is too long"),
    ("/".join(["n" * 200] * 25), "the name is too long"),
    ("file/out", 'there is no folder "file"'),
    ("/proc/out", "no file can be made in this folder"),
])
def test_names_that_cannot_be_written_are_told_before_the_run(verb, flag, name, words, tmp_path):
    (tmp_path / "file").write_text("mine")
    answer = call(verb, str(DEMO), flag, name, cwd=tmp_path, timeout=10)
    assert answer.returncode == 4 and answer.stdout == "" and words in answer.stderr, answer.stderr
    assert names(tmp_path) == ["file"]


@pytest.mark.parametrize("name", ["n" * 252 + ".h5", "n" + "\u00e9" * 125 + ".h5"])
def test_the_longest_names_can_be_written(name, tmp_path):
    answer = call("run", str(DEMO), "-o", name, *QUICK, cwd=tmp_path, timeout=300)
    assert answer.returncode == 0 and names(tmp_path) == [name], answer.stderr


def test_quiet_json_and_words_agree(quick):
    _, words = quick
    answer = call("run", str(DEMO), *QUICK, "--json", timeout=300)
    assert answer.returncode == 0 and answer.stderr == ""
    assert json.loads(answer.stdout)["verdict"].split()[0] == words.stdout.split()[0]
    answer = call("run", str(DEMO), *QUICK, "--quiet", timeout=300)
    assert answer.returncode == 0 and answer.stderr == "" and answer.stdout.split()[0] == words.stdout.split()[0]


def test_a_report_is_one_page_beside_its_results(quick):
    path, _ = quick
    answer = call("report", str(path))
    page = path.with_suffix(".html")
    assert answer.returncode == 0 and page.read_text().lstrip().lower().startswith("<!doctype html")
    assert call("report", str(path)).returncode == 4
    assert call("report", str(path), "--overwrite").returncode == 0
    page.unlink()


@pytest.mark.parametrize("spoil, words", [
    (lambda b: b[: len(b) // 2], "damaged"),
    (lambda b: b[: len(b) // 2] + bytes([b[len(b) // 2] ^ 0x55]) + b[len(b) // 2 + 1:], "damaged"),
    (lambda b: b"a,b\n1,2\n", "HDF5"),
    (lambda b: b"", ""),
])
def test_a_spoilt_result_is_refused_and_left_alone(quick, tmp_path, spoil, words):
    bad = tmp_path / "bad.h5"
    bad.write_bytes(spoil(quick[0].read_bytes()))
    before = bad.read_bytes()
    answer = call("report", "bad.h5", cwd=tmp_path)
    assert answer.returncode == 4 and words in answer.stderr and "bad.h5" in answer.stderr
    assert "HDF5-DIAG" not in answer.stderr and "std::" not in answer.stderr
    assert bad.read_bytes() == before and names(tmp_path) == ["bad.h5"]


@pytest.mark.parametrize("words", [["run", "house.toml", "-o", "house.toml"],
                                   ["run", "house.toml", "-o", "link.toml"],
                                   ["run", "house.toml", "-o", "mist.toml"],
                                   ["move", "house.toml", "--map", "./house.toml"]])
def test_what_is_read_is_never_written_over(words, tmp_path):
    heads = tmp_path / "mist.toml"
    shutil.copy(DEMO.parent / "heads" / "medium_mist.toml", heads)
    house = demo_with(tmp_path, "[[clock]]", '[head_type.spare]\nfile = "mist.toml"\n\n[[clock]]')
    (tmp_path / "link.toml").symlink_to("house.toml")
    before = house.read_bytes(), heads.read_bytes()
    answer = call(*words, "--overwrite", cwd=tmp_path)
    assert answer.returncode == 4 and answer.stdout == ""
    assert "this is a file that is read: it would be lost" in answer.stderr
    assert (house.read_bytes(), heads.read_bytes()) == before


def test_results_are_never_written_over_by_their_page(quick, tmp_path):
    results = tmp_path / "results.html"
    shutil.copy(quick[0], results)
    bytes_before = results.read_bytes()
    answer = call("report", "results.html", "--overwrite", cwd=tmp_path)
    assert answer.returncode == 4 and "it would be lost" in answer.stderr
    assert results.read_bytes() == bytes_before


def test_a_full_disk_leaves_no_file(tmp_path):
    # A limit on the size of files stands for a full disk.
    script = f"ulimit -f 8; exec '{PROGRAM}' " \
             f"run '{DEMO}' -o out.h5 {' '.join(repr(word) for word in QUICK)}"
    answer = subprocess.run(["bash", "-c", script], cwd=tmp_path, capture_output=True, text=True,
                            timeout=300, check=False)
    assert answer.returncode == 4 and "out.h5" in answer.stderr and names(tmp_path) == []


@pytest.mark.parametrize("number, status", [(signal.SIGINT, 130), (signal.SIGTERM, 143)])
@pytest.mark.parametrize("delay", [0.3, 1.5, 4.0])
def test_an_interrupt_stops_within_a_second_and_writes_nothing(number, status, delay, tmp_path):
    child = subprocess.Popen([str(PROGRAM), "run", str(DEMO), "-o", "out.h5"], cwd=tmp_path,
                             stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)
    time.sleep(delay)
    child.send_signal(number)
    started = time.monotonic()
    said, talk = child.communicate(timeout=20)
    assert time.monotonic() - started < 1.0
    assert child.returncode == status and said == "" and "no results were written" in talk
    assert names(tmp_path) == []


def test_a_full_standard_output_is_status_4():
    with open("/dev/full", "w", encoding="utf-8") as full:
        answer = subprocess.run([str(PROGRAM), "heads"], cwd=ROOT, stdout=full, stderr=subprocess.PIPE,
                                text=True, timeout=60, check=False)
    assert answer.returncode == 4 and "standard output" in answer.stderr


# ---- zones that the supply cannot feed together ---------------------------------------------------

TWO_VALVES = """[[pipe]]
name = "east feed"
from = "tee"
to = "east line"
length = "0.5 m"
diameter = "20 mm"

[[pipe]]
name = "west feed"
from = "tee"
to = "west line"
length = "2 m"
diameter = "20 mm"

[[valve]]
name = "east zone"
pipe = "east feed"

[[valve]]
name = "west zone"
pipe = "west feed"

[[node]]
name = "east line"
elevation = "0.8 m"
x = "1.4 m"
y = "0.9 m"

[[node]]
name = "west line"
elevation = "0.8 m"
x = "1.4 m"
y = "2.7 m"
"""


def two_zones(folder, flow):
    """The demonstration with a valve for each bench, both told to spray at the same moments."""
    house = demo_with(folder, '[[valve]]\nname = "benches"\npipe = "feed"\n', TWO_VALVES)
    text = house.read_text(encoding="utf-8")
    for before, after in (('resolution = "1 s"', 'resolution = "1 s"\noutputs = 2'),
                          ('flow = "60 L/h"', f'flow = "{flow}"'),
                          ('at = "tee"\ndiameter', 'at = "east line"\ndiameter'),
                          ('at = "tee"\ndiameter', 'at = "west line"\ndiameter')):
        assert before in text
        text = text.replace(before, after, 1)
    start, end = text.index("[[programme]]"), text.index("[[fan]]")
    programme = text[start:end]
    both = "".join(programme.replace('"benches"', f'"{zone} zone"') for zone in ("east", "west"))
    house.write_text(text[:start] + both + text[end:], encoding="utf-8")
    return house


def test_zones_that_can_only_be_fed_one_at_a_time_are_refused(tmp_path):
    house = two_zones(tmp_path, "150 L/h")
    for verb in (["check"], ["run", "-o", "out.h5"]):
        answer = call(*verb, house.name, cwd=tmp_path)
        assert answer.returncode == 3
        first = answer.stderr.splitlines()[0]
        assert first == ("error[E0910]: at 07:00 zones `east zone` and `west zone` need 15 L/min; "
                         "the supply gives 12 L/min at 199 kPa")
        assert "start them at different moments" in answer.stderr
    assert names(tmp_path) == ["house.toml"]
    assert call("check", house.name, "--allow-starved", cwd=tmp_path).returncode == 0


def test_zones_that_the_supply_can_feed_together_run_together(tmp_path):
    house = two_zones(tmp_path, "60 L/h")
    answer = call("run", house.name, "--alone", "--json", "--set", "span.length=8 h",
                  "--set", "numerics.parcels_per_class=100", cwd=tmp_path, timeout=120)
    assert answer.returncode == 0, answer.stderr
    told = json.loads(answer.stdout)
    # Six heads of 1 L/min or a little more, six bursts of some 7 s each from 07:00 to 08:00.
    assert told["worst_audit_relative"] <= 1e-9 and 4.0 < told["water_kg"] < 5.5
