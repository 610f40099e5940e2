/* A readout as bytes of this machine, for a cache: numbers in its own order, texts by their length,
 * a sum at the end. What is read back is held against the sum, the catalogue and all bounds, so
 * that a damaged file is no readout instead of a wrong one. */
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "readout/readout.h"

static const char MAGIC[8] = {'S', 'P', 'R', 'E', 'A', 'D', '0', '2'};

/* FNV-1a. */
static uint64_t sum_of(const char *bytes, size_t length) {
    uint64_t sum = 14695981039346656037u;
    for (size_t i = 0; i < length; i++) sum = (sum ^ (unsigned char)bytes[i]) * 1099511628211u;
    return sum;
}

/* --- out ------------------------------------------------------------------------------------- */
static void put(sp_text *to, const void *bytes, size_t size) {
    sp_text_append_bytes(to, bytes, size);
}

static void put_number(sp_text *to, uint32_t number) { put(to, &number, sizeof number); }

static void put_words(sp_text *to, const char *words) {
    put_number(to, (uint32_t)strlen(words));
    put(to, words, strlen(words));
}

static void put_interval(sp_text *to, sp_interval interval) {
    const double ends[] = {interval.value, interval.low, interval.high};
    put(to, ends, sizeof ends);
}

static void put_measures(sp_text *to, const sp_readout *readout) {
    put_number(to, (uint32_t)readout->count);
    for (size_t i = 0; i < readout->count; i++) {
        const sp_measure *m = &readout->measures[i];
        put_words(to, m->kind->id);
        put_words(to, m->kind->moment);
        put_number(to, (uint32_t)(m->frame + 1));
        put_number(to, (uint32_t)m->status);
        put_interval(to, m->value);
        put_words(to, m->note);
    }
}

static void put_scales(sp_text *to, const sp_readout *readout) {
    put_words(to, readout->scale.id);
    put_interval(to, readout->scale.m_per_px);
    put_number(to, readout->by_court);
    put(to, &readout->to_camera, sizeof readout->to_camera);
    put_number(to, (uint32_t)readout->finding_count);
    for (size_t i = 0; i < readout->finding_count; i++) {
        const sp_scale_finding *f = &readout->findings[i];
        put_words(to, f->id);
        put_number(to, (uint32_t)f->method);
        put_interval(to, f->m_per_px);
        put_words(to, f->words);
    }
    put_number(to, (uint32_t)readout->pair_count);
    for (size_t i = 0; i < readout->pair_count; i++) {
        const sp_scale_pair *p = &readout->pairs[i];
        put_number(to, (uint32_t)p->one);
        put_number(to, (uint32_t)p->other);
        put(to, &p->differs_percent, sizeof p->differs_percent);
        put_number(to, p->contradict);
        put_words(to, p->words);
    }
}

char *sp_readout_detach_kept(const sp_readout *readout, size_t *length, sp_error *error) {
    sp_text to = {0};
    put(&to, MAGIC, sizeof MAGIC);
    put_measures(&to, readout);
    put_scales(&to, readout);
    put_number(&to, (uint32_t)readout->caution_count);
    for (size_t i = 0; i < readout->caution_count; i++) {
        put_number(&to, (uint32_t)readout->cautions_of[i]);
        put_words(&to, readout->cautions[i]);
    }
    const uint64_t sum = sum_of(sp_text_get(&to), to.length);
    put(&to, &sum, sizeof sum);
    *length = to.length;
    char *bytes = sp_text_detach(&to);
    if (bytes == NULL) sp_fail(error, SP_ERROR_MEMORY, "no memory to keep a readout");
    return bytes;
}

/* --- in -------------------------------------------------------------------------------------- */
typedef struct {
    const char *at, *end;
    bool good;
} source;

static void take(source *from, void *to, size_t size) {
    from->good = from->good && (size_t)(from->end - from->at) >= size;
    if (!from->good) {
        memset(to, 0, size);
        return;
    }
    memcpy(to, from->at, size);
    from->at += size;
}

/* At most `most`. */
static uint32_t take_number(source *from, size_t most) {
    uint32_t number;
    take(from, &number, sizeof number);
    from->good = from->good && number <= most;
    return from->good ? number : 0;
}

static void take_words(source *from, char *to, size_t size) {
    const uint32_t length = take_number(from, size - 1);
    take(from, to, length);
    to[length] = '\0';
    from->good = from->good && strlen(to) == length;
}

