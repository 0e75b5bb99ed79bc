# Sourced by the two commands beside it: goes to the top of the checkout and makes the environment .venv there.

set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."

# step COMMAND...: says what it does, and how it failed.
step() {
    printf '\n== %s\n' "$*"
    "$@" || {
        printf '\n== FAILED (status %s): %s\n' "$?" "$*" >&2
        exit 1
    }
}

# debian_packages NAME...: installs them with Debian's package manager, as root or through sudo.
debian_packages() {
    local as_root=()
    if [ "$(id -u)" -ne 0 ]; then
        as_root=(sudo)
    fi
    if ! command -v apt-get >/dev/null; then
        printf 'Please install %s (or what your system calls it) and run this again.\n' "$*" >&2
        return 1
    fi
    step "${as_root[@]}" apt-get update -q
    step "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive apt-get install -q -y --no-install-recommends "$@"
}

environment() {
    local python
    python=$(command -v python3.11 || command -v python3 || true)
    if [ -z "$python" ] || ! "$python" -c 'import ensurepip, venv' 2>/dev/null; then
        debian_packages python3 python3-venv
        python=$(command -v python3.11 || command -v python3)
    fi
    if ! "$python" -c 'import sys; sys.exit(sys.version_info < (3, 11))'; then
        printf 'Legwise needs Python 3.11 or later; %s is older.\n' "$python" >&2
        return 1
    fi
    if ! .venv/bin/python -c 'import pip' 2>/dev/null; then
        step "$python" -m venv --clear .venv
    fi
    # The pip that comes with Python 3.11 does not know dependency groups.
    step .venv/bin/python -m pip install -q --upgrade pip
}
