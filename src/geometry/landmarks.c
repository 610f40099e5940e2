#include <string.h>

#include "serveplumb/landmark.h"

#define METRES(feet) ((feet)*0.3048)
#define SQRT_3 1.7320508075688772

#define SIZE(feet) ((feet) < 0 ? -(feet) : (feet))
#define ALLOWED(feet) (METRES(SIZE(feet)) > 5.0 ? 0.001 * METRES(SIZE(feet)) : 0.005)
#define NET_ALLOWED 0.010

#define GROUND(id, name, edge, x, y)                                                               \
    {                                                                                              \
        id, name, edge, {METRES(x), METRES(y), 0}, { ALLOWED(x) / SQRT_3, ALLOWED(y) / SQRT_3, 0 } \
    }
/* From the net on the net is in every distance from the origin. */
#define BEYOND(id, name, edge, x, y)                                                               \
    {                                                                                              \
        id, name, edge, {METRES(x), METRES(y), 0}, {                                               \
            ALLOWED(x) / SQRT_3, (ALLOWED(y) + NET_ALLOWED) / SQRT_3, 0                            \
        }                                                                                          \
    }
#define TOP(id, name, edge, x, z, allowed_z)                                                       \
    {                                                                                              \
        id, name, edge, {METRES(x), METRES(NET), METRES(z)}, {                                     \
            ALLOWED(x) / SQRT_3, (ALLOWED(NET) + NET_ALLOWED) / SQRT_3, (allowed_z) / SQRT_3       \
        }                                                                                          \
    }

/* Feet from the origin. */
#define SINGLES 13.5
#define DOUBLES 18.0
#define SERVICE 18.0
#define NET 39.0
#define FAR_SERVICE 60.0
#define FAR_BASE 78.0
#define POST 21.0
#define STRAP 3.0
#define CORD 3.5
/* A straight cord from the strap to the post of a doubles net; the real one hangs a little. */
#define OVER_SINGLES (STRAP + (CORD - STRAP) * SINGLES / POST)

#define CORNER "outer corner, where the edges away from the court meet"
#define ON_SERVICE                                                                                 \
    "service line's edge away from the net, where it meets the outer edge of the singles sideline"
#define UNDER_NET "outer edge of the sideline, on the ground under the net"

static const sp_landmark LANDMARKS[] = {
    /* The origin is exact by definition. */
    {"near_centre_mark",
     "centre mark, server's end",
     "middle of the mark, on the baseline's edge away from the net",
     {0, 0, 0},
     {0, 0, 0}},
    GROUND("near_left_singles_corner", "left singles corner, server's end", CORNER, -SINGLES, 0),
    GROUND("near_right_singles_corner", "right singles corner, server's end", CORNER, SINGLES, 0),
    GROUND("near_left_doubles_corner", "left doubles corner, server's end", CORNER, -DOUBLES, 0),
    GROUND("near_right_doubles_corner", "right doubles corner, server's end", CORNER, DOUBLES, 0),
    GROUND("near_left_service_singles", "service line at the left singles sideline, server's end",
           ON_SERVICE, -SINGLES, SERVICE),
    GROUND("near_t", "the T, server's end",
           "middle of the centre line, on the service line's edge away from the net", 0, SERVICE),
    GROUND("near_right_service_singles", "service line at the right singles sideline, server's end",
           ON_SERVICE, SINGLES, SERVICE),
    BEYOND("net_left_doubles", "net at the left doubles sideline", UNDER_NET, -DOUBLES, NET),
    BEYOND("net_left_singles", "net at the left singles sideline", UNDER_NET, -SINGLES, NET),
    BEYOND("net_centre", "net at the centre line",
           "middle of the centre line, on the ground under the net", 0, NET),
    BEYOND("net_right_singles", "net at the right singles sideline", UNDER_NET, SINGLES, NET),
    BEYOND("net_right_doubles", "net at the right doubles sideline", UNDER_NET, DOUBLES, NET),
    BEYOND("far_left_service_singles", "service line at the left singles sideline, far end",
           ON_SERVICE, -SINGLES, FAR_SERVICE),
    BEYOND("far_t", "the T, far end",
           "middle of the centre line, on the service line's edge away from the net", 0,
           FAR_SERVICE),
    BEYOND("far_right_service_singles", "service line at the right singles sideline, far end",
           ON_SERVICE, SINGLES, FAR_SERVICE),
    BEYOND("far_left_doubles_corner", "left doubles corner, far end", CORNER, -DOUBLES, FAR_BASE),
    BEYOND("far_left_singles_corner", "left singles corner, far end", CORNER, -SINGLES, FAR_BASE),
    BEYOND("far_centre_mark", "centre mark, far end",
           "middle of the mark, on the baseline's edge away from the net", 0, FAR_BASE),
    BEYOND("far_right_singles_corner", "right singles corner, far end", CORNER, SINGLES, FAR_BASE),
    BEYOND("far_right_doubles_corner", "right doubles corner, far end", CORNER, DOUBLES, FAR_BASE),
    /* Heights: +-1 cm at strap and posts, which clubs set by hand (common practice, no source);
     * +-2 cm where the cord hangs freely. */
    TOP("net_centre_top", "top of the net at the centre", "top edge of the band at the strap", 0,
        STRAP, 0.01),
    TOP("net_left_singles_top", "top of the net over the left singles sideline",
        "top edge of the band; only where no singles stick stands", -SINGLES, OVER_SINGLES, 0.02),
    TOP("net_right_singles_top", "top of the net over the right singles sideline",
        "top edge of the band; only where no singles stick stands", SINGLES, OVER_SINGLES, 0.02),
    TOP("net_left_post_top", "top of the net at the left doubles post",
        "where the cord meets the middle of the post", -POST, CORD, 0.01),
    TOP("net_right_post_top", "top of the net at the right doubles post",
        "where the cord meets the middle of the post", POST, CORD, 0.01),
};

size_t sp_landmark_count(void) { return sizeof LANDMARKS / sizeof LANDMARKS[0]; }

const sp_landmark *sp_landmark_at(size_t index) {
    return index < sp_landmark_count() ? &LANDMARKS[index] : NULL;
}

const sp_landmark *sp_landmark_find(const char *id) {
    for (size_t i = 0; i < sp_landmark_count(); i++)
        if (strcmp(LANDMARKS[i].id, id) == 0) return &LANDMARKS[i];
    return NULL;
}

bool sp_landmark_on_ground(const sp_landmark *landmark) { return landmark->at.z == 0; }

const sp_landmark *sp_landmark_mirrored(const sp_landmark *landmark) {
    for (size_t i = 0; i < sp_landmark_count(); i++) {
        const sp_world at = LANDMARKS[i].at;
        if (at.x == -landmark->at.x && at.y == landmark->at.y && at.z == landmark->at.z)
            return &LANDMARKS[i];
    }
    return landmark;
}
