"""Rules of the source that no compiler checks. Each test names what broke the rule and where."""
import re
import subprocess
from collections import defaultdict
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]


def _tracked():
    listed = subprocess.run(["git", "-C", str(ROOT), "ls-files", "-co", "--exclude-standard"],
                            capture_output=True, text=True, check=False)
    if listed.returncode == 0 and listed.stdout:
        return [ROOT / line for line in listed.stdout.splitlines() if (ROOT / line).is_file()]
    return [p for p in ROOT.rglob("*") if p.is_file() and not {"build", ".git"} & set(p.parts)]


FILES = sorted(_tracked())
NAMES = {path: path.relative_to(ROOT).as_posix() for path in FILES}
CODE = [p for p in FILES if p.suffix in (".h", ".cpp")]
VENDORED = re.compile(r"\.min\.(js|css)$|LICENSE")


def text(path):
    return path.read_text(encoding="utf-8", errors="replace")


def without_comments(source):
    """The code with comments and the inside of strings blanked; line numbers stay."""
    pattern = re.compile(r'//[^\n]*|/\*.*?\*/|"(?:\\.|[^"\\\n])*"|\'(?:\\.|[^\'\\\n])\'', re.S)

    def blank(match):
        found = match.group(0)
        if found[0] in "\"'":
            return found[0] + " " * (len(found) - 2) + found[0]
        return re.sub(r"[^\n]", " ", found)

    return pattern.sub(blank, source)


def hits(pattern, paths, code_only=False):
    found = []
    for path in paths:
        source = without_comments(text(path)) if code_only else text(path)
        for number, line in enumerate(source.splitlines(), 1):
            if re.search(pattern, line):
                found.append(f"{NAMES[path]}:{number}: {line.strip()[:100]}")
    return found


def under(*folders):
    return [p for p in CODE if NAMES[p].startswith(folders)]


def outside(pattern):
    return [p for p in CODE if not re.search(pattern, NAMES[p])]


# ---- who may know whom ----------------------------------------------------------------------

def test_models_know_nothing_of_the_machine():
    assert not hits(r'#include "sim/', under("models/"))


def test_models_open_no_file_and_print_nothing():
    assert not hits(r"#include <(fstream|iostream|filesystem|cstdio)>|std::(cout|cerr)|printf|fmt::print",
                    under("models/"))


@pytest.mark.parametrize("library, include, where", [
    ("HDF5", r"#include [<\"](hdf5|H5)\w*", r"^sim/record/"),
    ("TOML", r"#include [<\"]toml", r"^sim/scenario/.*\.cpp$"),
    ("Boost.Graph", r"#include <boost/graph/", r"^models/(flow|water)/.*\.cpp$"),
    ("command-line parser", r"#include <CLI/", r"^sim/app/main\.cpp$"),
    ("TBB", r"#include <(o?tbb)/", r"^models/parallel\.h$"),
    ("Catch2", r"#include <catch2", r"^tests/support/catch\.h$"),
])
def test_a_library_stays_in_its_room(library, include, where):
    assert not hits(include, outside(where)), library
    assert hits(include, CODE), f"{library} is used nowhere: is its pattern still right?"


def test_boost_graph_serves_in_one_file_of_each_network():
    users = {line.split(":")[0] for line in hits(r"#include <boost/graph/", CODE)}
    assert users == {"models/flow/envelope_network.cpp", "models/water/network_graph.cpp"}


def test_heavy_headers_stay_out_of_headers():
    headers = [p for p in CODE if p.suffix == ".h" and not re.search(
        r"^(sim/record/hdf5|tests/|models/parallel\.h)", NAMES[p])]
    assert not hits(r"#include <(Eigen|boost|toml|CLI|hdf5|H5|pybind11)", headers)


def room_of(name):
    parts = name.split("/")
    return "/".join(parts[:2]) if len(parts) > 2 else None


