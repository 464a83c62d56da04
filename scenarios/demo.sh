#!/usr/bin/env bash
# Sets up, builds and runs the demonstration house on Debian 12. Usage: scenarios/demo.sh [FOLDER]
# Writes demo.h5 (results) and demo.html (the page to look at) into FOLDER, by default the present
# one. Calling it again installs, rebuilds and simulates nothing that has not changed.
set -euo pipefail

case "${1:-}" in
  -h | --help)
    sed -n '2,4s/^# //p' "$0"
    exit 0
    ;;
esac
mkdir -p "${1:-.}"
folder=$(cd "${1:-.}" && pwd)
cd "$(dirname "${BASH_SOURCE[0]}")/.."
# shellcheck source=scenarios/setup.sh
. scenarios/setup.sh

install_missing "${build_packages[@]}"
configure_and_build release

program=build/release/mistwright
results=$folder/demo.h5
page=$folder/demo.html
# Results that are newer than the program and all that it reads need no second run.
if [ "$results" -nt "$program" ] && [ -z "$(find scenarios -type f -newer "$results")" ]; then
  say "already simulated"
else
  say "simulating the demonstration house, one warm day in late spring"
  "$program" run scenarios/demo.toml -o "$results" --overwrite >/dev/null
fi
"$program" report "$results" -o "$page" --overwrite
cat <<END
Results       $results

Next          open the page in any browser
              $PWD/$program heads
              copy scenarios/demo.toml, make it your house, and run it:
              $PWD/$program run my_house.toml -o my_house.h5
END
