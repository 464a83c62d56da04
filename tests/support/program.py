"""The built program and what else tests/run.sh gives, for the tests in Python."""

import json
import os
import subprocess

# Tests leave the airflow kept for their user alone.
os.environ["MISTWRIGHT_STORE"] = ""


def environment(name):
    """A path that tests/run.sh gives; its absence is a failure, never a reason to pass by."""
    path = os.environ.get(name)
    assert path, f"{name} is not set: run these tests through tests/run.sh"
    assert os.path.exists(path), f"{name} is {path}, which does not exist"
    return path


def calc(what, **options):
    """The answer of `mistwright calc WHAT --json --OPTION=VALUE ...` as a dictionary."""
    command = [environment("MISTWRIGHT_BIN"), "calc", what, "--json"]
    command += [f"--{name.replace('_', '-')}={value}" for name, value in options.items()]
    done = subprocess.run(command, capture_output=True, text=True, timeout=60)
    assert done.returncode == 0, f"{command}: {done.stderr}"
    return json.loads(done.stdout)