def test_rooms_form_no_ring():
    needs = defaultdict(set)
    for path in under("models/", "sim/"):
        here = room_of(NAMES[path])
        for wanted in re.findall(r'#include "((?:models|sim)/[^"]+)"', text(path)):
            there = room_of(wanted)
            # The description of a house, the ranks and the clock are words that all rooms share.
            shared = wanted in ("sim/house/house.h", "sim/engine/time.h")
            if here and there and here != there and not shared:
                needs[here].add(there)
    left = dict(needs)
    while left:
        free = [room for room in left if not (left[room] & left.keys())]
        assert free, f"these rooms know one another in a ring: {left}"
        for room in free:
            del left[room]


def test_the_data_path_runs_one_way():
    later = {"sim/engine": "house|scenario|record|report|study|app",
             "sim/scenario": "record|report|study|app",
             "sim/house": "scenario|report|study|app",
             "sim/record": "scenario|report|study|app",
             "sim/report": "scenario|app",
             "sim/study": "app"}
    for room, forbidden in later.items():
        paths = [p for p in under(room + "/")]
        found = [line for line in hits(rf'#include "sim/({forbidden})/', paths)
                 if "sim/house/house.h" not in line]
        assert not found, room


# ---- no physics in the command line ------------------------------------------------------------

# Counts, shares and steps between units of one dimension; anything else is a model's business.
PLAIN_NUMBERS = {"0.0", "1.0", "0.5", "0.02", "100.0", "1000.0", "1024.0", "1e3", "1e-3", "1e6",
                 "1e-6", "60.0", "3600.0", "20e6"}


def test_no_physics_in_the_command_line():
    app = under("sim/app/")
    mathematics = r"std::(exp|expm1|pow|log|log10|sqrt|cbrt|sin|cos|tan|atan2?|asin|acos|tanh|hypot)\b"
    assert not hits(mathematics, app, code_only=True)
    strange = []
    for path in app:
        for number, line in enumerate(without_comments(text(path)).splitlines(), 1):
            for literal in re.findall(r"(?<![\w.])\d+\.\d*(?:e[+-]?\d+)?|(?<![\w.])\d+e[+-]?\d+", line):
                if literal not in PLAIN_NUMBERS:
                    strange.append(f"{NAMES[path]}:{number}: {literal}")
    assert not strange


# ---- names carry units --------------------------------------------------------------------------

UNIT = r"(?:m|m2|m3|m5|m6|mm|um|AU|s|s2|s3|us|h|d|kg|mol|K|K2|K4|degC|Pa|kPa|sqrtPa|N|J|MJ|W|rad|deg|V|A|VA|ohm|px)"
UNIT_END = re.compile(rf"(?:^|_){UNIT}(?:_{UNIT})*(?:_per_{UNIT}(?:_{UNIT})*)?$|_per_{UNIT}(?:_{UNIT})*$")
PURE_END = re.compile(r"(?:^|_)(fraction|ratio|number|index|factor|exponent|efficiency|coefficient)$")
# Files and names in which a number's unit is not fixed, with the reason.
UNIT_EXEMPT = {
    "models/units.h",             # the very name is the unit
    "models/random.h",            # draws
    "models/air/linear.h",        # linear algebra over whatever it is given
    "models/flow/multigrid.h",    # linear algebra over whatever it is given
    "models/flow/quick.h",        # differences of whatever is carried
    "models/sky/sun_terms.h",     # the terms of a published table
    "sim/engine/time.h",          # the very name is the unit
    "sim/engine/event.h", "sim/engine/part.h", "sim/engine/ledger.h",  # said by the event or the line
    "sim/scenario/document.h", "sim/scenario/quantity.h",               # numbers before their unit is known
    "sim/app/values.h",           # said by the option
}
# Names whose unit is that of what they are asked with (axes of a plot, a state, a line of the ledger, a threshold
# in a table), lengths of a process in seconds, and steps within a grid.
UNIT_EXEMPT_NAMES = {"value", "values", "combination", "energy_term", "drying_term",
                     "low", "high", "tick", "step", "otherwise", "yes", "no", "at", "share", "trilinear",
                     "number_of", "mean_state", "line", "first", "second", "film_after", "x", "y",
                     "wall_seconds"}


