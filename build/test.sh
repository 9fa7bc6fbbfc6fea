#!/usr/bin/env bash
# The one check, by hand and in CI: style, types and every test.
# Any arguments are passed on to pytest: bash build/test.sh -k supply
set -euo pipefail
source "$(dirname -- "${BASH_SOURCE[0]}")/setup_lib.sh"

failed=""

step() { # NAME HOW COMMAND...: run the command, a module of the environment; a failure does not hide later steps
  local name=$1 how=$2 start=$SECONDS result="passed"
  shift 2
  say "---- $name: $*"
  "$how" "$@" || result="FAILED" failed="$failed${failed:+, }$name"
  say "---- $name $result in $((SECONDS - start)) s"
}

run() { "$environment_python" -m "$@"; }

# One core reads the types for half a minute: beside the tests, and what it says is shown after theirs.
begin() {
  aside_log=$(mktemp -t leadsman-types.XXXXXX)
  run "$@" >"$aside_log" 2>&1 &
  aside=$!
  trap 'kill "$aside" 2>/dev/null || true; rm -f -- "$aside_log"' EXIT
  trap 'exit 130' INT TERM HUP
}

await() {
  local code=0
  wait "$aside" || code=$?
  cat -- "$aside_log"
  return "$code"
}

prepare_environment test
cd -- "$repository"
step style run ruff check build tests
step format run ruff format --check build tests
begin mypy
# Whole files to a worker: what a file makes is then waited for by nobody. They come in the order of tests/conftest.py,
# not by their number of tests: the longest ones have few.
step tests run pytest -n 2 --dist loadfile --no-loadscope-reorder "$@"
step types await mypy
[[ -z $failed ]] || fail 1 "FAILED: $failed"
say "All checks passed in $SECONDS s."
