/* Every scale of the review, evaluated at the player; the one in use leads to the plane. */
#ifndef SP_READOUT_SCALES_H
#define SP_READOUT_SCALES_H

#include "readout/stand.h"
#include "serveplumb/scale.h"
#include "serveplumb/toss.h"

typedef struct {
    sp_point a, b; /* mirrored at the door */
    double sd_px, distance_m, distance_sd_m;
    double depth_sd; /* relative */
} sp_line;

typedef struct {
    const sp_scale_entry *entry;
    bool good;
    double m_per_px, relative_sd; /* where the body is; NAN unless good */
    char words[400];              /* why it is not good, or what is doubtful in it; "" */
    sp_line line;
    sp_stand stand;
    sp_toss toss; /* in pixels mirrored at the door */
} sp_found_scale;

typedef struct {
    sp_found_scale *found;
    size_t count;
    const sp_found_scale *used; /* the review's scale in use, when it is good */
    const sp_found_scale *active;
} sp_scales;

/* Evaluates all; false without memory. */
bool sp_scales_evaluate(sp_door *door, sp_scales *scales, sp_error *error);
void sp_scales_free(sp_scales *scales);
/* The first good one of a method; NULL when there is none. */
const sp_found_scale *sp_scales_of(const sp_scales *scales, sp_scale_method method);

/* Fills the readout's findings and, from its measures, the pairs; false without memory. */
bool sp_scales_report(const sp_scales *scales, sp_readout *readout, sp_error *error);

/* The ball's marks on the frames first..last in mirrored pixels; returns how many. */
size_t sp_toss_samples(sp_door *door, int first, int last, sp_sample samples[SP_PATH_MAX]);

/* What the toss says of the clip's clock by a court or a line; false when it says nothing. */
bool sp_clock_check(sp_door *door, const sp_scales *scales, sp_slowdown_check *check);
void sp_clock_words(const sp_door *door, const sp_slowdown_check *check, char *text, size_t size);

/* The plumb that the review asks for, with which scale it was had in `words` when it could not. */
sp_plumb sp_scales_plumb(const sp_scales *scales, const sp_door *door, char *words, size_t size);

#endif
