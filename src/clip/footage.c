#include "clip/footage.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "clip/facts.h"
#include "clip/refusal.h"

static bool refuse_undecodable(const sp_footage *footage, sp_error *error) {
    return sp_refuse_undecodable(footage->path, footage->reader.stream->codecpar, error);
}

/* The first picture that comes. What was to be displayed before it was cut off with the pictures
 * that it is predicted from, unless the clip does begin with a key: then its data are damaged. */
static bool open_first(sp_footage *footage, sp_error *error) {
    const sp_packet *packets = footage->index.packets;
    if (!sp_run_begin(&footage->run, 0)) return refuse_undecodable(footage, error);
    int serial = -1;
    do {
        serial = sp_run_next(&footage->run, footage->index.count);
    } while (serial >= 0 && packets[serial].number < 0);
    if (serial < 0) return refuse_undecodable(footage, error);
    int first = 0;
    while (first < packets[serial].number && sp_index_is_cut(&footage->index, first)) first++;
    sp_index_hide_head(&footage->index, first);
    footage->run.last -= first;
    footage->first = serial;
    return true;
}

typedef struct {
    int threads;
    sp_pool *pool;
    const sp_keeper *keeper;
} means;

static bool open_run(sp_footage *footage, const means *with, sp_error *error) {
    return sp_run_init(&footage->run, &footage->reader, &footage->index, with->threads, with->pool,
                       error) &&
           open_first(footage, error);
}

/* A kept index that does not lead to a picture is not that of this clip. */
static bool open_kept(sp_footage *footage, const means *with) {
    if (!with->keeper->find(with->keeper->context, &footage->index, &footage->reader)) return false;
    if (open_run(footage, with, NULL)) return true;
    sp_run_clear(&footage->run);
    sp_index_clear(&footage->index);
    return false;
}

static bool open_anew(sp_footage *footage, const means *with, sp_error *error) {
    if (!sp_reader_rewind(&footage->reader, error) ||
        !sp_index_build(&footage->index, &footage->reader, error))
        return false;
    with->keeper->keep(with->keeper->context, &footage->index, &footage->reader);
    return open_run(footage, with, error);
}

bool sp_footage_set_times(sp_footage *footage, AVRational base) {
    footage->times = sp_facts_times(base, &footage->index);
    return footage->times != NULL;
}

static bool open_all(sp_footage *footage, const means *with, sp_error *error) {
    const sp_reader *reader = &footage->reader;
    if (!open_kept(footage, with) && !open_anew(footage, with, error)) return false;
    if (!sp_facts_read(&footage->facts, reader, &footage->index, footage->run.picture, error))
        return false;
    if (!sp_footage_set_times(footage, reader->stream->time_base))
        return sp_refuse_memory(footage->path, error);
    sp_facts_set_times(&footage->facts, reader, &footage->index, footage->times);
    return true;
}

bool sp_footage_open(sp_footage *footage, int file, const char *path, int threads, sp_pool *pool,
                     const sp_keeper *keeper, sp_error *error) {
    *footage = (sp_footage){.path = strdup(path), .reader.file = -1};
    const means with = {threads, pool, keeper};
    if (footage->path == NULL) {
        close(file);
        return sp_refuse_memory(path, error);
    }
    if (sp_reader_open_file(&footage->reader, file, path, error) && open_all(footage, &with, error))
        return true;
    sp_footage_close(footage);
    return false;
}

void sp_footage_close(sp_footage *footage) {
    sp_run_clear(&footage->run);
    sp_index_clear(&footage->index);
    sp_reader_close(&footage->reader);
    free(footage->times);
    free(footage->path);
    *footage = (sp_footage){.reader.file = -1};
}

bool sp_footage_equals(const sp_footage *one, const sp_footage *other) {
    const sp_clip_facts *a = &one->facts, *b = &other->facts;
    return a->frames == b->frames && a->width == b->width && a->height == b->height &&
           one->index.count == other->index.count &&
           memcmp(one->times, other->times, sizeof *one->times * (size_t)a->frames) == 0;
}

void sp_footage_renew(sp_footage *footage, sp_footage *fresh) {
    sp_packet *packets = fresh->index.packets;
    for (int i = 0; i < fresh->index.count; i++) {
        packets[i].lost = footage->index.packets[i].lost;
        if (footage->index.packets[i].error) sp_index_set_error(&fresh->index, i);
    }
    const sp_index index = footage->index;
    const sp_run run = footage->run;
    footage->index = fresh->index;
    footage->run = fresh->run;
    footage->run.index = &footage->index;
    footage->run.left = run.left;
    fresh->index = index;
    fresh->run = run;
    fresh->run.index = &fresh->index;
}
