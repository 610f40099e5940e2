/* Two serves beside each other as one clip, locked at a moment that both name: at every picture as
 * much real time has passed since that moment in the one as in the other. Without sound. */
#ifndef SERVEPLUMB_PAIR_CLIP_H
#define SERVEPLUMB_PAIR_CLIP_H

#include "serveplumb/panels.h"
#include "serveplumb/reel.h"

#define SP_PAIR_RATE 30

typedef struct {
    const char *moment; /* that they are locked at */
    double slow;        /* times slower than the serve was; 0: SP_REEL_SLOW */
    double hold_s;      /* stands still there; 0: SP_REEL_HOLD_S, below 0: not at all */
    sp_units units;
    sp_overlay_path path;
    sp_coding coding;
} sp_pair_options;

typedef struct sp_pair_clip sp_pair_clip;

/* From just before the first moment of either to just after the last, as far as both clips go.
 * Frames and moments of `panels` are not read; the clips must outlive it. SP_ERROR_ARGUMENT where
 * one of the two does not name the moment. */
sp_pair_clip *sp_pair_clip_new(const sp_panel panels[2], const sp_pair_options *options,
                               sp_error *error);
void sp_pair_clip_free(sp_pair_clip *pair);
const sp_reel_facts *sp_pair_clip_get_facts(const sp_pair_clip *pair);
/* The frames of the two that are shown at a time of the clip. */
void sp_pair_clip_frames(const sp_pair_clip *pair, double time_s, int frames[2]);
/* As sp_reel_write. */
bool sp_pair_clip_write(sp_pair_clip *pair, const char *path, sp_reel_told *told, void *whom,
                        sp_error *error);

#endif