def declarations(source):
    """Header text without function bodies, so that only what others see is left."""
    out, depth_skip, stack = [], 0, []
    statement = ""
    for char in without_comments(source):
        if char == "{":
            opens_scope = re.search(r"\b(struct|class|namespace|enum|union|extern)\b[^;(]*$", statement)
            body = not opens_scope and re.search(r"\)\s*(const|noexcept|override|->[^;]*|\s)*$", statement)
            stack.append("body" if body else "open")
            depth_skip += bool(body)
            statement = ""
        elif char == "}":
            if stack and stack.pop() == "body":
                depth_skip -= 1
                out.append(";")
            statement = ""
        elif depth_skip == 0:
            statement = "" if char == ";" else statement + char
        if depth_skip == 0:
            out.append(char)
    return "".join(out)


def unnamed_units(source):
    pattern = re.compile(r"\b(?:double|optional<double>)\s*[&*]?\s+([A-Za-z_]\w*(?:\s*=[^,;(){}]*,\s*\w+)*)")
    bad = []
    for match in pattern.finditer(declarations(source)):
        for part in match.group(1).split(","):
            name = part.split("=")[0].strip().rstrip("_")
            if name in UNIT_EXEMPT_NAMES or name == "operator":
                continue
            if not UNIT_END.search(name) and not PURE_END.search(name):
                bad.append(name)
    return bad


def test_the_unit_check_sees_what_it_should():
    sample = """struct A { double pressure; double flow_m3_per_s = 0.0, depth = 1.0;
    double share_fraction; double q_W_per_m2_K(double wind) const { double local = 1; return local; } };"""
    assert unnamed_units(sample) == ["pressure", "depth", "wind"]


def test_public_doubles_end_in_their_unit():
    bad = []
    for path in under("models/", "sim/"):
        if path.suffix == ".h" and NAMES[path] not in UNIT_EXEMPT:
            bad += [f"{NAMES[path]}: {name}" for name in unnamed_units(text(path))]
    assert not bad


# ---- length -------------------------------------------------------------------------------------

def test_files_are_short():
    lengths = {NAMES[p]: text(p).count("\n") for p in FILES
               if p.suffix in (".h", ".cpp", ".py", ".js", ".mjs", ".sh", ".css", ".html")
               and not VENDORED.search(NAMES[p])}
    smelling = sorted((count, name) for name, count in lengths.items() if count > 350)
    for count, name in smelling:
        print(f"longer than 350 lines: {name} ({count})")
    assert not [entry for entry in smelling if entry[0] > 600]


def test_every_source_file_is_built():
    listed = "\n".join(text(p) for p in FILES if p.name == "CMakeLists.txt")
    orphans = [NAMES[p] for p in CODE if p.suffix == ".cpp" and p.name not in listed]
    assert not orphans


# ---- words --------------------------------------------------------------------------------------

# Each is put together here so that this file does not hold it.
UNFINISHED = "|".join(["TO" + "DO", "FIX" + "ME", "X" + "XX", "HA" + "CK"])
UNFINISHED_LATER = "|".join(["place" + "holder", r"not (yet )?" + "implemented", "dummy " + "value"])
MACHINE = "|".join(["/wor" + "k/", "/far" + "m/", r"\.\./sha" + "red", "/ro" + "ot/", "/ho" + "me/"])
WRITERS = "|".join(["sub" + "agent", "seed " + "document", "tran" + "script", "language " + "model"])
TEXTS = [p for p in FILES if p.suffix not in (".png", ".h5", ".woff2") and not VENDORED.search(NAMES[p])]


def test_no_unfinished_work():
    assert not hits(rf"\b({UNFINISHED})\b", TEXTS)
    # An input field of a page has an attribute of that name; no other file needs the word.
    words = [p for p in TEXTS if p.suffix not in (".html", ".css")]
    assert not hits(rf"(?i){UNFINISHED_LATER}", words)


def test_no_machine_is_named():
    allowed = [p for p in TEXTS if NAMES[p] != "LICENSE"]
    assert not hits(MACHINE, allowed)


def test_nothing_is_said_of_how_the_text_was_written():
    assert not hits(rf"(?i)\b({WRITERS})", TEXTS)


