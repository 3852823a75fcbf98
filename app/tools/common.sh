# Read by the other scripts here with `.`, never run by itself.
# shellcheck shell=sh
root=$(CDPATH='' cd -- "$(dirname -- "$0")/../.." && pwd)
# Everything that is built or installed for this project lands here, and `make clean` removes it.
target=${CARGO_TARGET_DIR:-$root/target}
tools=$target/tools

# What would make a second build quicker is two gigabytes, and a machine that checks builds once.
if [ -n "${CI:-}" ]; then export CARGO_INCREMENTAL=0; fi

say() { printf '%s\n' "$*" >&2; }

# Ends the script with what went wrong and, line by line, what to do about it.
stop() {
  printf 'error: %s\n' "$1" >&2
  shift
  for line in "$@"; do printf '  %s\n' "$line" >&2; done
  exit 1
}

have() { command -v "$1" >/dev/null 2>&1; }

# Runs a command for at most so many seconds, where the machine can count them.
within() {
  seconds=$1
  shift
  if have timeout; then timeout "$seconds" "$@"; else "$@"; fi
}

# Whether this is a Debian (or a child of it) on which packages can be installed without asking.
on_debian_as_root() { have apt-get && [ "$(id -u)" = 0 ]; }

# apt_install 'what for' PACKAGE... : installs the packages, or says how to.
apt_install() {
  why=$1
  shift
  on_debian_as_root || stop "$why is missing on this machine" \
    "On Debian or Ubuntu, as root: apt-get install $*" \
    'Elsewhere, install the programs of the same names, and run this again.'
  say "Installing $why with apt-get: $*"
  log=$(mktemp)
  if ! { DEBIAN_FRONTEND=noninteractive apt-get install -y --no-install-recommends "$@" ||
    { apt-get update && DEBIAN_FRONTEND=noninteractive apt-get install -y --no-install-recommends "$@"; }; } \
    </dev/null >"$log" 2>&1; then
    tail -n 20 "$log" >&2
    rm -f "$log"
    stop "apt-get could not install $*" \
      'Look at the lines above; see that this machine reaches its Debian mirror; run this again.'
  fi
  rm -f "$log"
}
