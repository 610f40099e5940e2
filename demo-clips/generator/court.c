#include "court.h"

const landmark court_landmarks[] = {
    {"near_centre_mark", {0.0, 0.0, 0.0}},
    {"near_left_singles_corner", {-HALF_SINGLES, 0.0, 0.0}},
    {"near_right_singles_corner", {HALF_SINGLES, 0.0, 0.0}},
    {"near_left_doubles_corner", {-HALF_DOUBLES, 0.0, 0.0}},
    {"near_right_doubles_corner", {HALF_DOUBLES, 0.0, 0.0}},
    {"near_t", {0.0, SERVICE_LINE, 0.0}},
    {"near_left_service_singles", {-HALF_SINGLES, SERVICE_LINE, 0.0}},
    {"near_right_service_singles", {HALF_SINGLES, SERVICE_LINE, 0.0}},
    {"net_left_singles", {-HALF_SINGLES, NET_LINE, 0.0}},
    {"net_right_singles", {HALF_SINGLES, NET_LINE, 0.0}},
    {"net_left_doubles", {-HALF_DOUBLES, NET_LINE, 0.0}},
    {"net_right_doubles", {HALF_DOUBLES, NET_LINE, 0.0}},
    {"net_centre_top", {0.0, NET_LINE, NET_MIDDLE}},
    {"far_t", {0.0, COURT_LENGTH - SERVICE_LINE, 0.0}},
    {"far_left_service_singles", {-HALF_SINGLES, COURT_LENGTH - SERVICE_LINE, 0.0}},
    {"far_right_service_singles", {HALF_SINGLES, COURT_LENGTH - SERVICE_LINE, 0.0}},
    {"far_left_singles_corner", {-HALF_SINGLES, COURT_LENGTH, 0.0}},
    {"far_right_singles_corner", {HALF_SINGLES, COURT_LENGTH, 0.0}},
    {"far_left_doubles_corner", {-HALF_DOUBLES, COURT_LENGTH, 0.0}},
    {"far_right_doubles_corner", {HALF_DOUBLES, COURT_LENGTH, 0.0}},
};
const size_t court_landmark_count = sizeof court_landmarks / sizeof *court_landmarks;

#define HALF_LINE (0.5 * LINE_WIDTH)
#define FAR_SERVICE (COURT_LENGTH - SERVICE_LINE)
#define MARK_LENGTH 0.10 /* of the centre mark, inside the baseline */

const painted court_lines[] = {
    {-HALF_DOUBLES, HALF_DOUBLES, 0.0, BASELINE_WIDTH},
    {-HALF_DOUBLES, HALF_DOUBLES, COURT_LENGTH - BASELINE_WIDTH, COURT_LENGTH},
    {-HALF_DOUBLES, -HALF_DOUBLES + LINE_WIDTH, 0.0, COURT_LENGTH},
    {HALF_DOUBLES - LINE_WIDTH, HALF_DOUBLES, 0.0, COURT_LENGTH},
    {-HALF_SINGLES, -HALF_SINGLES + LINE_WIDTH, 0.0, COURT_LENGTH},
    {HALF_SINGLES - LINE_WIDTH, HALF_SINGLES, 0.0, COURT_LENGTH},
    {-HALF_SINGLES, HALF_SINGLES, SERVICE_LINE, SERVICE_LINE + LINE_WIDTH},
    {-HALF_SINGLES, HALF_SINGLES, FAR_SERVICE - LINE_WIDTH, FAR_SERVICE},
    {-HALF_LINE, HALF_LINE, SERVICE_LINE, FAR_SERVICE},
    {-HALF_LINE, HALF_LINE, BASELINE_WIDTH, BASELINE_WIDTH + MARK_LENGTH},
    {-HALF_LINE, HALF_LINE, COURT_LENGTH - BASELINE_WIDTH - MARK_LENGTH,
     COURT_LENGTH - BASELINE_WIDTH},
};
const size_t court_line_count = sizeof court_lines / sizeof *court_lines;
