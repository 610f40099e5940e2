#include "clip/index.h"

#include <assert.h>
#include <stdlib.h>

#include "clip/fields.h"
#include "clip/order.h"
#include "clip/refusal.h"

static bool grow(sp_index *index) {
    if (index->count < index->room) return true;
    const int room = index->room == 0 ? 1024 : index->room * 2;
    sp_packet *packets = realloc(index->packets, sizeof *packets * (size_t)room);
    if (packets == NULL) return false;
    index->packets = packets;
    index->room = room;
    return true;
}

static void note(sp_index *index, const AVCodecParameters *codec, sp_key_state *keys,
                 const AVPacket *packet) {
    const sp_look look = sp_key_look(keys, codec, packet);
    index->packets[index->count++] =
        (sp_packet){.pts = packet->pts,
                    .dts = packet->dts,
                    .pos = packet->pos,
                    .duration = packet->duration,
                    .size = packet->size,
                    .key = look.key,
                    .hidden = look.hidden || (packet->flags & AV_PKT_FLAG_DISCARD) != 0,
                    .error = look.broken || (packet->flags & AV_PKT_FLAG_CORRUPT) != 0};
    if (index->packets[index->count - 1].error) index->errors++;
    if (av_packet_get_side_data(packet, AV_PKT_DATA_ENCRYPTION_INFO, NULL) != NULL)
        index->encrypted = true;
}

static bool read_packets(sp_index *index, sp_reader *reader, sp_error *error) {
    AVPacket *packet = av_packet_alloc();
    if (packet == NULL) return sp_refuse_memory(reader->path, error);
    sp_key_state keys = {0};
    sp_fields fields;
    bool good =
        sp_fields_init(&fields, reader->stream->codecpar) || sp_refuse_memory(reader->path, error);
    while (good && sp_reader_next(reader, packet)) {
        if (index->count == SP_CLIP_FRAMES_MAX) {
            good = sp_fail(error, SP_ERROR_LIMIT,
                           "'%s' holds more than the %d frames that are accepted; cut it shorter",
                           reader->path, SP_CLIP_FRAMES_MAX);
        } else if (!grow(index)) {
            good = sp_refuse_memory(reader->path, error);
        } else {
            note(index, reader->stream->codecpar, &keys, packet);
            if (!index->fields) index->fields = sp_fields_look(&fields, packet);
        }
        av_packet_unref(packet);
    }
    sp_fields_clear(&fields);
    av_packet_free(&packet);
    return good;
}

static bool list_keys(sp_index *index) {
    index->keys = calloc((size_t)index->count + 1, sizeof *index->keys);
    if (index->keys == NULL) return false;
    for (int i = 0; i < index->count; i++)
        if (index->packets[i].key != SP_KEY_NONE) index->keys[index->key_count++] = i;
    return true;
}

/* No codec that is read here holds more pictures back than this. */
enum { WINDOW = 64 };

/* How many packets before this one are displayed after it; `highest`: the last order of display up
 * to each packet, before which nothing needs to be looked at. */
static int later_before(const sp_index *index, const int *highest, int serial) {
    const int order = index->packets[serial].order;
    const int first = serial > WINDOW ? serial - WINDOW : 0;
    int later = 0;
    for (int j = serial - 1; j >= first && highest[j] > order; j--)
        if (index->packets[j].order > order) later++;
    return later;
}

/* -1 without memory. */
static int depth_of(const sp_index *index) {
    int *highest = calloc((size_t)index->count + 1, sizeof *highest);
    if (highest == NULL) return -1;
    int deepest = 0;
    for (int i = 0; i < index->count; i++) {
        const int order = index->packets[i].order;
        highest[i] = i > 0 && highest[i - 1] > order ? highest[i - 1] : order;
        const int later = later_before(index, highest, i);
        if (later > deepest) deepest = later;
    }
    free(highest);
    return deepest;
}

static int *by_order(const sp_index *index) {
    int *serials = calloc((size_t)index->count + 1, sizeof *serials);
    for (int i = 0; serials != NULL && i < index->count; i++) serials[index->packets[i].order] = i;
    return serials;
}

static bool number_frames(sp_index *index) {
    free(index->serials);
    index->serials = by_order(index);
    if (index->serials == NULL) return false;
    index->frames = 0;
    for (int i = 0; i < index->count; i++) {
        const int serial = index->serials[i];
        sp_packet *entry = &index->packets[serial];
        entry->number = entry->hidden ? -1 : index->frames;
        if (!entry->hidden) index->serials[index->frames++] = serial;
    }
    return true;
}

bool sp_index_finish(sp_index *index) {
    if (index->keys == NULL && !list_keys(index)) return false;
    if (!number_frames(index)) return false;
    index->depth = depth_of(index);
    if (index->depth < 0) return false;
    index->errors = 0;
    for (int i = 0; i < index->count; i++) index->errors += index->packets[i].error;
    return true;
}

