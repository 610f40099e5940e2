/* From the picture to the plane of motion, as one draw has it. */
#ifndef SP_READOUT_MAP_H
#define SP_READOUT_MAP_H

#include "readout/scales.h"
#include "serveplumb/draws.h"

typedef struct {
    bool by_court;
    /* by a factor: metres, or pixels without a scale */
    double m_per_px;
    sp_point right, up;
    sp_point middle;     /* of the picture, px: the factor's map counts from there */
    double pitch_per_px; /* how a camera that looks up or down draws what lies higher or lower */
    /* How one that is not square to the plane draws what lies to its right: the plane turned by it,
     * larger or smaller by `turned`, as if the scale's line lay where it does. */
    double yaw_per_m, yaw_cos, turned;
    /* by a camera */
    sp_plane plane;
    /* Where the camera stands before the plane, in plane coordinates, and how far: of a factor's
     * map the picture's middle, as if the camera were level, and an assumed distance. */
    sp_point eye;
    double away_m;
    bool lost; /* this camera sees no plane */
} sp_map;

/* Where nothing tells, by the usual distance and lens. */
double sp_map_usual_m_per_px(const sp_door *door);
/* `seen`: the door's slots as drawn. `random` NULL: at the best values. */
sp_map sp_map_draw(const sp_door *door, const sp_scales *scales, sp_plumb plumb,
                   const sp_point *seen, sp_random *random);

/* A tap as one draw has it. */
sp_point sp_map_shaken(sp_point at, double sd_px, sp_random *random);
/* A point of the picture (mirrored at the door) in the plane; NAN where it is not seen. */
sp_point sp_map_flat(const sp_map *map, const sp_door *door, sp_point at);
/* From the picture as a level camera sees it to the plane itself, to which that camera need not be
 * square; by the court there is nothing left to turn. */
sp_point sp_map_turned(const sp_map *map, sp_point flat);
/* The same for what lies `off_m` nearer to the camera than the plane. */
sp_point sp_map_nearer(const sp_map *map, sp_point flat, double off_m);
/* Of what stands on the ground, where the map knows the ground; else as it is. */
sp_point sp_map_ground(const sp_map *map, const sp_door *door, const sp_found_scale *used,
                       sp_point at, sp_point flat);
/* The place in the court frame of what lies `off_m` nearer than `flat`; a map by the court. */
sp_world sp_map_place(const sp_map *map, sp_point flat, double off_m);
/* Where on the court a point `high_m` above it is; false where it is not seen. */
bool sp_map_on_ground(const sp_map *map, const sp_door *door, sp_point at, double high_m,
                      sp_point *ground);
/* Where the body is. */
double sp_map_m_per_px(const sp_map *map);

#endif
