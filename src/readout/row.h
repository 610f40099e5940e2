/* A row of the catalogue with what the readout alone needs of it: how its marks are found, how it
 * is worked out, and what a picture hides of it. */
#ifndef SP_READOUT_ROW_H
#define SP_READOUT_ROW_H

#include "readout/evidence.h"
#include "serveplumb/readout.h"

typedef struct sp_door sp_door;
typedef struct sp_plan sp_plan;

/* Finds the marks and fills the plan; false with status and note when something is missing. */
typedef bool sp_prepare(sp_door *door, sp_plan *plan, sp_measure *measure);

typedef enum {
    SP_SEEN_WHOLE, /* heights and times: every level camera sees them alike */
    SP_SEEN_ANGLE,
    SP_SEEN_LINE, /* tilt of a line */
    SP_SEEN_LENGTH,
    SP_SEEN_CLOSE, /* a length between neighbours, as far from the camera as each other */
    SP_SEEN_SPEED,
    SP_SEEN_SHARE, /* of one speed in another */
} sp_seen;

typedef struct {
    sp_measure_kind kind;
    sp_seen seen;
    sp_prepare *prepare; /* NULL: a quotient */
    sp_evaluate *evaluate;
} sp_row;

const sp_row *sp_row_at(size_t index);

/* The moments that measures know, in order of time. */
typedef enum {
    SP_AT_RELEASE,
    SP_AT_TROPHY,
    SP_AT_DROP,
    SP_AT_CONTACT,
    SP_AT_BOUNCE,
    SP_AT_COUNT
} sp_known_moment;
extern const char *const sp_known_moments[SP_AT_COUNT];

/* frames.c: marks on one frame */
sp_prepare sp_prepare_frame;     /* all the row's points on its moment's frame */
sp_prepare sp_prepare_grounded;  /* and the front toe at trophy */
sp_prepare sp_prepare_stature;   /* and the stature */
sp_prepare sp_prepare_forearm;   /* and the forearm on the frames of other moments */
sp_prepare sp_prepare_any_frame; /* on the moment's frame, or on any */
sp_prepare sp_prepare_flight;    /* the ball at contact and at its bounce on the court */

/* paths.c: marks over many frames */
sp_prepare sp_prepare_release_to_trophy, sp_prepare_trophy_to_drop, sp_prepare_drop_to_contact;
sp_prepare sp_prepare_head;
sp_prepare sp_prepare_toss;
sp_prepare sp_prepare_toss_landing;  /* and the front toe at trophy */
sp_prepare sp_prepare_contact;       /* the last frames up to contact */
sp_prepare sp_prepare_up_to_contact; /* every frame up to contact */
sp_prepare sp_prepare_ball_off;

/* One measure divided by another in each draw, so that what scale and time do to both cancels. */
typedef struct {
    const char *id, *moment;              /* of the row */
    const char *dividend, *divisor;       /* rows that stand before it, */
    const char *dividend_at, *divisor_at; /* of these moments */
} sp_quotient;
/* Of a row without functions of its own. */
const sp_quotient *sp_quotient_of(const sp_measure_kind *kind);

#endif
