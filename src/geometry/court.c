#include "serveplumb/court.h"

#include <string.h>

#define METRES(feet) ((feet)*0.3048)
#define SQRT_3 1.7320508075688772

/* ITF CS 04/02: 0.1 % of the distance, 5 mm at least, 10 mm more where the net is involved. */
#define ALLOWED(feet) (METRES(feet) > 5.0 ? 0.001 * METRES(feet) : 0.005)
#define COURT(id, name, edges, feet)                                                               \
    { id, name, edges, feet, METRES(feet), ALLOWED(feet) / SQRT_3 }
#define NET(id, name, edges, feet)                                                                 \
    { id, name, edges, feet, METRES(feet), (ALLOWED(feet) + 0.010) / SQRT_3 }

/* Rule 1 gives 78 ft length, 27 and 36 ft widths, 21 ft from net to service line, 3 ft and 3 ft
 * 6 in of net; the others follow by subtraction and Pythagoras (checked in court_test.c). */
static const sp_court_distance DISTANCES[] = {
    COURT("baseline_half_singles", "baseline, centre mark to singles sideline",
          "middle of the mark; outer edge of the sideline", 13.5),
    COURT("baseline_half_doubles", "baseline, centre mark to doubles sideline",
          "middle of the mark; outer edge of the sideline", 18),
    COURT("baseline_alley", "baseline, singles to doubles sideline", "outer edge of both sidelines",
          4.5),
    COURT("baseline_singles", "baseline, singles sideline to singles sideline",
          "outer edge of both sidelines", 27),
    COURT("baseline_doubles", "baseline, doubles sideline to doubles sideline",
          "outer edge of both sidelines", 36),
    COURT("back_court_depth", "sideline, baseline to service line",
          "edge of the baseline and of the service line away from the net", 18),
    COURT("centre_mark_to_t", "centre mark to the T",
          "baseline's edge away from the net, middle of the mark; service line's edge away from "
          "the net, middle of the centre line",
          18),
    NET("service_box_depth", "sideline, service line to net",
        "service line's edge away from the net; the ground under the net", 21),
    COURT("service_box_width", "service line, singles sideline to centre line",
          "outer edge of the sideline; middle of the centre line", 13.5),
    COURT("service_line", "service line, singles sideline to singles sideline",
          "outer edge of both sidelines", 27),
    NET("baseline_to_net", "sideline, baseline to net",
        "baseline's edge away from the net; the ground under the net", 39),
    COURT("centre_mark_to_service_corner", "centre mark to service line at the singles sideline",
          "baseline's edge away from the net, middle of the mark; outer corner of the box", 22.5),
    COURT("doubles_corner_to_service_corner",
          "doubles corner to service line at the nearer singles sideline",
          "outer corner of the baseline; outer corner of the box", 18.553975315279473),
    COURT("back_court_singles_diagonal",
          "singles corner to service line at the other singles sideline",
          "outer corner of the baseline; outer corner of the box", 32.449961479175904),
    NET("service_box_diagonal", "service box, corner to corner",
        "outer corner of the box; middle of the centre line, under the net", 24.964975465639856),
    NET("both_boxes_diagonal", "both service boxes, corner to corner",
        "outer corner of the box; outer edge of the other sideline, under the net",
        34.20526275297414),
    NET("half_court_singles_diagonal", "half court, singles, corner to corner",
        "outer corner of the baseline; outer edge of the other sideline, under the net",
        47.43416490252569),
    NET("half_court_doubles_diagonal", "half court, doubles, corner to corner",
        "outer corner of the baseline; outer edge of the other sideline, under the net",
        53.075418038862395),
    COURT("full_singles_diagonal", "whole court, singles, corner to corner",
          "outer corners of the two baselines", 82.54089895318563),
    COURT("full_doubles_diagonal", "whole court, doubles, corner to corner",
          "outer corners of the two baselines", 85.90692637965812),
    NET("centre_mark_to_far_t", "centre mark to the far T",
        "baseline's edge away from the net, middle of the mark; far service line's edge away from "
        "the net, middle of the centre line",
        60),
    NET("centre_mark_to_far_service_corner",
        "centre mark to the far service line at the singles sideline",
        "baseline's edge away from the net, middle of the mark; outer corner of the far box", 61.5),
    NET("net_height_centre", "net, height at the centre strap",
        "the ground; top edge of the strap. Far from the server: never the player's own scale", 3),
    NET("net_height_posts", "net, height at the posts",
        "the ground; top of the cord at the post. Far from the server: never the player's own "
        "scale",
        3.5),
};

size_t sp_court_distance_count(void) { return sizeof DISTANCES / sizeof DISTANCES[0]; }

const sp_court_distance *sp_court_distance_at(size_t index) {
    return index < sp_court_distance_count() ? &DISTANCES[index] : NULL;
}

const sp_court_distance *sp_court_distance_find(const char *id_or_name) {
    for (size_t i = 0; i < sp_court_distance_count(); i++)
        if (strcmp(DISTANCES[i].id, id_or_name) == 0 || strcmp(DISTANCES[i].name, id_or_name) == 0)
            return &DISTANCES[i];
    return NULL;
}
