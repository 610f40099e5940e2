/* The finished comparison, and what its parts ask of each other. */
#ifndef SP_READOUT_COMPARE_H
#define SP_READOUT_COMPARE_H

#include "readout/row.h"
#include "serveplumb/compare.h"

#define SP_COMPARE_CAUTIONS_MAX 16

struct sp_comparison {
    sp_change *changes;
    size_t count, compared;
    bool same_camera; /* said, and not contradicted by the court */
    char cautions[SP_COMPARE_CAUTIONS_MAX][640];
    size_t caution_count;
};

/* The error of a difference, and what it is made of. */
typedef struct {
    double sd;         /* standard uncertainty of all of it */
    double df;         /* degrees of freedom of that */
    bool of_serves;    /* scatter from serve to serve is in it on no day */
    bool opposite;     /* the cameras stand on opposite sides of the player */
    double view_sd;    /* of which by the camera's direction; 0: none */
    double scatter_sd; /* and from serve to serve */
} sp_change_error;

/* Standard uncertainty of the difference of a measure, of about such a value, between two cameras
 * that were set up by eye in the same view (compare_view.c). */
double sp_view_sd(size_t index, double value);
/* The part of it that applies: by the directions from which the cameras of the two days look, where
 * all of them are known by the court; else 1. */
double sp_view_share(const sp_day *before, const sp_day *after);
/* The widest angle between the directions of two cameras of the days; NAN: not known of all. */
double sp_cameras_apart_deg(const sp_day *before, const sp_day *after);
/* By the court they certainly did not stand the same. */
bool sp_cameras_moved(const sp_day *before, const sp_day *after);

/* Fills `words` from the rest; `among`: how many were compared. */
void sp_change_say(sp_change *change, const sp_change_error *error, const sp_day *before,
                   const sp_day *after, size_t among, sp_units units);
void sp_comparison_warn(sp_comparison *comparison, const sp_day *before, const sp_day *after,
                        bool said_same);

/* The scale in use where the measure needs one; false: several methods on the day. */
bool sp_day_scale_method(const sp_day *day, size_t index, sp_scale_method *method);

#endif
