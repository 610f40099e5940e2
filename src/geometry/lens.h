/* The radial term: picture radius r_d = r_u (1 + k1 r_u^2), radii in focal lengths. */
#ifndef SP_GEOMETRY_LENS_H
#define SP_GEOMETRY_LENS_H

#include <stdbool.h>

#include "serveplumb/point.h"

/* 1 + 3 k1 r^2 > 0: the term still grows with the radius. */
bool sp_lens_reaches(double k1, sp_point straight);
sp_point sp_lens_bend(double k1, sp_point straight);
/* The inverse; false where no straight ray is seen (beyond the fold). */
bool sp_lens_straighten(double k1, sp_point bent, sp_point *straight);

#endif
