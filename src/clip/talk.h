/* What is said between our process and a decoder's: one message a packet of a socket, each of a
 * fixed form. */
#ifndef SP_CLIP_TALK_H
#define SP_CLIP_TALK_H

#include <stdbool.h>
#include <stdint.h>

#include "clip/arena.h"
#include "serveplumb/clip.h"

enum { SP_TALK_PATH = 4096, SP_TALK_FILES = 2, SP_TALK_PLANES = 4 };

typedef enum {
    SP_ASK_OPEN,     /* with the clip, and with its kept index where there is one */
    SP_ASK_SOUND,    /* with the clip: its sound, from then on as sound_talk.h has it */
    SP_ASK_BEGIN,    /* a run, from packet `number` on */
    SP_ASK_CARE,     /* from the next run on in one thread */
    SP_ASK_PICTURES, /* all on the way to frame `number` */
    SP_ASK_MORE,     /* `number` of them were taken */
    SP_ASK_STOP,     /* no more of them */
} sp_ask_kind;

typedef struct {
    int32_t kind;
    int32_t number;
    int32_t threads;
    int32_t count, guessed; /* of the kept index, count 0: none */
    int32_t only_clean;
} sp_ask; /* SP_ASK_OPEN and _SOUND are followed by the path, SP_TALK_PATH bytes, for messages */

typedef enum {
    SP_TELL_READY,   /* `serial` 1: shut in; with the file of the arena */
    SP_TELL_BUILT,   /* a new index, worth keeping; with its bytes */
    SP_TELL_OPENED,  /* with the bytes of the index; its first picture follows */
    SP_TELL_FAILED,  /* why it cannot be opened */
    SP_TELL_BEGUN,   /* the run, or that the decoder was changed */
    SP_TELL_ERROR,   /* found in packet `serial` */
    SP_TELL_PICTURE, /* of packet `serial` */
    SP_TELL_PASSED,  /* one that is not wanted */
    SP_TELL_END,     /* no more pictures on the way that was asked for */
} sp_tell_kind;

/* As the fields of sp_run. */
typedef struct {
    int32_t start, next, last;
    uint8_t done, astray, misled, troubled;
} sp_told_run;

/* As the fields of AVFrame; the planes lie in one place of the arena. */
typedef struct {
    sp_arena_place place;
    int32_t width, height, format;
    int32_t matrix, transfer, primaries, range, chroma;
    int32_t strides[SP_TALK_PLANES];
    uint64_t offsets[SP_TALK_PLANES]; /* from the start of the place */
} sp_told_picture;

typedef struct {
    sp_clip_facts facts;
    int32_t base_num, base_den; /* of times */
    int32_t count, guessed;     /* of the index; count 0: the kept one holds */
} sp_told_clip;

typedef struct {
    int32_t kind;
    int32_t serial;
    int32_t ended; /* nothing follows on this way */
    sp_told_run run;
    union {
        sp_told_picture picture;
        sp_told_clip clip;
        sp_error error;
    };
} sp_tell;

/* Descriptors that go with a message; `count` of them are the receiver's. */
typedef struct {
    int list[SP_TALK_FILES];
    int count;
} sp_files;
void sp_files_close(sp_files *files);

/* False when the other side has ended. `files` may be NULL; they stay the sender's. */
bool sp_talk_send(int socket, const void *message, size_t size, const sp_files *files);
/* How long sp_talk_receive waits at the most, and that sp_talk_send gives up before long when
 * nobody reads; without this both wait for ever. */
void sp_talk_set_patience(int socket, int milliseconds);
typedef enum { SP_TALK_HEARD, SP_TALK_SILENCE, SP_TALK_OVER } sp_talk_status;
/* Exactly `size` bytes. SILENCE when nothing has come, at once where it is not to `wait`. OVER: the
 * other side has ended, or speaks another language. */
sp_talk_status sp_talk_receive(int socket, void *message, size_t size, sp_files *files, bool wait);

/* A file in memory with these bytes, -1 without memory; and back, freed by the caller, NULL when
 * there are not that many. */
int sp_talk_file(const void *bytes, size_t length);
char *sp_talk_bytes(int file, size_t length);

#endif
