#!/usr/bin/env bash
# Installs what is missing, builds, and runs every test. Arguments go to ctest: `bash tests/run.sh -R circuit`.
source "$(cd "$(dirname "$0")" && pwd)/../apps/setup.sh"

install_packages "${build_packages[@]}" "${test_packages[@]}"
configure_and_build release -DFELDSPAR_TESTS=ON

say "Tests"
run ctest --test-dir "$feldspar_root/.build/release" --parallel "$jobs" --output-on-failure --no-tests=error "$@"
