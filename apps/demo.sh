#!/usr/bin/env bash
# Installs what is missing, builds, and runs the main job: what a whip with radials on the grass does on every band.
source "$(cd "$(dirname "$0")" && pwd)/setup.sh"

install_packages "${build_packages[@]}"
configure_and_build release -DFELDSPAR_TESTS=OFF

say "The operating table of a whip with radials on the grass, over average soil"
run "$feldspar_root/.build/release/apps/feldspar" bands whip-ground-radials
