#!/usr/bin/env bash
# The one check, by hand and in CI: style, types, then every test.
# Any arguments are passed on to pytest: bash build/test.sh -k supply
set -euo pipefail
source "$(dirname -- "${BASH_SOURCE[0]}")/setup_lib.sh"

failed=""

step() { # COMMAND...: run it as a module of the environment and note a failure, so that each step is seen
  local start=$SECONDS result="passed"
  say "---- $*"
  "$environment_python" -m "$@" || result="FAILED" failed="$failed${failed:+, }$1"
  say "---- $1 $result in $((SECONDS - start)) s"
}

prepare_environment test
cd -- "$repository"
step ruff check build tests
step ruff format --check build tests
step mypy
step pytest -n 2 "$@"
[[ -z $failed ]] || fail 1 "FAILED: $failed"
say "All checks passed in $SECONDS s."
