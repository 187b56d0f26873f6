# What ./scripts/start and ./scripts/test have in common: the Python environment, Debian's packages,
# Node, and the built frontend. Sourced, not run; every step is skipped when its stamp says that it
# was done from the same inputs, so that a second run costs next to nothing.
# shellcheck shell=bash

ROOT=$(cd -- "$(dirname -- "${BASH_SOURCE[0]}")/.." && pwd)
VENV="$ROOT/.venv"
STAMPS="$VENV/stamps"
STATIC="$ROOT/backend/numbertaker/web/static"
export PLAYWRIGHT_SKIP_BROWSER_DOWNLOAD=1 NPM_CONFIG_UPDATE_NOTIFIER=false

say() { printf '%s\n' "$@"; }

fail() {
    printf '%s\n' "$*" >&2
    exit 1
}

if command -v sha256sum >/dev/null; then SHA=(sha256sum); else SHA=(shasum -a 256); fi

digest() { "${SHA[@]}" | cut -d ' ' -f 1; }

stamped() { # NAME VALUE: whether the step NAME was last done with these inputs
    [ -f "$STAMPS/$1" ] && [ "$(cat "$STAMPS/$1")" = "$2" ]
}

stamp() { # NAME VALUE
    mkdir -p "$STAMPS"
    printf '%s\n' "$2" >"$STAMPS/$1"
}

command_to_install() { # DEBIAN_PACKAGE [BREW_PACKAGE]: the one command a person types on this system
    if command -v apt-get >/dev/null; then
        if [ "$(id -u)" = 0 ]; then say "apt-get install -y $1"; else say "sudo apt-get install -y $1"; fi
    elif command -v brew >/dev/null && [ -n "${2-}" ]; then
        say "brew install $2"
    else
        say "(with your system's package manager) install what Debian calls $1"
    fi
}

debian_package() { # PACKAGE: install it where we may; false where we may not
    command -v apt-get >/dev/null && [ "$(id -u)" = 0 ] || return 1
    local log options=(-q -y -o DPkg::Lock::Timeout=300)
    log=$(mktemp)
    say "Installing Debian's $1."
    if ! {
        DEBIAN_FRONTEND=noninteractive apt-get "${options[@]}" install --no-install-recommends "$1" ||
            { apt-get "${options[@]}" update &&
                DEBIAN_FRONTEND=noninteractive apt-get "${options[@]}" install --no-install-recommends "$1"; }
    } >"$log" 2>&1 </dev/null; then
        tail -n 5 "$log" >&2
        rm -f "$log"
        return 1
    fi
    rm -f "$log"
}

ensure_tesseract() { # reading goes on without it, so its absence is said and not fatal
    command -v tesseract >/dev/null && return 0
    debian_package tesseract-ocr && return 0
    say "Tesseract is not installed; cards will be read by the built-in recogniser alone."
    say "To add it, type:  $(command_to_install tesseract-ocr tesseract)"
}

ensure_chromium() {
    command -v chromium >/dev/null && return 0
    debian_package chromium && return 0
    fail "The browser tests need Chromium. Type:  $(command_to_install chromium chromium)"
}

ensure_postgresql() {
    command -v pg_ctl >/dev/null && return 0
    compgen -G '/usr/lib/postgresql/*/bin/pg_ctl' >/dev/null && return 0
    debian_package postgresql && return 0
    fail "The tests of the larger archive need PostgreSQL. Type:  $(command_to_install postgresql postgresql)"
}

ensure_libreoffice() { # only the long tests open documents in a word processor
    command -v soffice >/dev/null && return 0
    debian_package libreoffice-writer-nogui && return 0
    fail "The long tests open documents in LibreOffice. Type:  $(command_to_install libreoffice-writer-nogui)"
}

find_python() { # print a Python that can run the program, the locked version first
    local name
    for name in python3.11 python3 python3.12 python3.13 python; do
        if command -v "$name" >/dev/null &&
            "$name" -c 'import sys; sys.exit(not (3, 11) <= sys.version_info[:2] <= (3, 13))' 2>/dev/null; then
            command -v "$name"
            return 0
        fi
    done
    return 1
}

