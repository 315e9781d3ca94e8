#!/usr/bin/env bash
# Fuzzes the readers: `bash tests/fuzz.sh [SECONDS] [TARGET…]`, 600 seconds for each target if nothing else is said, and all
# targets if none is named. Needs Rust, as it stands, and g++; no nightly toolchain. Ends with 1 if any target fell.
set -euo pipefail
cd "$(dirname "$0")/.."

seconds=600
if [[ ${1:-} =~ ^[0-9]+$ ]]; then seconds=$1; shift; fi
here=${BENCHLIGHT_FUZZ_TARGET:-$PWD/target/fuzz}
triple=$(rustc -vV | sed -n 's/^host: //p')

# With `--target` these flags reach what is fuzzed and not the scripts that build it.
passes="-Cpasses=sancov-module -Cllvm-args=-sanitizer-coverage-level=4 -Cllvm-args=-sanitizer-coverage-inline-8bit-counters"
passes+=" -Cllvm-args=-sanitizer-coverage-pc-table -Cllvm-args=-sanitizer-coverage-trace-compares"
# The versions of the program, whatever came out since.
cp Cargo.lock tests/fuzz/Cargo.lock
CARGO_TARGET_DIR="$here" CARGO_INCREMENTAL=0 RUSTFLAGS="--cfg fuzzing $passes" \
    cargo build --release --quiet --manifest-path tests/fuzz/Cargo.toml --target "$triple"
program="$here/$triple/release/benchlight-fuzz"

mapfile -t all < <(sed -n 's/^    ("\([a-z-]*\)", .*),$/\1/p' src/fuzz/mod.rs)
if [ $# -gt 0 ]; then targets=("$@"); else targets=("${all[@]}"); fi

fallen=0
for target in "${targets[@]}"; do
    found="$here/found/$target"
    seeds="tests/attack/seeds/$target"
    case $target in
        shop | job | route | partners | pose | site) words=sheet ;;
        record | listing) words=stored ;;
        exif | jpeg | png | gif | webp | heic) words=picture ;;
        *) words=$target ;;
    esac
    words="tests/fuzz/words/$words.dict"
    mkdir -p "$found" "$here/fell/$target" "$seeds"
    options=(-max_total_time="$seconds" -timeout=10 -rss_limit_mb=2048 -max_len=16384 -print_final_stats=1 -verbosity=1)
    [ -e "$words" ] && options+=(-dict="$words")
    log="$here/$target.log"
    if BENCHLIGHT_FUZZ=$target nice -n 15 "$program" "${options[@]}" -artifact_prefix="$here/fell/$target/" \
        "$found" "$seeds" >"$log" 2>&1; then how=whole; else how=FELL; fallen=1; fi
    runs=$(sed -n 's/^stat::number_of_executed_units: *//p' "$log")
    peak=$(sed -n 's/^stat::peak_rss_mb: *//p' "$log")
    cover=$(grep -o ' cov: [0-9]*' "$log" | tail -1)
    printf '%-10s %5s %9s runs,%s, %s MB\n' "$target" "$how" "${runs:-?}" "${cover:- cov: ?}" "${peak:-?}"
    if [ "$how" = FELL ]; then
        grep -a -m 3 -E "panicked at|ERROR: libFuzzer|^assertion" -A 2 "$log" || true
        ls "$here/fell/$target" | sed "s|^|    $here/fell/$target/|"
    fi
done
exit $fallen
