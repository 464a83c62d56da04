"""The notebooks run, are stored without outputs, and answer in words with numbers from the run."""
import json
import os
import re
import subprocess
import sys

import pytest
from conftest import DEMO, ROOT

FOLDER = ROOT / "notebooks"
BOOKS = sorted(FOLDER.glob("*.ipynb"))


def cells(book, kind):
    return [cell for cell in book["cells"] if cell["cell_type"] == kind]


def stored(path):
    return json.loads(path.read_text(encoding="utf-8"))


def source(cell):
    return "".join(cell["source"])


def said(cell):
    """What a cell answered in words."""
    return "".join("".join(output["data"].get("text/markdown", "")) for output in cell["outputs"]
                   if output["output_type"] in ("execute_result", "display_data"))


def pictures(cell):
    return [output["data"]["image/png"] for output in cell["outputs"]
            if "image/png" in output.get("data", {})]


@pytest.fixture(scope="module")
def executed(environment, tmp_path_factory):
    """All notebooks, run coarsely by nbconvert; stopped at the first error of a cell."""
    out = tmp_path_factory.mktemp("notebooks")
    known = {**environment, "MISTWRIGHT_QUICK": "1", "IPYTHONDIR": str(out / "ipython"),
             "JUPYTER_CONFIG_DIR": str(out / "jupyter"), "MPLCONFIGDIR": str(out / "mpl"),
             "JUPYTER_RUNTIME_DIR": str(out / "runtime")}
    told = subprocess.run([sys.executable, "-m", "jupyter", "nbconvert", "--to", "notebook",
                           "--execute", "--ExecutePreprocessor.timeout=300", "--output-dir",
                           str(out), *map(str, BOOKS)],
                          cwd=FOLDER, env=known, capture_output=True, text=True, check=False)
    assert told.returncode == 0, told.stderr[-4000:]
    return {path.name: json.loads((out / path.name).read_text(encoding="utf-8")) for path in BOOKS}


def test_there_are_three():
    assert [path.name[0] for path in BOOKS] == ["1", "2", "3"]


@pytest.mark.parametrize("path", BOOKS, ids=lambda path: path.stem)
def test_a_notebook_is_stored_without_outputs(path):
    book = stored(path)
    assert (book["nbformat"], book["nbformat_minor"]) == (4, 5)
    assert book["metadata"]["kernelspec"]["name"] == "python3"
    ids = [cell["id"] for cell in book["cells"]]
    assert len(set(ids)) == len(ids)
    for cell in cells(book, "code"):
        assert cell["outputs"] == [] and cell["execution_count"] is None


@pytest.mark.parametrize("path", BOOKS, ids=lambda path: path.stem)
def test_a_notebook_opens_with_a_question_and_ends_with_an_answer(path):
    book = stored(path)
    opening = source(book["cells"][0])
    assert opening.startswith("# ") and "**The question.**" in opening and "?" in opening
    assert source(book["cells"][-2]) == "## The answer"
    answer = source(book["cells"][-1])
    # Numbers of the answer come from the run: none is written into its words but limits.
    words = " ".join(re.findall(r'f?"""(.*?)"""', answer, re.S))
    written = set(re.findall(r"(?<![\w.:{])\d+(?:\.\d+)?(?![\w.]*\})", re.sub(r"\{[^}]*\}", "", words)))
    assert written <= {"10", "35", "0.01"}, written


@pytest.mark.parametrize("path", BOOKS, ids=lambda path: path.stem)
def test_a_notebook_runs_and_answers(path, executed):
    book = executed[path.name]
    code = cells(book, "code")
    assert not [output for cell in code for output in cell["outputs"]
                if output["output_type"] == "error"]
    drawn = [cell for cell in code if pictures(cell)]
    assert 3 <= len(drawn) <= 5
    for cell in drawn:
        assert len(re.findall(r"\d", said(cell))) >= 3, "a sentence under the figure with its numbers"
    answer = said(code[-1])
    assert answer.startswith("**") and len(re.findall(r"\d+(?:\.\d+)? ", answer)) >= 6
    assert not re.search(r"\bnan\b|\binf\b|\{|\}", answer)


@pytest.mark.parametrize("path", BOOKS, ids=lambda path: path.stem)
def test_a_notebook_prints_no_warning(path, executed):
    loud = [output["text"] for cell in cells(executed[path.name], "code")
            for output in cell["outputs"] if output["output_type"] == "stream"]
    assert not loud


def test_fog_hardly_lands_under_the_fan(executed):
    """Common practice, and what the first notebook is about."""
    answer = said(cells(executed["1_fog_against_mist.ipynb"], "code")[-1])
    fog, mist = (float(number) for number in re.findall(r"(?:fog|mist) (\d+\.\d) L", answer))
    assert fog < 0.5 * mist
    assert answer.startswith("**No.**")


def test_shade_and_vents_are_chosen_as_the_program_chooses(executed, environment):
    """The third notebook's table and answer are those of `mistwright shade` for the same house."""
    asked = "import json, pictures as p; print(json.dumps({**p.SETTINGS, **p.DAYTIME}))"
    settings = json.loads(subprocess.run([sys.executable, "-c", asked], cwd=FOLDER, check=True,
                                         env={**environment, "MISTWRIGHT_QUICK": "1"},
                                         capture_output=True, text=True).stdout)
    given = [word for key, value in settings.items() for word in ("--set", f"{key}={value}")]
    told = json.loads(subprocess.run([os.environ["MISTWRIGHT_BIN"], "shade", str(DEMO), *given, "--json"],
                                     check=True, capture_output=True, text=True).stdout)["rows"]
    code = cells(executed["3_shade_and_vents_before_building.ipynb"], "code")
    (table,) = ["".join(output["data"]["text/html"]) for output in code[0]["outputs"]]
    shown = [re.findall(r"<td[^>]*>(.*?)</td>", line) for line in re.findall(r"<tr.*?</tr>", table)[1:]]
    assert len(shown) == len(told)
    for line, row in zip(shown, told):
        assert line[0] == f"{100 * row['cloth']:.0f} %"
        assert line[3].split(" (")[0] == f"{row['hottest_leaf_c']:.1f}"
        assert line[6] == f"{row['light_mol_m2']:.1f}"
        assert line[7] == f"{row['mean_dry_s'] / 60:.0f}" and line[8] == f"{row['worst_dry_s'] / 60:.0f}"
        assert (line[-1] == "best") == row["best"]
    (best,) = [row for row in told if row["best"]]
    air = f"the {best['air']}" if best["air"].startswith("vents") else "the fan"
    cloth = f"{100 * best['cloth']:.0f} % cloth" if best["cloth"] else "No cloth"
    assert said(code[-1]).startswith(f"**{cloth} and {air}: ")
    assert f"{best['hottest_leaf_c']:.1f} °C" in said(code[-1]).split("\n")[0]


def test_ramps_fall_evenly_in_lightness():
    """Checked by the relative luminance of WCAG 2, turned into CIE L*."""
    sys.path.insert(0, str(FOLDER))
    try:
        import pictures as drawn
    finally:
        sys.path.remove(str(FOLDER))
    import numpy as np
    for ramp in (drawn.WET, drawn.DRY, drawn.HOT):
        rgb = np.asarray(ramp.colors)[::5]
        linear = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
        lightness = 116 * np.cbrt(linear @ [0.2126, 0.7152, 0.0722]) - 16
        steps = -np.diff(lightness)
        assert steps.min() > 0 and steps.max() < 1.02 * steps.mean(), ramp.name
