#include "carry/backdrop.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>

#define SAMPLES_MAX 11
/* A pixel moves when it differs by more than this many times its own wavering, and by more than
 * compression leaves behind at an edge. */
#define WAVERS 4
#define SOFT_LEAST 9

void carry_backdrop_clear(carry_backdrop *b) {
    free(b->median);
    free(b->soft);
    *b = (carry_backdrop){0};
}

static void order(uint8_t *a, uint8_t *b) {
    const uint8_t low = *a < *b ? *a : *b, high = *a < *b ? *b : *a;
    *a = low;
    *b = high;
}

/* Odd-even transposition over many pixels at once: the inner loop runs along the row, so that it
 * vectorises; columns[k] is the k-th sample of each pixel. */
static void sort_columns(uint8_t *columns[], int count, int width) {
    assert(count > 0 && count <= SAMPLES_MAX);
    for (int pass = 0; pass < count; pass++)
        for (int k = pass % 2; k + 1 < count; k += 2) {
            uint8_t *restrict one = columns[k], *restrict other = columns[k + 1];
            for (int x = 0; x < width; x++) order(&one[x], &other[x]);
        }
}

static void learn_row(carry_backdrop *b, uint8_t *columns[], int count, int y) {
    uint8_t *median = b->median + (size_t)y * (size_t)b->width;
    uint8_t *soft = b->soft + (size_t)y * (size_t)b->width;
    sort_columns(columns, count, b->width);
    const uint8_t *middle = columns[count / 2];
    /* The middle half of the samples: what passes by stays in the outer quarters. */
    const uint8_t *low = columns[count / 4], *high = columns[count - 1 - count / 4];
    for (int x = 0; x < b->width; x++) {
        const int wavering = WAVERS * (high[x] - low[x]) * 3 / 4;
        median[x] = middle[x];
        soft[x] = (uint8_t)(wavering > 255 ? 255 : wavering < SOFT_LEAST ? SOFT_LEAST : wavering);
    }
}

static double share_moving(const carry_backdrop *b, const uint8_t *frame) {
    const size_t size = (size_t)b->width * (size_t)b->height;
    size_t count = 0;
    for (size_t i = 0; i < size; i++) count += abs(frame[i] - b->median[i]) > SOFT_LEAST;
    return (double)count / (double)size;
}

static bool take_samples(carry_reel *reel, int first, int last, int count, uint8_t *samples,
                         sp_error *error) {
    const sp_carry_clip *clip = carry_reel_clip(reel);
    const size_t size = (size_t)clip->width * (size_t)clip->height;
    for (int k = 0; k < count; k++) {
        const int n = count == 1 ? first : first + (int)((long)(last - first) * k / (count - 1));
        const uint8_t *luma = carry_reel_luma(reel, n, error);
        if (luma == NULL) return false;
        memcpy(samples + (size_t)k * size, luma, size);
    }
    return true;
}

static void learn_all(carry_backdrop *b, const uint8_t *samples, int count, uint8_t *rows) {
    const size_t size = (size_t)b->width * (size_t)b->height, width = (size_t)b->width;
    for (int y = 0; y < b->height; y++) {
        uint8_t *columns[SAMPLES_MAX] = {NULL};
        for (int k = 0; k < count; k++) {
            columns[k] = rows + (size_t)k * width;
            memcpy(columns[k], samples + (size_t)k * size + (size_t)y * width, width);
        }
        learn_row(b, columns, count, y);
    }
    b->moving = share_moving(b, samples + (size_t)(count / 2) * size);
}

bool carry_backdrop_learn(carry_backdrop *b, carry_reel *reel, int first, int last,
                          sp_error *error) {
    const sp_carry_clip *clip = carry_reel_clip(reel);
    const size_t size = (size_t)clip->width * (size_t)clip->height;
    const int count = last - first + 1 < SAMPLES_MAX ? last - first + 1 : SAMPLES_MAX;
    *b = (carry_backdrop){.width = clip->width, .height = clip->height};
    uint8_t *samples = calloc((size_t)count, size);
    uint8_t *rows = malloc((size_t)count * (size_t)clip->width);
    b->median = calloc(size, 1);
    b->soft = calloc(size, 1);
    bool good = samples != NULL && rows != NULL && b->median != NULL && b->soft != NULL;
    if (!good) sp_fail(error, SP_ERROR_MEMORY, "no memory to carry points; close other programs");
    good = good && take_samples(reel, first, last, count, samples, error);
    if (good) learn_all(b, samples, count, rows);
    free(samples);
    free(rows);
    if (!good) carry_backdrop_clear(b);
    return good;
}
