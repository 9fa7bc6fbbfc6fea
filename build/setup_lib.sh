# Shared by demo.sh and test.sh, which source it: makes this checkout's .venv ready to use and
# installs what the machine lacks. Needs bash 3.2 or later. Exit codes: 1 a step failed,
# 2 the machine or the account lacks something, 130 interrupted.

repository=$(cd -P -- "$(dirname -- "${BASH_SOURCE[0]}")/.." && pwd)
environment="$repository/.venv"
# Which place and Python the environment was made for; written before anything is put into it.
made_for="$environment/.made-for"
typesetting_packages=(libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz0b libharfbuzz-subset0 libfontconfig1)

say() { printf '%s\n' "$*"; }

fail() { # CODE LINE...
  local code=$1
  shift
  printf '%s\n' "$@" >&2
  exit "$code"
}

# ---- running a step ---------------------------------------------------------------------------

open_log() { # the log goes when the script ends, unless it tells of a failure
  log=$(mktemp -t leadsman-setup.XXXXXX)
  trap 'rm -f -- "$log"' EXIT
  trap 'fail 130 "Interrupted. Run the command again: it starts where that is safe."' INT TERM HUP
}

close_log() {
  trap - INT TERM HUP EXIT
  rm -f -- "$log"
}

run_logged() { # COMMAND...: keep its output in the log and return its exit code
  local code=0
  printf '\n$ %s\n' "$*" >>"$log"
  "$@" >>"$log" 2>&1 </dev/null || code=$?
  return "$code"
}

fail_with_log() { # CODE LINE...: stop, with the end of the log
  local code=$1
  shift
  printf '%s\n' "$@" "The last lines of $log:" >&2
  trap - EXIT
  tail -n 25 -- "$log" | sed 's/^/    /' >&2
  exit "$code"
}

# ---- what the machine has -----------------------------------------------------------------------

is_new_enough() { # PYTHON
  "$1" -c 'import sys; sys.exit(sys.version_info < (3, 11))' >/dev/null 2>&1
}

find_python() { # print the first Python that will do
  local name
  for name in python3 python3.14 python3.13 python3.12 python3.11 python; do
    if is_new_enough "$name"; then
      command -v -- "$name"
      return 0
    fi
  done
  return 1
}

find_environment_python() { # print the environment's own interpreter
  local candidate
  for candidate in "$environment/bin/python" "$environment/Scripts/python.exe"; do
    if [[ -x $candidate ]]; then
      printf '%s\n' "$candidate"
      return 0
    fi
  done
  return 1
}

missing_libraries() { # PYTHON: print the Debian package of each typesetting library that does not load
  [[ $(uname -s) == Linux ]] || return 0 # elsewhere check_typesetting tells, after the installation
  "$1" - <<'PYTHON'
import ctypes

for package, library in {
    "libpango-1.0-0": "libpango-1.0.so.0",
    "libpangoft2-1.0-0": "libpangoft2-1.0.so.0",
    "libharfbuzz0b": "libharfbuzz.so.0",
    "libharfbuzz-subset0": "libharfbuzz-subset.so.0",
    "libfontconfig1": "libfontconfig.so.1",
}.items():
    try:
        ctypes.CDLL(library)
    except OSError:
        print(package)
PYTHON
}

missing_venv() { # PYTHON: print the Debian package with which it can make environments, if it cannot
  "$1" -c 'import ensurepip, venv' >/dev/null 2>&1 && return 0
  "$1" -c 'import os, sys
own = sys.executable == "/usr/bin/python3" or os.path.realpath("/usr/bin/python3") == os.path.realpath(sys.executable)
print("python3-venv" if own else "python%d.%d-venv" % sys.version_info[:2])'
}

missing_test_tools() { # print the Debian package of each program that only the tests call
  git --version >/dev/null 2>&1 || say git
  java -version >/dev/null 2>&1 || say default-jre-headless
}

# The browser is wanted, not needed: the tests of the book in it are skipped, with the reason, where it is missing.
find_browser() { # print the browser that those tests drive
  command -v chromium || command -v chromium-browser
}

