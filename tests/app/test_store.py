"""The store of airflow between runs: seen in no result, whole under kills, shared, never a reason to fail."""
import hashlib
import os
import random
import re
import shutil
import signal
import subprocess
import time

import h5py
import pytest

from test_cli import PROGRAM, ROOT, call

DEMO = ROOT / "scenarios" / "demo.toml"
QUICK = ["--alone", "--set", "span.start=2025-06-03T11:00:00", "--set", "span.length=20 min",
         "--set", "numerics.parcels_per_class=50", "--set", "numerics.size_classes=12",
         "--set", "numerics.bench_cell=0.3 m"]


def digest(folder, *words, env=None, name="out.h5"):
    """The digest over all results of a short run."""
    answer = call("run", str(DEMO), "-o", name, "--overwrite", *QUICK, *words, cwd=folder, env=env, timeout=120)
    assert answer.returncode == 0, answer.stderr
    with h5py.File(folder / name, "r") as results:
        value = results.attrs["content_sha256"]
    return value.decode() if isinstance(value, bytes) else str(value)


@pytest.fixture(scope="module")
def plain(tmp_path_factory):
    return digest(tmp_path_factory.mktemp("plain"), "--no-store")


def fields(store):
    return sorted(store.glob("*.field"))


def sound(path):
    """Whether a kept file is what its header promises."""
    heading, told, body = path.read_bytes().split(b"\n", 2)
    return heading == b"mistwright field 1" and told.decode() == hashlib.sha256(body).hexdigest()


def test_a_run_is_the_same_without_store_and_cold_and_warm(plain, tmp_path):
    store = tmp_path / "store"
    assert digest(tmp_path, "--store", str(store)) == plain
    kept = fields(store)
    assert kept and all(map(sound, kept))
    before = [path.stat().st_ino for path in kept]
    assert digest(tmp_path, "--store", str(store)) == plain
    assert [path.stat().st_ino for path in fields(store)] == before  # read, not written anew


def test_the_environment_names_the_store_and_options_go_first(plain, tmp_path):
    named = {"MISTWRIGHT_STORE": str(tmp_path / "named"), "XDG_CACHE_HOME": str(tmp_path / "cache"),
             "HOME": str(tmp_path / "home")}
    assert digest(tmp_path, env=named) == plain and fields(tmp_path / "named")
    assert digest(tmp_path, "--store", str(tmp_path / "asked"), env=named) == plain
    assert fields(tmp_path / "asked")
    shutil.rmtree(tmp_path / "named")
    assert digest(tmp_path, "--no-store", env=named) == plain
    assert digest(tmp_path, env={**named, "MISTWRIGHT_STORE": ""}) == plain
    assert not any((tmp_path / name).exists() for name in ("named", "cache", "home"))


def test_the_usual_store_lies_in_the_user_s_cache(plain, tmp_path):
    env = {key: value for key, value in os.environ.items() if key != "MISTWRIGHT_STORE"}
    for more, where in (({"XDG_CACHE_HOME": str(tmp_path / "cache")}, "cache/mistwright/fields"),
                        ({"XDG_CACHE_HOME": ""}, "home/.cache/mistwright/fields")):
        run = subprocess.run([PROGRAM, "run", DEMO, *QUICK], env={**env, "HOME": str(tmp_path / "home"), **more},
                             capture_output=True, text=True, timeout=120, check=False)
        assert run.returncode == 0 and run.stderr == "" and fields(tmp_path / where)


def test_a_store_asked_for_that_cannot_be_used_is_status_4(tmp_path):
    (tmp_path / "file").write_text("")
    for folder in ("file", "file/below"):
        answer = call("run", str(DEMO), "-o", "out.h5", *QUICK, "--store", folder, cwd=tmp_path)
        assert answer.returncode == 4 and answer.stdout == "" and folder in answer.stderr
        assert answer.stderr.splitlines()[-1] == "nothing was written"
    assert not (tmp_path / "out.h5").exists()
    answer = call("run", str(DEMO), "--store", "a", "--no-store", cwd=tmp_path)
    assert answer.returncode == 2 and "--no-store" in answer.stderr


def test_a_usual_store_that_cannot_be_used_is_one_remark(plain, tmp_path):
    (tmp_path / "file").write_text("")
    env = {"MISTWRIGHT_STORE": str(tmp_path / "file")}
    answer = call("run", str(DEMO), *QUICK, cwd=tmp_path, env=env, timeout=120)
    assert answer.returncode == 0 and answer.stderr.count("warning[") == 1
    assert "--no-store" in answer.stderr
    assert call("run", str(DEMO), *QUICK, "--quiet", cwd=tmp_path, env=env, timeout=120).stderr == ""
    assert digest(tmp_path, env=env) == plain


