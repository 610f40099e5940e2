/* How fast a point is carried: RAW WIDTH HEIGHT FRAMES, then "frame x y" of the taps on standard
 * input; RAW holds the luma of the frames. Prints a line of JSON. Decoding is not in it. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "serveplumb/carry.h"

typedef struct {
    const unsigned char *pixels;
    size_t size;
} raw;

static bool luma(void *context, int n, uint8_t *into, sp_error *error) {
    (void)error;
    const raw *r = context;
    memcpy(into, r->pixels + (size_t)n * r->size, r->size);
    return true;
}

static double now_s(clockid_t clock) {
    struct timespec t;
    clock_gettime(clock, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static unsigned char *read_raw(const char *path, size_t size) {
    FILE *file = fopen(path, "rb");
    unsigned char *pixels = malloc(size);
    if (file == NULL || pixels == NULL || fread(pixels, 1, size, file) != size) exit(2);
    fclose(file);
    return pixels;
}

int main(int count, char **words) {
    if (count != 5) return 2;
    const int width = atoi(words[2]), height = atoi(words[3]), frames = atoi(words[4]);
    const size_t size = (size_t)width * (size_t)height;
    unsigned char *pixels = read_raw(words[1], size * (size_t)frames);
    raw r = {pixels, size};
    double *seconds = calloc((size_t)frames, sizeof *seconds);
    sp_carry_tap *taps = calloc((size_t)frames, sizeof *taps);
    sp_carried *carried = calloc((size_t)frames, sizeof *carried);
    if (seconds == NULL || taps == NULL || carried == NULL) return 2;
    for (int i = 0; i < frames; i++) seconds[i] = i / 120.0;
    size_t tap_count = 0;
    while (scanf("%d %lf %lf", &taps[tap_count].frame, &taps[tap_count].at.x,
                 &taps[tap_count].at.y) == 3)
        taps[tap_count++].sd_px = 1;
    if (tap_count < 2) return 2;
    const sp_carry_clip clip = {width, height, frames, seconds, luma, &r};
    const sp_carry_job job = {.taps = taps,
                              .tap_count = tap_count,
                              .from = taps[0].frame,
                              .to = taps[tap_count - 1].frame,
                              .impact = -1};
    const double wall = now_s(CLOCK_MONOTONIC), cpu = now_s(CLOCK_PROCESS_CPUTIME_ID);
    sp_error error = {0};
    if (!sp_carry_point(&clip, &job, carried, &error)) return 3;
    printf("{\"frames\": %d, \"wall\": %.6f, \"cpu\": %.6f}\n", job.to - job.from,
           now_s(CLOCK_MONOTONIC) - wall, now_s(CLOCK_PROCESS_CPUTIME_ID) - cpu);
    free(pixels);
    free(seconds);
    free(taps);
    free(carried);
    return 0;
}
