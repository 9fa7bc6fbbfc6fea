#!/usr/bin/env bash
# The one check, by hand and in CI: style, types, then every test.
# Any arguments are passed on to pytest: bash build/test.sh -k supply
set -euo pipefail
source "$(dirname -- "${BASH_SOURCE[0]}")/setup_lib.sh"

failed=""

step() { # NAME COMMAND...: run the command as a module of the environment; a failure does not hide later steps
  local name=$1 start=$SECONDS result="passed"
  shift
  say "---- $name: $*"
  "$environment_python" -m "$@" || result="FAILED" failed="$failed${failed:+, }$name"
  say "---- $name $result in $((SECONDS - start)) s"
}

prepare_environment test
cd -- "$repository"
step style ruff check build tests
step format ruff format --check build tests
step types mypy
# Whole files to a worker: what a file makes is then waited for by nobody. They come in the order of tests/conftest.py,
# not by their number of tests: the longest ones have few.
step tests pytest -n 2 --dist loadfile --no-loadscope-reorder "$@"
[[ -z $failed ]] || fail 1 "FAILED: $failed"
say "All checks passed in $SECONDS s."
