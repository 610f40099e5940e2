/* What is on the file: its packets, its decoder, its facts. All that reads a stranger's bytes is
 * behind this, either in this process or in one of its own (remote.h). */
#ifndef SP_CLIP_FOOTAGE_H
#define SP_CLIP_FOOTAGE_H

#include "clip/run.h"
#include "serveplumb/clip.h"

typedef struct {
    char *path; /* for messages */
    sp_reader reader;
    sp_index index;
    sp_run run; /* after opening: the first picture that is displayed */
    int first;  /* the packet of that picture */
    sp_clip_facts facts;
    double *times; /* seconds since frame 0, one a frame */
} sp_footage;

/* Indexes that were kept from an earlier visit, and where new ones go. */
typedef struct {
    bool (*find)(void *context, sp_index *index, const sp_reader *reader);
    void (*keep)(void *context, const sp_index *index, const sp_reader *reader);
    void *context;
} sp_keeper;

/* Takes `file`, an open clip. Its pictures come out of `pool`, which is borrowed; NULL: one of its
 * own. Leaves `footage` closed when it fails. */
bool sp_footage_open(sp_footage *footage, int file, const char *path, int threads, sp_pool *pool,
                     const sp_keeper *keeper, sp_error *error);
void sp_footage_close(sp_footage *footage);

/* The same frames at the same times. */
bool sp_footage_equals(const sp_footage *one, const sp_footage *other);
/* Goes on with the process of `fresh`, an equal one, which takes that of this one. Facts and times
 * stay where they are; what was learnt of errors is kept. */
void sp_footage_renew(sp_footage *footage, sp_footage *fresh);

/* Follows from the index; false without memory. */
bool sp_footage_set_times(sp_footage *footage, AVRational base);

#endif