def as_nobody(*command, env=None):
    """Without root's leave to write anywhere."""
    drop = ["setpriv", "--reuid=65534", "--regid=65534", "--clear-groups"] if os.geteuid() == 0 else []
    return subprocess.run([*drop, *map(str, command)], cwd="/", env={**os.environ, **(env or {})},
                          capture_output=True, text=True, timeout=120, check=False)


def test_a_folder_that_may_not_be_written_to_stops_no_run_unless_it_was_asked_for(tmp_path):
    store = tmp_path / "store"
    store.mkdir()
    store.chmod(0o555)
    for above in [tmp_path, *tmp_path.parents][:3]:
        above.chmod(above.stat().st_mode | 0o055)
    words = [PROGRAM, "run", DEMO, *QUICK]
    answer = as_nobody(*words, env={"MISTWRIGHT_STORE": str(store)})
    assert answer.returncode == 0 and answer.stderr.count("warning[") == 1
    answer = as_nobody(*words, "--store", store)
    assert answer.returncode == 4 and str(store) in answer.stderr
    assert list(store.iterdir()) == []
    store.chmod(0o755)


@pytest.mark.parametrize("spoil", [
    lambda b: b[: len(b) // 2], lambda b: b"", lambda b: b + b"x", lambda b: b"a,b\n1,2\n",
    lambda b: b[:-9] + bytes([b[-9] ^ 1]) + b[-8:],
], ids=["cut", "empty", "longer", "foreign", "one bit"])
def test_a_damaged_field_is_computed_anew(plain, tmp_path, spoil):
    store = tmp_path / "store"
    digest(tmp_path, "--store", str(store))
    for path in fields(store):
        path.write_bytes(spoil(path.read_bytes()))
    assert digest(tmp_path, "--store", str(store)) == plain
    assert fields(store) and all(map(sound, fields(store)))


def test_runs_killed_at_random_moments_leave_a_sound_store(plain, tmp_path):
    store = tmp_path / "store"
    draw = random.Random(7)
    started = time.monotonic()
    digest(tmp_path, "--store", str(store))
    whole_run_s = time.monotonic() - started
    shutil.rmtree(store)
    seen = 0
    times = 40
    # By lot within equal stretches of a run, the last ones beyond its usual end.
    for moment in draw.sample(range(times), times):
        child = subprocess.Popen([PROGRAM, "run", DEMO, *QUICK, "--store", store], stdout=subprocess.DEVNULL,
                                 stderr=subprocess.DEVNULL)
        time.sleep(1.3 * whole_run_s * (moment + draw.random()) / times)
        child.send_signal(signal.SIGKILL)
        child.wait()
        assert all(map(sound, fields(store)))
        seen += len(fields(store)) > 0
        if draw.random() < 0.5:
            shutil.rmtree(store, ignore_errors=True)
    assert seen > 0
    assert digest(tmp_path, "--store", str(store)) == plain
    assert digest(tmp_path, "--store", str(store)) == plain


def test_runs_at_once_share_a_store(plain, tmp_path):
    store = tmp_path / "store"
    runs = [subprocess.Popen([PROGRAM, "run", DEMO, "-o", tmp_path / f"{i}.h5", *QUICK, "--store", store],
                             stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True) for i in range(6)]
    for i, run in enumerate(runs):
        _, said = run.communicate(timeout=200)
        assert run.returncode == 0, said
        with h5py.File(tmp_path / f"{i}.h5", "r") as results:
            assert plain in str(results.attrs["content_sha256"])
    assert fields(store) and all(map(sound, fields(store)))
    assert [p.name for p in store.iterdir() if not re.fullmatch(r"[0-9a-f]{64}\.field", p.name)] == []


def test_the_table_of_shade_is_the_same_from_a_warm_store(tmp_path):
    words = ["shade", str(DEMO), *QUICK[1:], "--json", "--set", "numerics.flow_cell=0.3 m"]
    without = call(*words, "--no-store", timeout=200).stdout
    for _ in range(2):
        assert call(*words, "--store", str(tmp_path / "store"), timeout=200).stdout == without
    assert len(fields(tmp_path / "store")) >= 4
