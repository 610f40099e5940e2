#include "carry/repeats.h"

#include <stdlib.h>

/* Mean difference of a block's pixels. A frame repeats the one before it when no block differs by
 * more than compression leaves behind, and it is still beside the others (real phone clips:
 * repeated 3 to 6, others 40 to 130). */
#define BLOCK 8
#define SAME_MOST 8
#define SAME_SHARE 0.25
/* More in a row than so many are a scene in which nothing moves. */
#define ROW_MOST 2

/* The greatest difference of any block, by every second of its rows. */
static int most_changed(const sp_carry_clip *clip, const uint8_t *one, const uint8_t *other) {
    int most = 0;
    for (int top = 0; top + BLOCK <= clip->height; top += BLOCK)
        for (int left = 0; left + BLOCK <= clip->width; left += BLOCK) {
            int sum = 0;
            for (int y = top; y < top + BLOCK; y += 2) {
                const size_t at = (size_t)y * (size_t)clip->width + (size_t)left;
                for (size_t x = at; x < at + BLOCK; x++) sum += abs(one[x] - other[x]);
            }
            most = sum > most ? sum : most;
        }
    return 2 * most / (BLOCK * BLOCK);
}

static int ascending(const void *a, const void *b) {
    const int *one = a, *other = b;
    return (*one > *other) - (*one < *other);
}

static void forget_long_rows(size_t count, bool *again) {
    for (size_t i = 1, begin = 1; i <= count; i++) {
        if (i < count && again[i]) continue;
        for (size_t k = begin; i - begin > ROW_MOST && k < i; k++) again[k] = false;
        begin = i + 1;
    }
}

static void judge(const int *changed, size_t count, bool *again) {
    int *sorted = malloc(count * sizeof *sorted);
    if (sorted == NULL) return; /* then none is said to repeat */
    for (size_t i = 0; i < count; i++) sorted[i] = changed[i];
    qsort(sorted, count, sizeof *sorted, ascending);
    const size_t middle = count / 2;
    const double usual = sorted[middle];
    for (size_t i = 1; i < count; i++)
        again[i] = changed[i] <= SAME_MOST && changed[i] < SAME_SHARE * usual;
    free(sorted);
    forget_long_rows(count, again);
}

bool carry_repeats_find(carry_reel *reel, int first, int last, bool *again, double *seconds,
                        sp_error *error) {
    const sp_carry_clip *clip = carry_reel_clip(reel);
    const size_t count = (size_t)last - (size_t)first + 1;
    int *changed = calloc(count, sizeof *changed);
    if (changed == NULL)
        return sp_fail(error, SP_ERROR_MEMORY, "no memory to carry points; close other programs");
    bool good = true;
    for (size_t i = 1; good && i < count; i++) {
        const uint8_t *before = carry_reel_luma(reel, first + (int)i - 1, error);
        const uint8_t *now = before != NULL ? carry_reel_luma(reel, first + (int)i, error) : NULL;
        good = now != NULL;
        if (good) changed[i] = most_changed(clip, before, now);
    }
    if (good) judge(changed, count, again);
    free(changed);
    for (size_t i = 0; good && i < count; i++)
        seconds[i] = i > 0 && again[i] ? seconds[i - 1] : clip->seconds[first + (int)i];
    return good;
}
