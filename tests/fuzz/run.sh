#!/bin/sh
# The long runs of `make fuzz`. Everything lies in build/fuzz; what was found, in build/fuzz/*/found.
set -eu
replay=build/sanitize/tests/fuzz
export ASAN_OPTIONS=detect_leaks=1:allocator_may_return_null=1
status=0

echo "--- regression inputs"
$replay/clip_replay tests/fuzz/corpus/clip || status=1
for part in review checks speeds marks; do
    $replay/${part}_replay --failing tests/fuzz/corpus/$part || status=1
done

echo "--- $FUZZ_FILES mutated clips, and texts"
tests/fuzz/campaign.py $replay/clip_replay --files "$FUZZ_FILES" || status=1
for part in review checks speeds marks; do
    tests/fuzz/campaign.py $replay/${part}_replay --texts tests/fuzz/corpus/$part --work build/fuzz/$part \
        --files "$FUZZ_FILES" || status=1
done

if ! command -v clang >/dev/null 2>&1; then
    echo "skipped: libFuzzer comes with clang, which is not here; apt-get install clang"
    exit $status
fi
for part in review checks speeds marks clip; do
    echo "--- libFuzzer on $part, $FUZZ_SECONDS s"
    work=build/fuzz/$part
    mkdir -p "$work/corpus" "$work/grown" "$work/found"
    dictionary=
    # FFmpeg may ask for a GiB at once (src/clip/reader.c) that a broken clip never fills.
    [ -f tests/fuzz/$part.dict ] && dictionary=-dict=tests/fuzz/$part.dict
    build/fuzz/${part}_fuzz -max_total_time="$FUZZ_SECONDS" -timeout=10 -rss_limit_mb=1024 -malloc_limit_mb=1500 -max_len=200000 \
        -print_final_stats=1 -verbosity=0 -artifact_prefix="$work/found/" $dictionary \
        "$work/grown" tests/fuzz/corpus/$part "$work/corpus" || status=1
done
exit $status
