#!/usr/bin/env bash
# Set this checkout up and make the demonstration books in out/.
# Any arguments are passed on to `leadsman build`.
set -euo pipefail
source "$(dirname -- "${BASH_SOURCE[0]}")/setup_lib.sh"

list_books() { # the finished files with their sizes; a long list is cut
  "$environment_python" - "$repository/out" <<'PYTHON'
import pathlib
import sys

out = pathlib.Path(sys.argv[1])
files = sorted(path for path in out.rglob("*") if path.is_file())
print(f"{len(files)} file{'s' * (len(files) != 1)} in {out}:")
for path in files[:40]:
    print(f"  {path.stat().st_size / 1000:9.1f} kB  {path.relative_to(out)}")
if len(files) > 40:
    print(f"  ... and {len(files) - 40} more")
PYTHON
}

prepare_environment base
cd -- "$repository"
"$environment_python" -m leadsman build --out out "$@"
if (($# == 0)); then
  list_books
fi
