/* The readout: every measure of the catalogue, each with its interval or the reason it has none.
 *
 * Measures are written once, for a right-hander, in plane coordinates; left-handed players are
 * mirrored at the door. A measure never sees pixels of the picture. Values are SI and degrees;
 * their intervals 95 % by JCGM 101:2008 (draws.h). A readout is not changed once it is made: any
 * thread may look at it. */
#ifndef SERVEPLUMB_READOUT_H
#define SERVEPLUMB_READOUT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "serveplumb/error.h"
#include "serveplumb/interval.h"
#include "serveplumb/review.h"

typedef enum {
    SP_STATUS_OK,
    SP_STATUS_PROJECTED, /* true only in the picture plane */
    SP_STATUS_NEEDS_POINTS,
    SP_STATUS_NEEDS_SCALE,
    SP_STATUS_NEEDS_MOMENT,
    SP_STATUS_NOT_FROM_THIS_VIEW,
    SP_STATUS_TOO_COARSE, /* frame rate or blur cannot carry it */
} sp_status;

typedef enum {
    SP_UNIT_DEGREE,
    SP_UNIT_METRE,
    SP_UNIT_SECOND,
    SP_UNIT_METRE_PER_SECOND,
    SP_UNIT_RATIO,
} sp_unit;

#define SP_VIEW_BIT(view) (1u << (unsigned)(view))
#define SP_MEASURE_POINTS_MAX 8

/* One row of the catalogue. The pair (id, moment) is unique. */
typedef struct {
    const char *id;     /* "elbow_angle" */
    const char *title;  /* for people: "elbow angle" */
    const char *moment; /* "drop"; "" for those that span moments (tempo) */
    sp_unit unit;
    unsigned views; /* SP_VIEW_BIT of the views it can be had from */
    bool needs_scale;
    /* Points that it needs at its moment, right-handed names, `point_count` of them. A hand may be
     * replaced by its wrist. */
    int point_count;
    sp_point_name points[SP_MEASURE_POINTS_MAX];
    const char *about; /* one sentence: what it is, with the sign in words */
} sp_measure_kind;

/* One static table: a pointer into it stays good. */
size_t sp_catalogue_count(void);
const sp_measure_kind *sp_catalogue_at(size_t index);

typedef struct {
    const sp_measure_kind *kind;
    int frame;         /* -1: none */
    sp_interval value; /* SI or degrees; NAN unless status is OK or PROJECTED */
    sp_status status;
    char note[320]; /* plain words; may be empty */
} sp_measure;

typedef struct {
    char id[SP_REVIEW_ID_MAX]; /* "" when there is no scale */
    sp_interval m_per_px;
} sp_scale_reading;

/* Every scale of the review, in its order, evaluated where the player is. */
typedef struct {
    char id[SP_REVIEW_ID_MAX];
    sp_scale_method method;
    sp_interval m_per_px; /* NAN when it cannot be used */
    char words[400];      /* why it cannot, or what is doubtful in it; may be empty */
} sp_scale_finding;

/* Two usable scales against one another. `one` is the one to prefer. */
typedef struct {
    size_t one, other;      /* indices of findings */
    double differs_percent; /* the other's metres per pixel against the one's */
    bool contradict;        /* farther apart than chance gives one time in a hundred */
    char words[640];        /* what it does to lengths and speeds, which to prefer, and why */
} sp_scale_pair;

typedef struct {
    const double *seconds; /* of each frame by the clip's own clock, since frame 0; increasing */
    int count;             /* frames */
} sp_frame_times;

typedef struct {
    size_t draws;  /* 0: SP_DRAWS_DEFAULT */
    uint64_t seed; /* 0: SP_DRAWS_SEED */
} sp_readout_options;

typedef struct sp_readout sp_readout;

/* Evaluates the whole catalogue; real time = clip time / slowdown of the review. `options` may be
 * NULL. Nothing of the arguments is kept. SP_ERROR_MISMATCH when `times` has not as many frames as
 * the clip of the review; SP_ERROR_MEMORY. A measure that cannot be had is no error. */
sp_readout *sp_readout_new(const sp_review *review, sp_frame_times times,
                           const sp_readout_options *options, sp_error *error);
void sp_readout_free(sp_readout *readout);

/* The frame on which a tap of the racquet's tip would tell its speed at contact best: where the
 * places between its last two taps up to contact were carried over a long time (`gap_s`, may be
 * NULL); -1: none is missed. */
int sp_tap_before_contact(const sp_review *review, sp_frame_times times, double *gap_s);

size_t sp_readout_count(const sp_readout *readout); /* = sp_catalogue_count() */
const sp_measure *sp_readout_at(const sp_readout *readout, size_t index);
const sp_measure *sp_readout_find(const sp_readout *readout, const char *id, const char *moment);
sp_scale_reading sp_readout_scale(const sp_readout *readout);
size_t sp_readout_scale_count(const sp_readout *readout);
const sp_scale_finding *sp_readout_scale_at(const sp_readout *readout, size_t index);
size_t sp_readout_pair_count(const sp_readout *readout);
const sp_scale_pair *sp_readout_pair_at(const sp_readout *readout, size_t index);
size_t sp_readout_caution_count(const sp_readout *readout);
const char *sp_readout_caution_at(const sp_readout *readout, size_t index);
/* What a caution belongs to, so that it is shown wherever that is. */
typedef enum {
    SP_CAUTION_OF_MEASURING, /* scale or slowdown look wrong: for the coach */
    SP_CAUTION_OF_DROP,
    SP_CAUTION_OF_ALL,
} sp_caution_of;
sp_caution_of sp_readout_caution_of(const sp_readout *readout, size_t index);

/* The points that the measures of `view` ask for at `moment`, in the order in which a coach should
 * tap them, named for `hand`. Returns how many were written (at most SP_POINT_COUNT). */
size_t sp_catalogue_points(const char *moment, sp_view view, sp_hand hand,
                           sp_point_name points[SP_POINT_COUNT]);

/* Bytes to keep a readout by, on this machine and for this program only; freed by the caller. Back
 * again: SP_ERROR_FORMAT when they are not whole or of another catalogue. */
char *sp_readout_detach_kept(const sp_readout *readout, size_t *length, sp_error *error);
sp_readout *sp_readout_new_kept(const char *bytes, size_t length, sp_error *error);

const char *sp_status_id(sp_status status);    /* "needs_points" */
const char *sp_status_title(sp_status status); /* "points missing", for people */
const char *sp_unit_id(sp_unit unit);          /* "deg", "m", "s", "m/s", "ratio" */

/* `measure --json` as in the format; freed by the caller. `review_name` stands as given. */
char *sp_readout_detach_json(const sp_readout *readout, const sp_review *review,
                             const char *review_name, sp_error *error);

/* --- for people ------------------------------------------------------------------------------ */
typedef enum { SP_UNITS_METRIC, SP_UNITS_IMPERIAL } sp_units;
/* "-3.4 cm (-4.7 to -2.1)", "104 deg (101 to 107)", "112 km/h (105 to 120)", with the degree sign,
 * as many digits as the interval deserves; for a measure without a number the status title. */
void sp_measure_text(const sp_measure *measure, sp_units units, char *text, size_t size);
/* The value alone, rounded likewise, with its unit: for a label in a picture. */
void sp_measure_short_text(const sp_measure *measure, sp_units units, char *text, size_t size);

#endif
