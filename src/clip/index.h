/* All packets of the picture stream, and which of them are which displayed frame.
 *
 * Packets are counted in the order of the file ("serial"). The serial is also what a packet carries
 * through the decoder in place of its timestamp, so that a decoded picture says which packet it
 * is of. */
#ifndef SP_CLIP_INDEX_H
#define SP_CLIP_INDEX_H

#include <stdbool.h>
#include <stdint.h>

#include <libavcodec/packet.h>

#include "clip/keys.h"
#include "clip/reader.h"

typedef struct {
    int64_t pts, dts, pos, duration;
    double time; /* of display, in units of the time base */
    int size;
    int order;  /* place among all packets in the order of display */
    int number; /* of the frame, -1 when it is not displayed */
    sp_key key;
    bool hidden; /* cut away by an edit list, or never shown by the rules of the codec */
    bool error;  /* the container or the decoder found it in error */
    bool lost;   /* decoded once, and no picture came of it */
} sp_packet;

typedef struct {
    sp_packet *packets;
    int count, room;
    int *keys; /* serials */
    int key_count;
    int *serials; /* of the frames */
    int frames;
    int depth;       /* most packets that precede one in the file and follow it on display */
    bool guessed;    /* timestamps were missing or doubled */
    bool only_clean; /* recovery points are not trusted */
    bool encrypted;
    bool fields; /* some packets hold one field only */
    int errors;  /* how often any was told */
} sp_index;

/* One pass without decoding; a second pass that decodes where timestamps cannot tell the order. */
bool sp_index_build(sp_index *index, sp_reader *reader, sp_error *error);
/* All that follows from the packets and their order. False without memory. */
bool sp_index_finish(sp_index *index);
void sp_index_clear(sp_index *index);

/* The packet from which decoding gives this one exactly as from the start of the clip. */
int sp_index_start(const sp_index *index, int serial);
/* In the file or on display before the first key: not to be decoded, whatever errors it has. */
bool sp_index_precedes_all(const sp_index *index, int serial);
void sp_index_set_error(sp_index *index, int serial);
/* Errors in it, or in what it may be predicted from. */
bool sp_index_is_damaged(const sp_index *index, int serial);
/* Whether frame n lacks what it is predicted from, since the clip begins in the middle. */
bool sp_index_is_cut(const sp_index *index, int n);
/* Takes from display the frames before number `first`. */
void sp_index_hide_head(sp_index *index, int first);

/* Whether `packet` is packet `serial`; `strictly` also by its timestamps. */
bool sp_index_matches(const sp_index *index, int serial, const AVPacket *packet, bool strictly);

#endif
