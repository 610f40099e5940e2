/* The talk-through: what the coach did while they spoke, as times and actions, not as pictures. It
 * lies beside the review as JSON (assets/talk.schema.json); the voice of each take lies beside it
 * as a file of its own (voice.h).
 *
 * A take is one recording and is never changed afterwards. What is played is a row of pieces of
 * takes: cutting and recording a part again change the pieces only, and can be undone. Times are
 * seconds; those of an action since the start of its take. Not thread-safe. */
#ifndef SERVEPLUMB_TALK_H
#define SERVEPLUMB_TALK_H

#include <stdbool.h>
#include <stddef.h>

#include "serveplumb/error.h"
#include "serveplumb/ink.h"
#include "serveplumb/review.h"

typedef struct sp_talk sp_talk;

typedef enum {
    SP_TALK_FRAME,   /* this frame is shown, standing */
    SP_TALK_PLAY,    /* it plays from this frame on, at `pace` of real time */
    SP_TALK_VIEW,    /* how near, and what lies in the middle */
    SP_TALK_INK,     /* a mark is drawn, within `took_s` */
    SP_TALK_RUB,     /* the take's mark number `mark` is taken off */
    SP_TALK_MEASURE, /* this one is spoken of; an empty id: none any more */
    SP_TALK_OVERLAY  /* it is shown, or hidden but for ink */
} sp_talk_kind;

typedef struct {
    double at_s;
    sp_talk_kind kind;
    int frame;
    double pace;
    sp_point middle; /* upright pixels */
    double zoom;     /* 1: the whole picture */
    sp_ink ink;      /* its points are copied when it is added, and borrowed when it is asked for */
    double took_s;
    int mark; /* of the marks of the take, from 0 in the order in which they were begun */
    char measure[SP_REVIEW_ID_MAX], moment[SP_REVIEW_ID_MAX];
    bool shown;
} sp_talk_action;

typedef struct {
    char voice[SP_REVIEW_NAME_MAX]; /* bare name of its file; "": without voice */
    double length_s;
    size_t count; /* of its actions */
} sp_talk_take;

typedef struct {
    size_t take;
    double from_s, to_s; /* of the take */
} sp_talk_piece;

#define SP_TALK_LENGTH_MAX 14400.0 /* s */
#define SP_TALK_ZOOM_MAX 256.0
#define SP_TALK_TAKES_MAX ((size_t)1000)
#define SP_TALK_ACTIONS_MAX ((size_t)200000) /* of a take: two hours of scrubbing */

/* Of a clip; empty. */
sp_talk *sp_talk_new(const sp_review_clip *clip, sp_error *error);
/* Reads and checks against the clip of its review; errors name the JSON path. SP_ERROR_MISMATCH
 * when it speaks of another clip. */
sp_talk *sp_talk_read(const char *path, const sp_review_clip *clip, sp_error *error);
sp_talk *sp_talk_parse(const char *text, size_t length, const char *name,
                       const sp_review_clip *clip, sp_error *error);
/* Atomic, as sp_review_write. */
bool sp_talk_write(const sp_talk *talk, const char *path, sp_error *error);
void sp_talk_free(sp_talk *talk);

/* "serve.review.json" -> "serve.talk.json", and the voice of take 2 "serve.talk-2.wav". False when
 * it does not fit. */
bool sp_talk_path_beside(const char *review_path, char *path, size_t size);
bool sp_talk_voice_name(const char *review_path, int number, char *name, size_t size);

size_t sp_talk_take_count(const sp_talk *talk);
const sp_talk_take *sp_talk_take_at(const sp_talk *talk, size_t take);
const sp_talk_action *sp_talk_action_at(const sp_talk *talk, size_t take, size_t index);
size_t sp_talk_piece_count(const sp_talk *talk);
const sp_talk_piece *sp_talk_piece_at(const sp_talk *talk, size_t index);
double sp_talk_length_s(const sp_talk *talk); /* of all pieces */

/* --- recording ------------------------------------------------------------------------------- */
/* A new take, its last; no piece yet. `voice` "" when there is none. SP_ERROR_LIMIT past
 * SP_TALK_TAKES_MAX; of sp_talk_add, past SP_TALK_ACTIONS_MAX. */
bool sp_talk_begin_take(sp_talk *talk, const char *voice, sp_error *error);
/* To the last take; at_s is moved up to that of the action before where it is less. */
bool sp_talk_add(sp_talk *talk, const sp_talk_action *action, sp_error *error);
/* The last take is so long; it may be told again while it grows. */
void sp_talk_set_length(sp_talk *talk, double length_s);

/* --- what is played -------------------------------------------------------------------------- */
/* The take instead of what is played from `from_s` to `to_s` of the whole; both past the end: after
 * it. */
bool sp_talk_put(sp_talk *talk, size_t take, double from_s, double to_s, sp_error *error);
/* Takes out what is played from `from_s` to `to_s`. */
bool sp_talk_cut(sp_talk *talk, double from_s, double to_s, sp_error *error);
/* The pieces as they were before the last put or cut; false when there was none. */
bool sp_talk_undo(sp_talk *talk);

/* --- what is seen ---------------------------------------------------------------------------- */
#define SP_TALK_MARKS_MAX 64

typedef struct {
    size_t piece, take;
    double take_s;
    int frame;       /* it stands on, or plays from */
    double played_s; /* real time since that frame, 0 while it stands */
    double pace;     /* of real time, 0 while it stands */
    sp_point middle;
    double zoom;
    bool overlay;
    const char *measure, *moment; /* "" none; borrowed */
    struct {
        const sp_ink *ink; /* borrowed */
        double share;      /* of its way that is drawn by now */
    } marks[SP_TALK_MARKS_MAX];
    size_t mark_count;
} sp_talk_state;
/* At a time of the whole, of all that the take's actions did up to then: also those before the
 * piece. False when nothing is recorded. */
bool sp_talk_state_at(const sp_talk *talk, double time_s, sp_talk_state *state);

#endif