missing_packages() { # EXTRA STATE: print the Debian package of everything that has to be installed first
  local python
  if [[ $2 != new ]]; then
    missing_libraries "$(find_environment_python)"
  elif python=$(find_python); then
    missing_venv "$python"
    missing_libraries "$python"
  else
    printf '%s\n' python3 python3-venv "${typesetting_packages[@]}"
  fi
  [[ $1 != test ]] || missing_test_tools
}

# ---- installing system packages -----------------------------------------------------------------

name_packages() { # PACKAGE...: how to install them by hand on each system
  cat <<TEXT
  Debian, Ubuntu:  sudo apt-get install $*
  Fedora:          sudo dnf install python3 git pango harfbuzz fontconfig java-latest-openjdk-headless
  macOS:           brew install python git pango openjdk
  Windows:         in WSL as for Debian; or install Python 3.11 or later, Git and a Java runtime, and
                   from an MSYS2 shell: pacman -S mingw-w64-ucrt-x86_64-pango
(Only the tests need git and Java, and Chromium where there is one.) Then run this command again.
TEXT
}

install_packages() { # PACKAGE...
  local as_root=""
  if ! command -v apt-get >/dev/null; then
    fail 2 "This machine lacks what leadsman needs ($*), and has no apt-get to install it with." "$(name_packages "$@")"
  fi
  if [[ $(id -u) != 0 ]]; then
    if ! sudo -n true >/dev/null 2>&1; then
      fail 2 "This machine lacks what leadsman needs ($*), and this account may not install it without a password." \
        "$(name_packages "$@")"
    fi
    as_root="sudo -n"
  fi
  say "Installing system packages: $*"
  # A Java package's set-up fails where the manual pages' folder has been left out of the system.
  run_logged $as_root mkdir -p /usr/share/man/man1 || true
  # A refresh that fails in part may still let the installation succeed; the log keeps both.
  run_logged $as_root apt-get -q update || true
  run_logged $as_root env DEBIAN_FRONTEND=noninteractive apt-get -q -y --no-install-recommends \
    -o DPkg::Lock::Timeout=120 install "$@" ||
    fail_with_log 2 "apt-get could not install: $*" "$(name_packages "$@")"
}

install_missing_packages() { # EXTRA STATE
  local missing
  missing=$(missing_packages "$@")
  [[ -n $missing ]] || return 0
  # shellcheck disable=SC2086 # one word for each package
  install_packages $missing
  missing=$(missing_packages "$@")
  [[ -z $missing ]] || fail_with_log 2 "Installed, but still not usable: ${missing//$'\n'/ }"
}

install_browser() { # EXTRA
  [[ $1 == test ]] && ! find_browser >/dev/null || return 0
  local as_root="" skipped="the tests of the book in a browser are skipped."
  if ! command -v apt-get >/dev/null; then
    say "No Chromium on this machine: $skipped"
    return 0
  fi
  if [[ $(id -u) != 0 ]]; then
    if ! sudo -n true >/dev/null 2>&1; then
      say "No Chromium on this machine (sudo apt-get install chromium): $skipped"
      return 0
    fi
    as_root="sudo -n"
  fi
  say "Installing the browser for the tests: chromium"
  # The program that drives it needs libatomic, which a small Debian lacks.
  run_logged $as_root apt-get -q update || true
  run_logged $as_root env DEBIAN_FRONTEND=noninteractive apt-get -q -y --no-install-recommends \
    -o DPkg::Lock::Timeout=120 install chromium libatomic1 || say "apt-get could not install chromium: $skipped"
}

# ---- the Python environment ---------------------------------------------------------------------

describe_place() { # PYTHON: what .made-for holds
  "$1" -c 'import sys; print("%d.%d" % sys.version_info[:2], sys.argv[1])' "$environment"
}

fingerprint() { # PYTHON: a digest of everything that the installed packages follow from
  "$1" - "$repository/pyproject.toml" <<'PYTHON'
import hashlib
import json
import pathlib
import sys
import tomllib

project = tomllib.loads(pathlib.Path(sys.argv[1]).read_text(encoding="utf-8"))
# Settings of the checkers do not count: to change them needs no installation.
installed = [project.get("build-system"), project.get("project"), project.get("tool", {}).get("hatch")]
print(hashlib.sha256(json.dumps([installed, sys.version, sys.prefix]).encode()).hexdigest())
PYTHON
}