static sp_interval take_interval(source *from) {
    double ends[3];
    take(from, ends, sizeof ends);
    return (sp_interval){ends[0], ends[1], ends[2]};
}

static void take_measures(source *from, sp_readout *readout) {
    if (take_number(from, readout->count) != readout->count) from->good = false;
    for (size_t i = 0; from->good && i < readout->count; i++) {
        sp_measure *m = &readout->measures[i];
        char id[SP_REVIEW_ID_MAX], moment[SP_REVIEW_ID_MAX];
        take_words(from, id, sizeof id);
        take_words(from, moment, sizeof moment);
        m->kind = sp_catalogue_at(i);
        m->frame = (int)take_number(from, INT32_MAX) - 1;
        m->status = (sp_status)take_number(from, SP_STATUS_TOO_COARSE);
        m->value = take_interval(from);
        take_words(from, m->note, sizeof m->note);
        if (strcmp(id, m->kind->id) != 0 || strcmp(moment, m->kind->moment) != 0)
            from->good = false;
    }
}

static bool take_scales(source *from, sp_readout *readout) {
    take_words(from, readout->scale.id, sizeof readout->scale.id);
    readout->scale.m_per_px = take_interval(from);
    readout->by_court = take_number(from, 1) == 1;
    take(from, &readout->to_camera, sizeof readout->to_camera);
    const size_t count = take_number(from, 4096);
    readout->findings = calloc(count + 1, sizeof *readout->findings);
    if (readout->findings == NULL) return false;
    readout->finding_count = count;
    for (size_t i = 0; i < count; i++) {
        sp_scale_finding *f = &readout->findings[i];
        take_words(from, f->id, sizeof f->id);
        f->method = (sp_scale_method)take_number(from, SP_SCALE_TOSS);
        f->m_per_px = take_interval(from);
        take_words(from, f->words, sizeof f->words);
    }
    readout->pair_count = take_number(from, SP_PAIRS_MAX);
    for (size_t i = 0; i < readout->pair_count; i++) {
        sp_scale_pair *p = &readout->pairs[i];
        p->one = take_number(from, count == 0 ? 0 : count - 1);
        p->other = take_number(from, count == 0 ? 0 : count - 1);
        take(from, &p->differs_percent, sizeof p->differs_percent);
        p->contradict = take_number(from, 1) == 1;
        take_words(from, p->words, sizeof p->words);
    }
    return true;
}

static void take_cautions(source *from, sp_readout *readout) {
    readout->caution_count = take_number(from, SP_CAUTIONS_MAX);
    for (size_t i = 0; i < readout->caution_count; i++) {
        readout->cautions_of[i] = (sp_caution_of)take_number(from, SP_CAUTION_OF_ALL);
        take_words(from, readout->cautions[i], sizeof readout->cautions[0]);
    }
}

static bool is_whole(const char *bytes, size_t length) {
    uint64_t sum;
    if (length < sizeof sum) return false;
    memcpy(&sum, bytes + length - sizeof sum, sizeof sum);
    return sum == sum_of(bytes, length - sizeof sum);
}

/* The scale in use is one of those that were read. */
static bool has_its_scale(const sp_readout *readout) {
    if (readout->scale.id[0] == '\0') return true;
    for (size_t i = 0; i < readout->finding_count; i++)
        if (strcmp(readout->findings[i].id, readout->scale.id) == 0) return true;
    return false;
}

sp_readout *sp_readout_new_kept(const char *bytes, size_t length, sp_error *error) {
    const size_t inside = length < sizeof(uint64_t) ? 0 : length - sizeof(uint64_t);
    source from = {bytes, bytes + inside, is_whole(bytes, length)};
    char magic[sizeof MAGIC];
    sp_readout *readout = sp_readout_empty();
    if (readout == NULL) {
        sp_fail(error, SP_ERROR_MEMORY, "no memory for a readout that was kept");
        return NULL;
    }
    take(&from, magic, sizeof magic);
    from.good = from.good && memcmp(magic, MAGIC, sizeof magic) == 0;
    take_measures(&from, readout);
    const bool room = take_scales(&from, readout);
    take_cautions(&from, readout);
    if (room && from.good && from.at == from.end && has_its_scale(readout)) return readout;
    sp_fail(error, room ? SP_ERROR_FORMAT : SP_ERROR_MEMORY,
            room ? "a readout that was kept is damaged" : "no memory for a readout");
    sp_readout_free(readout);
    return NULL;
}
