# Shared by scenarios/demo.sh and tests/run.sh, which source it: Debian packages and the build.
# Everything is asked of the machine first, so that a second call installs and rebuilds nothing.

say() { printf '== %s\n' "$*" >&2; }

fail() {
  printf 'error: %s\n' "$*" >&2
  exit 1
}

as_root() {
  if [ "$(id -u)" -eq 0 ]; then
    "$@"
  elif command -v sudo >/dev/null 2>&1; then
    sudo "$@"
  else
    fail "installing packages needs root: run this as root, or install sudo"
  fi
}

# install_missing PACKAGE...: installs those that are not there, without recommended extras.
install_missing() {
  local package missing=()
  for package in "$@"; do
    if ! dpkg-query -W -f '${db:Status-Status}\n' "$package" 2>/dev/null | grep -qx installed; then
      missing+=("$package")
    fi
  done
  [ "${#missing[@]}" -gt 0 ] || return 0
  command -v apt-get >/dev/null 2>&1 ||
    fail "this machine has no apt-get; install these by hand and call again: ${missing[*]}"
  say "installing ${#missing[@]} packages: ${missing[*]}"
  # Another program may be installing something just now: wait for it.
  local log apt=(env DEBIAN_FRONTEND=noninteractive apt-get -o DPkg::Lock::Timeout=120)
  log=$(mktemp)
  if ! { as_root "${apt[@]}" update &&
    as_root "${apt[@]}" install -y --no-install-recommends "${missing[@]}"; } \
    >"$log" 2>&1 </dev/null; then
    tail -n 25 "$log" >&2
    rm -f "$log"
    fail "the packages above could not be installed"
  fi
  rm -f "$log"
}

# What the program is built from.
build_packages=(g++ cmake ninja-build pkg-config libhdf5-dev libtomlplusplus-dev libfmt-dev
  libcli11-dev libboost-dev libtbb-dev libeigen3-dev)

# configure_and_build PRESET: configures once (the build itself does so again when a CMake file has
# changed) and builds what has changed.
configure_and_build() {
  local preset=$1
  if [ ! "build/$preset/build.ninja" -nt CMakePresets.json ]; then
    say "configuring ($preset)"
    local log
    log=$(mktemp)
    cmake --preset "$preset" >"$log" 2>&1 || { cat "$log" >&2; rm -f "$log"; fail "cannot configure"; }
    rm -f "$log"
  fi
  say "building ($preset) what has changed; the first time takes some minutes"
  if [ -t 2 ]; then
    cmake --build --preset "$preset" >&2
  else
    # No terminal: quiet unless it fails.
    cmake --build --preset "$preset" -- --quiet >&2
  fi
}
