/* Which points the sheet asks for. */
#include <string.h>

#include "readout/checks.h"
#include "readout/row.h"

/* Along the hitting arm to the racquet's tip, then trunk, legs, head and ball: as the eye goes. */
static const sp_point_name ORDER[] = {
    SP_POINT_RIGHT_SHOULDER, SP_POINT_RIGHT_ELBOW,  SP_POINT_RIGHT_WRIST, SP_POINT_RIGHT_HAND,
    SP_POINT_HAND_HEEL,      SP_POINT_RACQUET_BUTT, SP_POINT_RACQUET_TIP, SP_POINT_LEFT_SHOULDER,
    SP_POINT_LEFT_ELBOW,     SP_POINT_LEFT_WRIST,   SP_POINT_LEFT_HAND,   SP_POINT_RIGHT_HIP,
    SP_POINT_LEFT_HIP,       SP_POINT_LEFT_KNEE,    SP_POINT_LEFT_ANKLE,  SP_POINT_LEFT_TOE,
    SP_POINT_RIGHT_KNEE,     SP_POINT_RIGHT_ANKLE,  SP_POINT_RIGHT_TOE,   SP_POINT_RIGHT_EAR,
    SP_POINT_LEFT_EAR,       SP_POINT_NOSE,         SP_POINT_RIGHT_EYE,   SP_POINT_LEFT_EYE,
    SP_POINT_BALL,
};
_Static_assert(sizeof ORDER / sizeof ORDER[0] == SP_POINT_COUNT, "every point has its place");

static bool stands_on_ground(const sp_row *row) {
    return row->prepare == sp_prepare_grounded || row->prepare == sp_prepare_stature;
}

static void want(const sp_row *row, const char *moment, bool wanted[SP_POINT_COUNT]) {
    if (strcmp(row->kind.moment, moment) == 0)
        for (int i = 0; i < row->kind.point_count; i++) wanted[row->kind.points[i]] = true;
    if (stands_on_ground(row) && strcmp(moment, sp_known_moments[SP_AT_TROPHY]) == 0)
        wanted[SP_POINT_LEFT_TOE] = true;
}

size_t sp_catalogue_points(const char *moment, sp_view view, sp_hand hand,
                           sp_point_name points[SP_POINT_COUNT]) {
    bool wanted[SP_POINT_COUNT] = {false};
    size_t count = 0;
    for (size_t i = 0; i < sp_catalogue_count(); i++) {
        const sp_row *row = sp_row_at(i);
        if ((row->kind.views & SP_VIEW_BIT(view)) != 0) want(row, moment, wanted);
    }
    for (size_t i = 0; i < SP_POINT_COUNT; i++)
        if (wanted[ORDER[i]]) points[count++] = sp_point_for_hand(ORDER[i], hand);
    return count;
}

static bool is_on_ground(const sp_measure_kind *kind) {
    for (size_t i = 0; kind != NULL && i < sp_catalogue_count(); i++)
        if (&sp_row_at(i)->kind == kind) return stands_on_ground(sp_row_at(i));
    return false;
}

static bool needs_ground(const sp_check *check) {
    for (int t = 0; t < check->test_count; t++)
        if (is_on_ground(check->tests[t].limit.kind)) return true;
    return false;
}

size_t sp_check_points_in(const sp_check *check, const char *moment, sp_hand hand,
                          sp_point_name points[SP_POINT_COUNT]) {
    size_t count = 0;
    if (strcmp(check->moment, moment) == 0) count = sp_check_points(check, hand, points);
    const sp_point_name toe = sp_point_for_hand(SP_POINT_LEFT_TOE, hand);
    if (strcmp(moment, sp_known_moments[SP_AT_TROPHY]) != 0 || !needs_ground(check)) return count;
    for (size_t i = 0; i < count; i++)
        if (points[i] == toe) return count;
    points[count++] = toe;
    return count;
}
