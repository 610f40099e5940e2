#include "clip/index_bytes.h"

#include <assert.h>
#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

typedef struct {
    int64_t pts, dts, pos, duration;
    double time;
    int32_t size, order;
    uint8_t key, hidden, error, spare[5];
} record;

static_assert(sizeof(record) == SP_INDEX_RECORD_BYTES, "a record has no holes");

static record pack(const sp_packet *from) {
    return (record){.pts = from->pts,
                    .dts = from->dts,
                    .pos = from->pos,
                    .duration = from->duration,
                    .time = from->time,
                    .size = from->size,
                    .order = from->order,
                    .key = (uint8_t)from->key,
                    .hidden = from->hidden,
                    .error = from->error};
}

void sp_index_pack(const sp_index *index, char *bytes) {
    for (int i = 0; i < index->count; i++) {
        const record one = pack(&index->packets[i]);
        memcpy(bytes + (size_t)i * sizeof one, &one, sizeof one);
    }
}

/* Each place in the order of display once. */
static bool is_sound(const sp_packet *packets, int count) {
    bool *seen = calloc((size_t)count, sizeof *seen);
    bool good = seen != NULL;
    for (int i = 0; good && i < count; i++) {
        const sp_packet *packet = &packets[i];
        good = packet->size > 0 && isfinite(packet->time) && packet->order >= 0 &&
               packet->order < count && !seen[packet->order];
        if (good) seen[packet->order] = true;
    }
    free(seen);
    return good;
}

static sp_packet unpack(const record *from) {
    return (sp_packet){.pts = from->pts,
                       .dts = from->dts,
                       .pos = from->pos,
                       .duration = from->duration,
                       .time = from->time,
                       .size = from->size,
                       .order = from->order,
                       .key = from->key <= SP_KEY_CLEAN ? (sp_key)from->key : SP_KEY_NONE,
                       .hidden = from->hidden != 0,
                       .error = from->error != 0};
}

bool sp_index_unpack(sp_index *index, const sp_index_bytes *bytes, int count, bool guessed) {
    *index = (sp_index){.guessed = guessed};
    if (count < 1 || count > SP_CLIP_FRAMES_MAX || bytes->length != (size_t)count * sizeof(record))
        return false;
    index->packets = calloc((size_t)count, sizeof *index->packets);
    if (index->packets == NULL) return false;
    index->count = index->room = count;
    for (int i = 0; i < count; i++) {
        record one;
        memcpy(&one, bytes->data + (size_t)i * sizeof one, sizeof one);
        index->packets[i] = unpack(&one);
    }
    if (is_sound(index->packets, count) && sp_index_finish(index) && index->frames > 0) return true;
    sp_index_clear(index);
    return false;
}
