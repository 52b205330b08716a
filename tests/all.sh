#!/usr/bin/env bash
# Every check of this project, on a fresh Debian machine with Rust and a C compiler. What the checks need
# beside those two is installed when it is absent. A missing prerequisite ends the run with one line
# that names it; nothing is skipped.
#
# Order: cheap refusals first, then the tests, then what needs the release binary (built once, used by the
# browser walks and by the figures). Dependency audit (cargo-deny) is not part of it: it would have to be
# compiled from source, longer than everything here together, and its advisories come from
# an outside address that a build machine need not reach.
set -euo pipefail
cd "$(dirname "${BASH_SOURCE[0]}")/.."
started=$SECONDS

die() {
    echo "tests/all.sh: $*" >&2
    exit 1
}

step() {
    printf '\n=== %s (at %d s)\n' "$1" "$((SECONDS - started))"
}

# --- prerequisites ------------------------------------------------------------------------------

command -v cargo >/dev/null || die "cargo is missing: install Rust 1.95 or newer"
command -v cc >/dev/null || die "a C compiler is missing (the bundled SQLite is C): apt-get install build-essential"
cargo fmt --version >/dev/null 2>&1 || die "rustfmt is missing: rustup component add rustfmt"
cargo clippy --version >/dev/null 2>&1 || die "clippy is missing: rustup component add clippy"

# A `venv` that cannot install pip is what Debian has without its python3-venv package.
python_has_venv() {
    python3 -c 'import venv, ensurepip' >/dev/null 2>&1
}

missing_packages() {
    command -v chromium >/dev/null || echo chromium
    command -v chromedriver >/dev/null || echo chromium-driver
    command -v pdftotext >/dev/null || echo poppler-utils
    command -v qpdf >/dev/null || echo qpdf
    command -v python3 >/dev/null || echo python3
    python_has_venv || echo python3-venv
}

install_packages() {
    local packages=("$@") as_root=()
    command -v apt-get >/dev/null || die "missing, and no apt-get to install them with: ${packages[*]}"
    if [ "$(id -u)" -ne 0 ]; then
        command -v sudo >/dev/null || die "missing, and neither root nor sudo to install them with: ${packages[*]}"
        as_root=(sudo)
    fi
    echo "installing: ${packages[*]}"
    "${as_root[@]}" apt-get update -qq || die "apt-get update failed"
    "${as_root[@]}" env DEBIAN_FRONTEND=noninteractive \
        apt-get install -y -qq --no-install-recommends "${packages[@]}" >/dev/null \
        || die "apt-get could not install: ${packages[*]}"
}

step "what the checks need"
mapfile -t packages < <(missing_packages)
if [ "${#packages[@]}" -gt 0 ]; then
    install_packages "${packages[@]}"
    mapfile -t packages < <(missing_packages)
    [ "${#packages[@]}" -eq 0 ] || die "still missing after apt-get install: ${packages[*]}"
fi

# The environment is made anew when the pins or the Python beneath it changed.
venv=tests/.venv
wanted="$(python3 --version) $(sha256sum <tests/requirements.txt)"
if [ "$(cat "$venv/made-for" 2>/dev/null)" != "$wanted" ] || ! "$venv/bin/python" -c '' 2>/dev/null; then
    rm -rf "$venv"
    python3 -m venv "$venv" || die "python3 -m venv failed"
    "$venv/bin/pip" install --quiet --disable-pip-version-check --no-deps -r tests/requirements.txt \
        || die "pip could not install tests/requirements.txt"
    "$venv/bin/pip" check >/dev/null || die "tests/requirements.txt lacks a pin: $("$venv/bin/pip" check | head -1)"
    echo "$wanted" >"$venv/made-for"
fi
python="$venv/bin/python"
cargo --version
"$python" --version

# --- source -------------------------------------------------------------------------------------

step "format"
cargo fmt --check
# Compiled by itself, so cargo does not know it.
rustfmt --check --edition 2024 tests/bench/ceilings.rs

step "lints"
cargo clippy --locked --all-targets -- -D warnings

step "tests"
cargo test --locked

step "documentation"
RUSTDOCFLAGS="-D warnings" cargo doc --locked --no-deps --document-private-items

# --- against the outside ------------------------------------------------------------------------

# Each script recomputes, with libraries that are no part of this project, the numbers that a committed table
# holds and the tests of the crate read; it fails when the table says something else.
step "outside references"
references=(tests/references/*.py)
[ -e "${references[0]}" ] || die "tests/references holds no script"
for script in "${references[@]}"; do
    echo "$script"
    "$python" "$script" --check || die "$script: the committed table differs"
done

step "release binary"
cargo build --locked --release --bin standmast
binary="${CARGO_TARGET_DIR:-target}/release/standmast"

step "browser walks"
"$python" tests/browser/run.py "$binary"

step "figures"
"$python" tests/bench/run.py "$binary"

printf '\nall checks passed in %d s\n' "$((SECONDS - started))"
