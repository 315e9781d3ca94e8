#!/usr/bin/env bash
# Installs what the tests need, then runs everything: format, lints, all tests, the demo shop.
# Ends with one line that counts the tests. Needs Rust; the rest it fetches by package name.
set -euo pipefail
cd "$(dirname "$0")/.."

tools=target/tools
mkdir -p "$tools"

# --- Debian packages: only what is not there yet -----------------------------------------------
wanted=()
need() { command -v "$1" >/dev/null 2>&1 || wanted+=("$2"); }
need cc gcc
need python3 python3
need exiftool libimage-exiftool-perl
need jing jing
need java default-jre-headless
need npm npm
need chromium chromium
need vipsthumbnail libvips-tools
# The pages are drawn with these typefaces; another would break lines elsewhere.
fc-list 2>/dev/null | grep -q "DejaVu Serif" || wanted+=(fontconfig fonts-dejavu-core)
need zbarimg zbar-tools
need pdftoppm poppler-utils
need ssconvert gnumeric
need rsync rsync
need faketime faketime
need ed ed
need strace strace
need ssh openssh-client
need ssh-keygen openssh-client
[ -x /usr/sbin/sshd ] || wanted+=(openssh-server)
[ -x /usr/sbin/apache2 ] || wanted+=(apache2)
[ -e /etc/mime.types ] || wanted+=(media-types)
need unshare util-linux
python3 -c 'import venv, ensurepip' >/dev/null 2>&1 || wanted+=(python3-venv)
if [ ${#wanted[@]} -gt 0 ]; then
    echo "installing: ${wanted[*]}"
    as_root=()
    [ "$(id -u)" -eq 0 ] || as_root=(sudo)
    "${as_root[@]}" apt-get update -qq
    DEBIAN_FRONTEND=noninteractive "${as_root[@]}" apt-get install -y -qq --no-install-recommends "${wanted[@]}" >"$tools/apt.log"
fi

# --- Python and npm packages, at the versions the lists name --------------------------------------
if ! cmp -s tests/requirements.txt "$tools/requirements.done"; then
    python3 -m venv --clear "$tools/python"
    "$tools/python/bin/pip" install --quiet --disable-pip-version-check -r tests/requirements.txt
    cp tests/requirements.txt "$tools/requirements.done"
fi
if ! cmp -s tests/requirements-scan.txt "$tools/requirements-scan.done"; then
    python3 -m venv --clear "$tools/wapiti"
    "$tools/wapiti/bin/pip" install --quiet --disable-pip-version-check -r tests/requirements-scan.txt
    cp tests/requirements-scan.txt "$tools/requirements-scan.done"
fi
if ! cmp -s tests/package.json "$tools/package.done"; then
    mkdir -p "$tools/npm"
    cp tests/package.json "$tools/npm/package.json"
    npm install --prefix "$tools/npm" --no-package-lock --no-audit --no-fund --silent
    cp tests/package.json "$tools/package.done"
fi
export BENCHLIGHT_PYTHON="$PWD/$tools/python/bin/python"
export BENCHLIGHT_WAPITI="$PWD/$tools/wapiti/bin/wapiti"
export BENCHLIGHT_NPM="$PWD/$tools/npm/node_modules"

# --- What other people's packages may be part of the program ------------------------------------------
deny=0.20.2
if [ "$("$tools/deny/bin/cargo-deny" --version 2>/dev/null)" != "cargo-deny $deny" ]; then
    CARGO_TARGET_DIR="$tools/deny-build" CARGO_PROFILE_DEV_OPT_LEVEL=0 CARGO_PROFILE_DEV_DEBUG=0 \
        cargo install cargo-deny --version "$deny" --locked --debug --quiet --root "$tools/deny"
    rm -rf "$tools/deny-build"
fi
"$tools/deny/bin/cargo-deny" --config tests/deny.toml check licenses bans sources

# --- Format, lints, documentation -------------------------------------------------------------------
cargo fmt --all --check
cargo clippy --all-targets --quiet -- -D warnings
RUSTDOCFLAGS="-D warnings" cargo doc --no-deps --document-private-items --quiet

# --- The README's first command, as it stands there ------------------------------------------------
cargo run --release --quiet -- make

# --- All tests ----------------------------------------------------------------------------------------
log="$tools/tests.log"
cargo test --no-fail-fast 2>&1 | tee "$log" || true
awk '/^test result:/ { passed += $4; failed += $6; ignored += $8; runs += 1 }
     END { printf "%d passed, %d failed, %d skipped\n", passed, failed, ignored
           exit (runs == 0 || passed == 0 || failed > 0 || ignored > 0) }' "$log" && ! grep -q '^error' "$log"
