/* `frames`: the hash of each frame, so that exactness can be checked from outside. */
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "cli/commands.h"
#include "serveplumb/clip.h"

/* SplitMix64 (Steele, Lea and Flood 2014): the same order from the same seed on every machine. */
static uint64_t next_random(uint64_t *state) {
    uint64_t z = (*state += 0x9E3779B97F4A7C15u);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return z ^ (z >> 31);
}

static bool order_frames(int *order, int count, const char *name, uint64_t seed, sp_error *error) {
    for (int i = 0; i < count; i++) order[i] = i;
    if (name == NULL || strcmp(name, "forward") == 0) return true;
    if (strcmp(name, "backward") == 0) {
        for (int i = 0; i < count; i++) order[i] = count - 1 - i;
        return true;
    }
    if (strcmp(name, "random") != 0)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "'--order %s': expected forward, backward or random", name);
    for (int i = count - 1; i > 0; i--) {
        const int other = (int)(next_random(&seed) % (uint64_t)(i + 1));
        const int kept = order[i];
        order[i] = order[other];
        order[other] = kept;
    }
    return true;
}

/* A frame that cannot be had is told in its place, and the rest goes on. */
static bool print_hash(sp_clip *clip, int n, bool *all_good) {
    sp_error error = {0};
    sp_frame *frame = sp_clip_frame(clip, n, &error);
    if (frame == NULL) {
        fprintf(stderr, "serveplumb: frame %d: %s\n", n, error.message);
        *all_good = false;
        return error.code == SP_ERROR_DAMAGED;
    }
    char hex[33];
    const bool good = sp_frame_md5(frame, hex, &error);
    if (good) {
        printf("%d %s\n", n, hex);
    } else {
        fprintf(stderr, "serveplumb: frame %d: %s\n", n, error.message);
        *all_good = false;
    }
    sp_frame_unref(frame);
    return true;
}

static int print_hashes(const cli_call *call, sp_clip *clip, uint64_t seed) {
    sp_error error = {0};
    const int count = sp_clip_get_facts(clip)->frames;
    int *order = malloc(sizeof *order * (size_t)(count > 0 ? count : 1));
    int status = 1;
    if (order == NULL) {
        sp_fail(&error, SP_ERROR_MEMORY, "no memory for the order of %d frames", count);
        status = cli_fail(&error);
    } else if (!order_frames(order, count, cli_value(call, "order"), seed, &error)) {
        status = cli_fail(&error);
    } else {
        bool all_good = true;
        for (int i = 0; i < count && print_hash(clip, order[i], &all_good); i++) continue;
        status = cli_done();
        if (!all_good) status = 1;
    }
    free(order);
    return status;
}

static int run_frames(const cli_call *call) {
    sp_error error = {0};
    long long seed = 1;
    if (!cli_given(call, "hash")) {
        sp_fail(&error, SP_ERROR_ARGUMENT,
                "'frames' prints hashes only: serveplumb frames CLIP --hash");
        return cli_fail(&error);
    }
    if (!cli_integer(call, "seed", 0, INT64_MAX, &seed, &error)) return cli_fail(&error);
    sp_clip *clip = sp_clip_open(call->operand, NULL, &error);
    if (clip == NULL) return cli_fail(&error);
    const int status = print_hashes(call, clip, (uint64_t)seed);
    sp_clip_close(clip);
    return status;
}

const cli_command cli_frames = {
    .name = "frames",
    .operand = "CLIP",
    .summary = "the MD5 of each frame as decoded, to check exactness from outside",
    .options = {{"hash", 0, NULL, "print 'frame-number md5', one frame a line"},
                {"order", 0, "ORDER",
                 "the order of visiting: forward (default), backward or random"},
                {"seed", 0, "N", "which random order (default 1)"}},
    .run = run_frames,
};
