#include "carry/reel.h"

#include <stdlib.h>

typedef struct {
    int frame; /* -1: empty */
    unsigned long used;
    uint8_t *luma;
} slot;

struct carry_reel {
    const sp_carry_clip *clip;
    size_t count;
    unsigned long clock;
    slot *slots;
};

carry_reel *carry_reel_new(const sp_carry_clip *clip, size_t bytes, sp_error *error) {
    const size_t size = (size_t)clip->width * (size_t)clip->height;
    carry_reel *reel = calloc(1, sizeof *reel);
    size_t count = bytes / size;
    if (count < 2) count = 2;
    if (count > (size_t)clip->frames + 1) count = (size_t)clip->frames + 1;
    if (reel != NULL) reel->slots = calloc(count, sizeof *reel->slots);
    if (reel == NULL || reel->slots == NULL) {
        free(reel);
        sp_fail(error, SP_ERROR_MEMORY, "no memory to carry points; close other programs");
        return NULL;
    }
    reel->clip = clip;
    reel->count = count;
    for (size_t i = 0; i < count; i++) reel->slots[i].frame = -1;
    return reel;
}

void carry_reel_free(carry_reel *reel) {
    if (reel == NULL) return;
    for (size_t i = 0; i < reel->count; i++) free(reel->slots[i].luma);
    free(reel->slots);
    free(reel);
}

const sp_carry_clip *carry_reel_clip(const carry_reel *reel) { return reel->clip; }

/* The frame's own slot, else the one that was used longest ago. */
static slot *slot_for(carry_reel *reel, int n) {
    slot *oldest = &reel->slots[0];
    for (size_t i = 0; i < reel->count; i++) {
        slot *s = &reel->slots[i];
        if (s->frame == n) return s;
        if (s->used < oldest->used) oldest = s;
    }
    return oldest;
}

const uint8_t *carry_reel_luma(carry_reel *reel, int n, sp_error *error) {
    slot *s = slot_for(reel, n);
    s->used = ++reel->clock;
    if (s->frame == n) return s->luma;
    const size_t size = (size_t)reel->clip->width * (size_t)reel->clip->height;
    s->frame = -1;
    if (s->luma == NULL) s->luma = malloc(size);
    if (s->luma == NULL) {
        sp_fail(error, SP_ERROR_MEMORY, "no memory to carry points; close other programs");
        return NULL;
    }
    if (!reel->clip->luma(reel->clip->context, n, s->luma, error)) return NULL;
    s->frame = n;
    return s->luma;
}
