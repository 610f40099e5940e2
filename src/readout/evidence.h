/* What a measure is worked out from, and the formulas. Written once, for a right-hander, in plane
 * coordinates: x is `u` along the ground (positive toward the net in a side view, toward the
 * hitting side in the others), y is `w`, the height. Metres with a scale, else pixels. */
#ifndef SP_READOUT_EVIDENCE_H
#define SP_READOUT_EVIDENCE_H

#include <stdbool.h>
#include <stddef.h>

#include "serveplumb/motion.h"
#include "serveplumb/point.h"

/* The samples first..first+count of a path, looked at when sample `middle` was. */
typedef struct {
    size_t first, count, middle;
} sp_window;

/* Polynomials in time through a path; its times count from the first sample. */
typedef struct {
    double x[4], y[4];
    double along[4]; /* x by a straight line */
    double start_s, length_s;
} sp_whole_fit;

/* What several measures of one draw ask of the same path: made when the first one asks. */
typedef struct {
    bool has_parabola, parabola_good;
    sp_whole_fit parabola;
    bool has_strike, strike_good;
    double speed, highest; /* of the racquet's tip up to contact */
} sp_path_fits;

typedef struct {
    const sp_point *at;    /* the row's points on its frame, in the order of the row */
    sp_point ground;       /* where the front foot stood */
    const sp_sample *path; /* a followed point in order of time */
    size_t path_count;
    sp_path_fits *fits;      /* of that path */
    const sp_window *window; /* where the path is at its fastest */
    double from_s, to_s;     /* the two ends of a span; of a path: `to_s` is when the ball is met */
    double flight_m,
        drop_m;  /* from contact to the bounce, straight; how much lower the bounce is */
    double lean; /* +1 where a lean is positive along u, -1 where it is against u */
    double stature_m;
    double drag_per_m; /* of the ball: share of its speed lost on each metre */
    double noise;      /* deviation of a coordinate, as a coach taps */
    bool best;         /* nothing is drawn */
    double model;      /* a standard normal number: how far the model itself is off */
} sp_evidence;

typedef double sp_evaluate(const sp_evidence *evidence);

/* positions.c */
sp_evaluate sp_find_included_angle; /* a, vertex, c */
sp_evaluate sp_find_arm_elevation;  /* shoulder, elbow, off shoulder, hip, off hip */
sp_evaluate sp_find_above_level;    /* from, to */
sp_evaluate sp_find_angle_to_plumb; /* from, to; 0 up .. 180 down */
sp_evaluate sp_find_angle_between;  /* from, to, from, to */
sp_evaluate sp_find_trunk_lean;     /* shoulder, off shoulder, hip, off hip */
sp_evaluate sp_find_tilt;           /* hitting side, off side */
sp_evaluate sp_find_height;         /* bottom, top */
sp_evaluate sp_find_height_to_hips; /* top, hip, off hip */
sp_evaluate sp_find_gap_ratio;      /* elbow, hand; path: elbow, hand of other frames in turn */
sp_evaluate sp_find_beside_body;    /* shoulder, hip, tip */
sp_evaluate sp_find_beside_angle;   /* shoulder, off shoulder, hip, off hip, butt, tip */
sp_evaluate sp_find_distance;       /* a, b */
sp_evaluate sp_find_height_above_ground; /* top */
sp_evaluate sp_find_height_in_statures;  /* top */
sp_evaluate sp_find_ahead_of_ground;     /* point */

/* movements.c */
sp_evaluate sp_find_span;
sp_evaluate sp_find_travel;             /* greatest distance between two places of the path */
sp_evaluate sp_find_toss_rise;          /* from the path's first sample to its apex */
sp_evaluate sp_find_toss_drop;          /* from the apex to the path's last sample */
sp_evaluate sp_find_toss_landing;       /* ahead of the ground's point, were it let fall to it */
sp_evaluate sp_find_speed_at_contact;   /* one-sided, along the path, at to_s */
sp_evaluate sp_find_highest_to_contact; /* by the same fit */
sp_evaluate sp_find_hand_to_contact;
sp_evaluate sp_find_tip_speed;      /* in the window, along the path */
sp_evaluate sp_find_speed;          /* in the window */
sp_evaluate sp_find_last_two_speed; /* mean between the last two samples */
sp_evaluate sp_find_speed_off;      /* at to_s, before drag took its share */
sp_evaluate sp_find_flight_speed;   /* launch speed by the flight from from_s to to_s */

/* The head is followed from so long before the touch to so long after it (design). */
#define SP_HEAD_BEFORE_S 0.100
#define SP_HEAD_AFTER_S 0.050

/* How many frames a one-sided fit at contact takes at this rate. */
size_t sp_contact_frames(double rate);
/* And a fit about the elbow's highest speed. */
size_t sp_elbow_frames(double rate);

#endif