ensure_venv() {
    [ -x "$VENV/bin/python" ] && "$VENV/bin/python" -c 'import pip' 2>/dev/null && return 0
    local python version
    python=$(find_python) ||
        fail "Python 3.11, 3.12 or 3.13 was expected and none was found. Type:  $(command_to_install python3 python@3.11)"
    if ! "$python" -c 'import ensurepip, venv' 2>/dev/null; then
        version=$("$python" -c 'import sys; print("%d.%d" % sys.version_info[:2])')
        debian_package "python$version-venv" ||
            fail "Python $version can't make a virtual environment yet. Type:  $(command_to_install "python$version-venv")"
    fi
    say "Making the Python environment in .venv."
    rm -rf "$VENV"
    "$python" -m venv "$VENV"
}

pip_install() { # pip's own words are shown only when it fails
    local log
    log=$(mktemp)
    if ! "$VENV/bin/python" -m pip install --quiet --disable-pip-version-check --no-input "$@" >"$log" 2>&1; then
        cat "$log" >&2
        rm -f "$log"
        fail "The Python packages could not be installed (see above). Once that is mended, run this again."
    fi
    rm -f "$log"
}

install_lock() { # NAME: the packages of requirements/NAME.lock, each checked against its hash
    local lock="$ROOT/requirements/$1.lock" value
    value=$(digest <"$lock")
    stamped "$1" "$value" && return 0
    say "Installing the Python packages of requirements/$1.lock (some minutes at most, the first time)."
    pip_install --require-hashes -r "$lock"
    stamp "$1" "$value"
}

install_program() { # the program itself, run from this folder
    local value
    value="$ROOT $(digest <"$ROOT/pyproject.toml")"
    stamped program "$value" && [ -x "$VENV/bin/numbertaker" ] && return 0
    pip_install --no-deps --no-build-isolation -e "$ROOT"
    stamp program "$value"
}

ensure_python() { # LOCK…: environment, locked packages, program
    ensure_venv
    local lock
    for lock in "$@"; do install_lock "$lock"; done
    install_program
}

node_is_new_enough() { # Vite wants 20.19 or newer of 20, 22.12 or newer of 22, or anything above
    command -v node >/dev/null && command -v npm >/dev/null && node -e '
        const [major, minor] = process.versions.node.split(".").map(Number)
        process.exit((major === 20 && minor >= 19) || (major === 22 && minor >= 12) || major > 22 ? 0 : 1)'
}

ensure_node() { # the machine's Node, else the one that a Python wheel carries
    node_is_new_enough && return 0
    install_lock node
    PATH="$VENV/bin:$PATH"
    node_is_new_enough || fail "Node 20.19 or newer was expected; $(node --version 2>&1 || true) was found."
}

npm_run() { # npm's words, from the frontend's folder
    (cd "$ROOT/frontend" && npm "$@" </dev/null)
}

ensure_node_modules() {
    local modules="$ROOT/frontend/node_modules" value
    value=$(digest <"$ROOT/frontend/package-lock.json")
    [ -f "$modules/.lock-digest" ] && [ "$(cat "$modules/.lock-digest")" = "$value" ] && return 0
    say "Installing the frontend's packages."
    npm_run ci --no-audit --no-fund --loglevel=error
    printf '%s\n' "$value" >"$modules/.lock-digest"
}

frontend_digest() {
    (cd "$ROOT/frontend" &&
        find . -name node_modules -prune -o -type f -print | LC_ALL=C sort |
        tr '\n' '\0' | xargs -0 "${SHA[@]}" | digest)
}

ensure_frontend() { # the built pages, in backend/numbertaker/web/static
    local value
    value=$(frontend_digest)
    stamped frontend "$value" && [ -f "$STATIC/index.html" ] && return 0
    ensure_node
    ensure_node_modules
    say "Building the pages."
    npm_run run build --silent -- --logLevel warn
    [ -f "$STATIC/index.html" ] || fail "The frontend's build was expected to write $STATIC/index.html and did not."
    stamp frontend "$value"
}