bool sp_index_build(sp_index *index, sp_reader *reader, sp_error *error) {
    if (!read_packets(index, reader, error)) return false;
    if (index->encrypted) return sp_refuse_encrypted(reader->path, error);
    if (index->count == 0) return sp_refuse_no_picture(reader->path, reader->format, error);
    if (!list_keys(index)) return sp_refuse_memory(reader->path, error);
    const AVCodecParameters *codec = reader->stream->codecpar;
    bool told = !index->fields && sp_order_is_told(index, codec);
    if (told) {
        if (!sp_order_by_times(index)) return sp_refuse_memory(reader->path, error);
        /* Times that reorder more than the codec can are not those of its pictures. */
        told = depth_of(index) <= codec->video_delay;
    }
    if (!told && !sp_order_by_decoding(index, reader, error)) return false;
    return sp_index_finish(index) || sp_refuse_memory(reader->path, error);
}

void sp_index_clear(sp_index *index) {
    free(index->packets);
    free(index->keys);
    free(index->serials);
    *index = (sp_index){0};
}

/* Place in `keys` of the last key at or before `serial`, -1 when there is none. */
static int last_key(const sp_index *index, int serial) {
    int low = -1, high = index->key_count;
    while (high - low > 1) {
        const int middle = low + (high - low) / 2;
        if (index->keys[middle] <= serial) {
            low = middle;
        } else {
            high = middle;
        }
    }
    return low;
}

/* Displayed at or after the key: what is displayed before it may be predicted from before it. */
static bool follows(const sp_index *index, int key, int serial) {
    return index->packets[serial].order >= index->packets[index->keys[key]].order;
}

/* A recovery point is trusted from the next key on, one whole group later. */
static bool is_exact_from(const sp_index *index, int key, int serial, bool only_clean) {
    const sp_key kind = index->packets[index->keys[key]].key;
    if (kind == SP_KEY_CLEAN || (kind == SP_KEY_TOLD && !only_clean))
        return follows(index, key, serial);
    if (only_clean || key + 1 == index->key_count) return false;
    return index->keys[key + 1] <= serial && follows(index, key + 1, serial);
}

static int find_start(const sp_index *index, int serial, bool only_clean) {
    for (int key = last_key(index, serial); key > 0; key--)
        if (is_exact_from(index, key, serial, only_clean)) return index->keys[key];
    return 0;
}

int sp_index_start(const sp_index *index, int serial) {
    return find_start(index, serial, index->only_clean);
}

bool sp_index_precedes_all(const sp_index *index, int serial) {
    if (index->key_count == 0) return false;
    const int first = index->keys[0];
    return serial < first || index->packets[serial].order < index->packets[first].order;
}

void sp_index_set_error(sp_index *index, int serial) {
    if (!index->packets[serial].error) index->errors++;
    index->packets[serial].error = true;
}

bool sp_index_is_damaged(const sp_index *index, int serial) {
    if (index->errors == 0) return false;
    const bool heeds_head = sp_index_precedes_all(index, serial);
    for (int i = find_start(index, serial, false); i <= serial; i++)
        if (index->packets[i].error && (heeds_head || !sp_index_precedes_all(index, i)))
            return true;
    return false;
}

bool sp_index_is_cut(const sp_index *index, int n) {
    const sp_packet *packet = &index->packets[index->serials[n]];
    for (int key = 0; key < index->key_count; key++) {
        if (index->packets[index->keys[key]].key != SP_KEY_CLEAN) continue;
        const int serial = index->keys[key];
        return index->serials[n] < serial || packet->order < index->packets[serial].order;
    }
    return true;
}

void sp_index_hide_head(sp_index *index, int first) {
    assert(first <= index->frames);
    for (int n = 0; n < first; n++) index->packets[index->serials[n]].hidden = true;
    const int kept = index->frames - first;
    for (int n = 0; n < kept; n++) {
        index->serials[n] = index->serials[n + first];
        index->packets[index->serials[n]].number = n;
    }
    for (int i = 0; i < index->count; i++)
        if (index->packets[i].hidden) index->packets[i].number = -1;
    index->frames = kept;
}

bool sp_index_matches(const sp_index *index, int serial, const AVPacket *packet, bool strictly) {
    const sp_packet *entry = &index->packets[serial];
    if (entry->size != packet->size) return false;
    const bool placed = entry->pos >= 0 && packet->pos >= 0;
    if (placed && entry->pos != packet->pos) return false;
    if (!strictly) return true;
    if (entry->pts != packet->pts) return false;
    return placed || entry->dts == packet->dts;
}
