# Shared by apps/demo.sh, tests/run.sh and .ci/run: installs what is missing and builds. Sourced, not run.
set -euo pipefail

feldspar_root=$(cd "$(dirname "${BASH_SOURCE[0]}")/.." && pwd)
jobs=$(nproc)

build_packages=(g++ cmake ninja-build ccache git
                libeigen3-dev libopenblas0 libfmt-dev libcli11-dev libtomlplusplus-dev nlohmann-json3-dev
                libhdf5-dev zlib1g-dev pkg-config)
test_packages=(doctest-dev libmuparser-dev python3 python3-numpy python3-scipy python3-mpmath python3-jsonschema
               python3-h5py python3-xarray python3-netcdf4 slurm-wlm munge chromium poppler-utils)
# npm is many packages: only where there is none yet.
command -v node >/dev/null && command -v npm >/dev/null || test_packages+=(nodejs npm)
lint_packages=(clang-format clang-tidy libbenchmark-dev)

# Two clones of the same source share the compiler's cache: paths below the root are hashed as relative ones.
export CCACHE_BASEDIR="$feldspar_root" CCACHE_NOHASHDIR=1

say() { printf '\n==> %s\n' "$*"; }
run() { printf '  $ %s\n' "$*"; "$@"; }

as_root() {
  if [ "$(id -u)" -eq 0 ]; then
    run env DEBIAN_FRONTEND=noninteractive "$@"
  elif command -v sudo >/dev/null; then
    run sudo env DEBIAN_FRONTEND=noninteractive "$@"
  else
    echo "must become root to run '$*': start this script as root, or install sudo" >&2
    return 1
  fi
}

# install_packages NAME…: asks apt-get only for what is not there yet.
install_packages() {
  local missing=() package
  for package in "$@"; do
    dpkg -s "$package" 2>/dev/null | grep -q '^Status: install ok installed' || missing+=("$package")
  done
  if [ ${#missing[@]} -eq 0 ]; then
    say "Packages: all $# are installed"
    return
  fi
  command -v apt-get >/dev/null || { echo "needs Debian or Ubuntu (apt-get); missing: ${missing[*]}" >&2; return 1; }
  say "Packages to install: ${missing[*]}"
  as_root apt-get update -qq
  as_root apt-get install -y -qq --no-install-recommends "${missing[@]}"
}

# configure PRESET [-Dname=value…]. A warning that a newer compiler has learnt must not stop a user, only .ci/run.
configure() {
  local preset=$1
  shift
  (cd "$feldspar_root" && run cmake --preset "$preset" --log-level=WARNING \
    -DFELDSPAR_WARNINGS_AS_ERRORS="${FELDSPAR_STRICT:-OFF}" "$@")
}

# configure_and_build PRESET [-Dname=value…]: builds everything of the preset in .build/PRESET.
configure_and_build() {
  local preset=$1
  say "Build (preset $preset, folder .build/$preset)"
  configure "$@"
  run cmake --build "$feldspar_root/.build/$preset" --parallel "$jobs"
}