is_ready() { # EXTRA: the stamp, which is written last, fits this pyproject.toml, Python and place
  local python stamp="$environment/.ready-$1"
  [[ -s $stamp ]] && python=$(find_environment_python) && is_new_enough "$python" &&
    [[ $(<"$stamp") == "$(fingerprint "$python")" ]]
}

is_finished() { # an earlier set-up of this very place was not cut off
  local python
  python=$(find_environment_python) && is_new_enough "$python" && "$python" -m pip --version >/dev/null 2>&1 || return 1
  [[ -f $made_for ]] || return 0 # somebody's own environment, and it works
  [[ $(<"$made_for") == "$(describe_place "$python")" ]] && compgen -G "$environment/.ready-*" >/dev/null
}

# The system's package manager has no newer Python to give where its own is too old.
refuse_old_python() {
  find_python >/dev/null || ! command -v python3 >/dev/null ||
    fail 2 "leadsman needs Python 3.11 or later; python3 here says: $(python3 --version 2>&1 || true)." \
      "Install a newer Python beside it (python3.11 to python3.14 are looked for on the PATH), then run this command again."
}

make_environment() {
  local python
  python=$(find_python)
  if [[ -e $environment || -L $environment ]]; then
    if [[ ! -f $made_for ]]; then
      fail 2 "$environment was not made by this script, and has no working pip on Python 3.11 or later." \
        "Move or remove that folder, then run this command again."
    fi
    say "The environment in .venv is unfinished, or made for another place or Python: making it again."
    rm -rf -- "$environment"
  fi
  say "Making .venv with $("$python" --version)"
  mkdir -p -- "$environment"
  describe_place "$python" >"$made_for"
  run_logged "$python" -m venv "$environment" || fail_with_log 1 "Python could not make $environment."
}

check_typesetting() { # PYTHON
  run_logged "$1" -c 'import weasyprint' || fail_with_log 2 "The typesetting libraries (Pango and its companions) do not load." \
    "$(name_packages "${typesetting_packages[@]}")"
}

install_project() { # EXTRA
  local python target="."
  python=$(find_environment_python)
  [[ $1 != test ]] || target=".[test]"
  say "Installing leadsman and its Python packages into .venv (a few minutes the first time)"
  rm -f -- "$environment"/.ready-*
  (cd -- "$repository" && run_logged "$python" -m pip install --progress-bar off --no-input --disable-pip-version-check --editable "$target") ||
    fail_with_log 1 "pip could not install the project; the first set-up needs the network."
  check_typesetting "$python"
  fingerprint "$python" >"$environment/.ready-base"
  [[ $1 != test ]] || cp -- "$environment/.ready-base" "$environment/.ready-test"
}

# A home that cannot be written to (a service account, a read-only container) has no place for caches.
shelter_caches() {
  [[ -n ${HOME:-} && -d $HOME && -w $HOME ]] && return 0
  export XDG_CACHE_HOME="$environment/cache" PIP_CACHE_DIR="$environment/cache/pip"
  export MPLCONFIGDIR="$environment/cache/matplotlib"
}

# Python from elsewhere does not look where Homebrew keeps its libraries.
show_homebrew_libraries() {
  [[ $(uname -s) == Darwin ]] || return 0
  export DYLD_FALLBACK_LIBRARY_PATH="${DYLD_FALLBACK_LIBRARY_PATH:+$DYLD_FALLBACK_LIBRARY_PATH:}/opt/homebrew/lib:/usr/local/lib"
}

prepare_environment() { # EXTRA (base or test): afterwards $environment_python runs leadsman
  local state=ready
  [[ -w $repository ]] || fail 2 "$repository cannot be written to; leadsman keeps .venv and out there."
  open_log
  shelter_caches
  show_homebrew_libraries
  if ! is_ready "$1"; then
    state=new
    if is_finished; then state=kept; else refuse_old_python; fi
  fi
  install_missing_packages "$1" "$state"
  install_browser "$1"
  [[ $state != new ]] || make_environment
  [[ $state == ready ]] || install_project "$1"
  environment_python=$(find_environment_python)
  close_log
}
