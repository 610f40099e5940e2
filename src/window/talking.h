/* The talk-through in the window: recorded while the coach works, and played back. What they do is
 * noticed from the window's own state, so that nothing else has to know of it. */
#ifndef SP_WINDOW_TALKING_H
#define SP_WINDOW_TALKING_H

#include <limits.h>
#include <stdbool.h>
#include <stdint.h>

#include "serveplumb/overlay.h"
#include "serveplumb/talk.h"
#include "serveplumb/voice.h"
#include "window/microphone.h"
#include "window/spots.h"

struct window;

typedef enum { TALKING_NOT, TALKING_ON, TALKING_PAUSED, TALKING_PLAYED } talking_now;

/* What was last noticed. */
typedef struct {
    bool any, play_on, plain;
    int frame, measure;
    uint64_t play_since;
    double zoom, view_s;
    sp_point middle;
} noticed;

typedef struct {
    talking_now now;
    sp_talk *talk; /* of the review that is open; NULL: not looked for yet */
    char path[PATH_MAX];
    bool without;     /* records no voice */
    char chosen[256]; /* name of the microphone; "": the system's choice */
    microphone microphone;
    sp_voice_writer *writer;
    double gathered_s, since_s;  /* the clock where there is no microphone */
    double put_from_s, put_to_s; /* of the whole, what the take replaces */
    double head_s, part_s;       /* where it was played to, where the part begins; -1: no part */
    double played_s;             /* on the steady clock, when `head_s` was 0 */
    SDL_AudioDeviceID loud;      /* plays it back */
    noticed seen;
    double pen_s;                 /* when the pen touched down */
    int marks[SP_TALK_MARKS_MAX]; /* of the take, that are to be seen */
    int mark_count, marks_begun;
    float level;
    uint64_t saved_ms, painted_ms;
} talking;

/* Notices what changed and fetches the voice. Milliseconds until the next look; -1: none. */
int talking_update(struct window *w);
/* Ends what is being recorded or played; the talk-through of the next review is another. */
void talking_leave(struct window *w);
void talking_close(struct window *w);
/* A microphone was taken away. */
void talking_gone(struct window *w, SDL_AudioDeviceID device);

bool talking_is_on(const struct window *w); /* or paused */
/* Recording, or over its playing: the ink that is not the review's. */
size_t talking_inks(const struct window *w, sp_overlay_ink inks[SP_TALK_MARKS_MAX]);
void talking_pen_down(struct window *w);
/* Takes ink while recording; false: it is the review's. */
bool talking_takes_ink(struct window *w, const sp_ink *ink);
bool talking_rubs(struct window *w, sp_point at, double reach);
/* Takes back what was drawn last in the take; false where nothing was. */
bool talking_undoes(struct window *w);
void talking_words(const struct window *w, char *title, size_t title_size, char *hint,
                   size_t hint_size);
double talking_length_s(const struct window *w);

action act_talk_record;     /* begins, pauses, goes on */
action act_talk_end;        /* ends the take */
action act_talk_microphone; /* the next one; the last choice is none */
action act_talk_play;       /* plays it back, stops */
action act_talk_step;       /* so many seconds on or back */
action act_talk_part;       /* a part begins here */
action act_talk_cut;        /* takes the part out */
action act_talk_again;      /* records the part again */
action act_talk_undo;

/* talking_play.c */
void talking_play_stop(struct window *w);
int talking_play_update(struct window *w);
/* Brings the window to what is seen at the head. */
void talking_show_head(struct window *w);
/* Reads the one beside the review, else begins one. */
bool talking_find(struct window *w, sp_error *error);
bool talking_store(struct window *w);

#endif
