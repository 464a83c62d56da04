#!/usr/bin/env bash
# Sets up, builds and runs the demonstration house on Debian 12. Usage: scenarios/demo.sh [FOLDER]
# Writes demo.h5 (results) and demo.html (the page to look at) into FOLDER, by default the present
# one. Calling it again installs and rebuilds nothing.
set -euo pipefail

case "${1:-}" in
  -h | --help)
    sed -n '2,4s/^# //p' "$0"
    exit 0
    ;;
esac
folder=$(cd "${1:-.}" && pwd)
cd "$(dirname "${BASH_SOURCE[0]}")/.."
# shellcheck source=scenarios/setup.sh
. scenarios/setup.sh

install_missing "${build_packages[@]}"
configure_and_build release

program=build/release/mistwright
say "running the demonstration house, one warm day in late spring"
"$program" run scenarios/demo.toml -o "$folder/demo.h5" --overwrite
"$program" report "$folder/demo.h5" -o "$folder/demo.html" --overwrite --quiet
printf '\nResults       %s\nPage          %s  (open it in any browser)\n' \
  "$folder/demo.h5" "$folder/demo.html"
printf 'Your own      copy scenarios/demo.toml, change it, then: %s run my_house.toml -o my_house.h5\n' \
  "$program"
