/* What moves while the shutter is open is smeared along its way, and a tap may lie anywhere on the
 * smear: a deviation of its length / sqrt 12 along the way (of a rectangle; JCGM 100, 4.3.7). */
#ifndef SP_READOUT_SHUTTER_H
#define SP_READOUT_SHUTTER_H

#include "readout/door.h"
#include "serveplumb/draws.h"

/* How long it is open for a row, real seconds. */
typedef struct {
    bool known;
    double least_s, most_s; /* equal where it is known */
} sp_shutter;

sp_shutter sp_shutter_of(const sp_door *door);
/* As the coach says it, else anything between, each doubling as likely as the next. */
double sp_shutter_draw(const sp_shutter *shutter, sp_random *random);

/* How fast the mark moves over the picture, px per real second (mirrored at the door), by the marks
 * of the same point on the frames about it, none from across the touch. Where none is near, as such
 * a point usually moves at that moment; 0, 0 where nobody knows. `m_per_px`: roughly. */
sp_point sp_shutter_way(const sp_door *door, const sp_slot *slot, double m_per_px);

/* Deviation of a tap along that way. */
double sp_shutter_sd_px(sp_point way, double exposure_s);

/* Adds to the measure's note what smears its fastest point, moving `px_per_s` and tapped within
 * `sd_px`, where that counts beside the tap. */
void sp_shutter_note(const sp_shutter *shutter, double px_per_s, double sd_px, sp_measure *measure);

#endif