# ---- tests --------------------------------------------------------------------------------------

KINDS = {"published", "worked", "library", "exact", "law", "input", "same", "gold"}
CASE = re.compile(r'TEST_CASE\(\s*((?:"(?:\\.|[^"\\])*"\s*)+)\s*(?:,\s*((?:"(?:\\.|[^"\\])*"\s*)+))?\)')


def cases():
    for path in under("tests/"):
        for match in CASE.finditer(text(path)):
            joined = ["".join(re.findall(r'"((?:\\.|[^"\\])*)"', part or "")) for part in match.groups()]
            yield NAMES[path], joined[0], set(re.findall(r"\[([^\]]+)\]", joined[1]))


def test_titles_are_claims_that_can_be_called():
    bad = [f"{name}: {title}" for name, title, _ in cases()
           if re.search(r"[,\[\]]", title) or not re.match(r"[a-z0-9]+: \S", title)]
    assert not bad


def test_every_case_says_its_kind_of_evidence():
    bad, count = [], defaultdict(lambda: defaultdict(int))
    for name, title, tags in cases():
        room = name.split("/")[1]
        kinds = tags & KINDS
        if not kinds:
            bad.append(f"{name}: {title} {sorted(tags)}")
        for kind in kinds:
            count[room][kind] += 1
    for room in sorted(count):
        print(room, dict(count[room]))
    assert not bad


def test_every_room_of_physics_is_judged_from_outside():
    judged = {name.split("/")[1] for name, _, tags in cases() if tags & {"published", "worked"}}
    rooms = {path.name for path in (ROOT / "models").iterdir() if path.is_dir()}
    # Clocks and thermostats are made things: nobody published values for them.
    assert rooms - judged <= {"control", "medium"}


def test_no_test_is_let_off():
    pattern = "|".join([r"\b(REQUIRE|CHECK)\(\s*" + "true", "SUC" + r"CEED\(", r"\[!may" + "fail", r"\[!should" + "fail",
                        r"pytest\.mark\.(sk" + "ip|xf" + "ail)", r"pytest\.sk" + "ip", r"^\s*assert Tr" + "ue"])
    tests = [p for p in FILES if NAMES[p].startswith(("tests/", "bindings/", "notebooks/"))]
    assert not hits(pattern, tests)


# ---- the front door -----------------------------------------------------------------------------

def test_the_top_level_is_the_agreed_one():
    agreed = {"CMakeLists.txt", "CMakePresets.json", "README.md", "DEVELOPERS.md", "LICENSE",
              "sim", "models", "scenarios", "bindings", "tests", "notebooks"}
    present = {name.split("/")[0] for name in NAMES.values()}
    assert {name for name in present if not name.startswith(".")} == agreed
    assert (ROOT / ".ci" / "run").is_file()


def test_readme_opens_with_the_job():
    paragraphs = [p for p in text(ROOT / "README.md").split("\n\n") if not p.startswith("#")]
    for word in ("cuttings", "mist", "leaf", "roots"):
        assert word in paragraphs[0], word


@pytest.mark.parametrize("library, where", [
    ("Boost.Graph", "models/water"), ("HDF5", "sim/record"), ("TOML++", "sim/scenario"),
    ("Catch2", "tests"), ("pybind11", "bindings"), ("CLI11", "sim/app")])
def test_developers_page_says_where_a_library_serves(library, where):
    lines = [line for line in text(ROOT / "DEVELOPERS.md").splitlines() if library in line]
    assert any(where in line for line in lines), lines


def test_files_that_developers_page_names_exist():
    for page in ("README.md", "DEVELOPERS.md"):
        for name in re.findall(r"`((?:models|sim|scenarios|tests|bindings|notebooks)/[\w./-]+)`",
                               text(ROOT / page)):
            assert (ROOT / name).exists() or list(ROOT.glob(name + ".*")), f"{page}: {name}"


def test_licence_is_apache_2():
    licence = text(ROOT / "LICENSE")
    assert "Apache License" in licence and "Version 2.0, January 2004" in licence
    assert "END OF TERMS AND CONDITIONS" in licence
