/* Follows a point from frame to frame by the picture itself, between taps and a little beyond.
 * Luma pictures in, points with their deviations out; knows no clip, no review and no window.
 *
 * Between two taps the point is followed from both ends; where the two ways part, where the
 * appearance is lost (turned away, hidden, blurred) or where the picture holds no structure, there
 * is no evidence, and the motion bridges it with a wider deviation. Frame of reference: upright
 * pixels (point.h). One call belongs to one thread; nothing of the arguments is kept. */
#ifndef SERVEPLUMB_CARRY_H
#define SERVEPLUMB_CARRY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "serveplumb/error.h"
#include "serveplumb/point.h"

/* Fills `luma`, rows of `width` bytes without gaps, with frame n. Called in any order, from the
 * thread of the call; its failure ends the carrying and is handed up. */
typedef bool sp_carry_luma(void *context, int n, uint8_t *luma, sp_error *error);

typedef struct {
    int width, height, frames;
    const double *seconds; /* real time of each frame, increasing; borrowed */
    sp_carry_luma *luma;
    void *context;
} sp_carry_clip;

typedef struct {
    int frame;
    sp_point at;
    double sd_px; /* of one coordinate, above 0 */
} sp_carry_tap;

/* The other end of a length that cannot change, on one frame: the butt for the racquet's tip, the
 * elbow for the hand. */
typedef struct {
    bool there;
    sp_point at;
    double sd_px;
} sp_carry_partner;

typedef struct {
    const sp_carry_tap *taps; /* in order of frame, at least one, no frame twice */
    size_t tap_count;
    int from, to; /* frames that are wanted; a tap's own frame may lie outside */
    bool swift;   /* on the racquet or the hand that holds it, not on the body */
    bool ball;    /* small, round, fast: told from its neighbours' pictures by difference */
    int impact;   /* the motion may break between this frame and the next; -1: nowhere */
    /* May be NULL: one of each frame of the clip, and the true length in pixels (the greatest that
     * can be seen), 0 when it is not known. */
    const sp_carry_partner *partner;
    double length_px;
    /* Told how far it is, 0..1; false gives up. May be NULL. */
    bool (*progress)(void *whom, double share);
    void *whom;
} sp_carry_job;

typedef enum {
    SP_CARRIED_NOT,     /* lost: nothing honest can be said */
    SP_CARRIED_SEEN,    /* the picture shows it */
    SP_CARRIED_BRIDGED, /* by its motion alone, between frames that show it */
    SP_CARRIED_TAPPED,  /* the tap, as it was given */
} sp_carried_by;

typedef struct {
    sp_carried_by by;
    sp_point at;
    double sd_px; /* of one coordinate */
} sp_carried;

/* carried[0 .. to - from]. Errors: SP_ERROR_ARGUMENT (taps out of order or outside the picture's
 * frames), SP_ERROR_CANCELLED, SP_ERROR_MEMORY, and those of `luma`; `carried` is then undefined.
 *
 * Sources: Lucas and Kanade 1981, coarse to fine after Bouguet's note of 2000; inverse
 * compositional affine refinement, Baker and Matthews 2004; Rauch, Tung and Striebel 1965 (all from
 * memory). The deviations' model is our own: carry/join.h. */
bool sp_carry_point(const sp_carry_clip *clip, const sp_carry_job *job, sp_carried *carried,
                    sp_error *error);

#endif
