#!/usr/bin/env bash
# Sets up, builds with warnings as errors and runs every test on Debian 12.
# Usage: tests/run.sh [--full]      --full: the long forms of the acceptance tests too
# Ends with one line over all runners, "N passed, N failed"; the exit status is 0 only if none
# failed and every runner ran some.
set -euo pipefail

full=0
for argument in "$@"; do
  case "$argument" in
    --full) full=1 ;;
    -h | --help)
      sed -n '2,5s/^# //p' "$0"
      exit 0
      ;;
    *)
      printf 'error: unknown argument %s; the only one is --full\n' "$argument" >&2
      exit 2
      ;;
  esac
done

cd "$(dirname "${BASH_SOURCE[0]}")/.."
# shellcheck source=scenarios/setup.sh
. scenarios/setup.sh

test_packages=(catch2 libbenchmark-dev librapidcheck-dev libsundials-dev libudunits2-dev udunits-bin
  python3 python3-pytest python3-pytest-xdist python3-numpy python3-scipy python3-mpmath python3-h5py python3-xarray
  python3-h5netcdf python3-netcdf4 python3-iapws python3-fluids
  pybind11-dev python3-dev python3-mypy mypy python3-pandas jupyter-nbconvert python3-ipykernel
  python3-matplotlib python3-build python3-setuptools python3-wheel python3-venv
  hdf5-tools chromium fonts-dejavu-core poppler-utils
  dpkg-dev lintian groff pkgconf mmdebstrap git fish zsh)
# Another maker's Node.js brings its own npm and conflicts with Debian's.
command -v node >/dev/null 2>&1 || test_packages+=(nodejs)
command -v npm >/dev/null 2>&1 || test_packages+=(npm)
install_missing "${build_packages[@]}" "${test_packages[@]}"
configure_and_build dev

out=$PWD/build/tests
modules=$out/node_modules
mkdir -p "$out"
rm -rf "$out/fields"
# Newer versions of playwright-core ask for a newer Node.js than Debian 12 has.
judges="psychrolib@1.1.1 axe-core@4.14.1 playwright-core@1.55.1"
if [ "$(cat "$modules/.judges" 2>/dev/null)" != "$judges" ]; then
  say "fetching the judges that npm has: $judges"
  # shellcheck disable=SC2086
  npm install --no-save --no-audit --no-fund --loglevel=error --prefix "$out" $judges \
    >&2 </dev/null
  echo "$judges" >"$modules/.judges"
fi

export PYTHONDONTWRITEBYTECODE=1
# Fields of the airflow that one test computed serve the others, whose bits they do not change; tests
# of the store itself name folders of their own.
export MISTWRIGHT_STORE=$out/fields
export MISTWRIGHT_FULL=$full
export MISTWRIGHT_SOURCE=$PWD
export MISTWRIGHT_BIN=$PWD/build/dev/mistwright
export MISTWRIGHT_PYTHONPATH=$PWD/build/dev/bindings/python
export MISTWRIGHT_NODE_MODULES=$modules
export MISTWRIGHT_RESULT=$out/demo.h5
export MISTWRIGHT_PAGE=$out/demo.html

say "running the demonstration house for the tests that read its results"
"$MISTWRIGHT_BIN" run scenarios/demo.toml -o "$MISTWRIGHT_RESULT" --overwrite >"$out/verdict.txt" &&
  "$MISTWRIGHT_BIN" report "$MISTWRIGHT_RESULT" -o "$MISTWRIGHT_PAGE" --overwrite --quiet ||
  say "the demonstration did not run; the tests that read its results will fail"

passed=0
failed=0
# add NAME PASSED FAILED: one runner's counts; a runner that ran nothing counts as a failure.
add() {
  local name=$1 good=$2 bad=$3
  if [ $((good + bad)) -eq 0 ]; then
    say "$name ran no test"
    bad=1
  fi
  say "$name: $good passed, $bad failed"
  passed=$((passed + good))
  failed=$((failed + bad))
}

# junit FILE: "PASSED FAILED" over a JUnit report; a test that was skipped did not pass.
junit() {
  [ -f "$1" ] || { echo "0 0"; return; }
  /usr/bin/python3 - "$1" <<'PYTHON'
import sys
import xml.etree.ElementTree as tree

cases = list(tree.parse(sys.argv[1]).getroot().iter("testcase"))
bad = sum(1 for case in cases
          if case.get("status", "run") != "run"
          or any(child.tag in ("failure", "error", "skipped") for child in case))
print(len(cases) - bad, bad)
PYTHON
}

say "Catch2 tests"
rm -f "$out/ctest.xml" "$out/pytest.xml"
ctest --preset dev -j2 --output-junit "$out/ctest.xml" >"$out/ctest.log" 2>&1 </dev/null ||
  { sed -n '/^The following tests FAILED/,$p' "$out/ctest.log"
    grep -B3 -A25 -m12 'FAILED:' "$out/ctest.log" | head -n 200; } >&2
read -r good bad < <(junit "$out/ctest.xml")
add Catch2 "$good" "$bad"

say "pytest"
/usr/bin/python3 -m pytest -q -p no:cacheprovider -n 2 --dist loadfile --junitxml="$out/pytest.xml" tests >&2 </dev/null ||
  true
read -r good bad < <(junit "$out/pytest.xml")
add pytest "$good" "$bad"

say "browser tests"
good=0
bad=0
for script in tests/browser/*.test.mjs; do
  [ -f "$script" ] || continue
  log=$out/$(basename "$script").log
  status=0
  node "$script" >"$log" 2>&1 </dev/null || status=$?
  counts=$(sed -nE 's/^([0-9]+) passed, ([0-9]+) failed$/\1 \2/p' "$log" | tail -n 1)
  read -r one_good one_bad <<<"${counts:-0 1}"
  # A script that stops half way must not count as sound.
  if [ "$status" -ne 0 ] && [ "$one_bad" -eq 0 ]; then one_bad=1; fi
  [ "$one_bad" -eq 0 ] || cat "$log" >&2
  good=$((good + one_good))
  bad=$((bad + one_bad))
done
add browser "$good" "$bad"

printf '%d passed, %d failed\n' "$passed" "$failed"
[ "$failed" -eq 0 ]
