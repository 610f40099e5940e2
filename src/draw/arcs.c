/* Angles: an arc where each is, and its number. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "draw/scene.h"
#include "draw/words.h"
#include "serveplumb/plumb.h"

typedef enum {
    ARC_INCLUDED, /* at `vertex`, between the rays to `a` and to `b` */
    ARC_UP,       /* at `vertex`, from true up to the ray to `b` */
    ARC_TRUNK,    /* at `vertex`, from the trunk's line down to the ray to `b` */
    ARC_LEVEL     /* between the line a..b and the horizontal, at the lower of the two */
} arc_shape;

typedef struct {
    const char *id, *word;
    arc_shape shape;
    int a, vertex, b;
} arc_kind;

/* In the order of their right to a label where room is short. Angles that would put a second arc on
 * a joint (forearm or racquet against each other, upper arm against the horizontal) stay in the
 * readout. */
static const arc_kind kinds[] = {
    {"elbow_angle", "elbow", ARC_INCLUDED, SP_POINT_RIGHT_SHOULDER, SP_POINT_RIGHT_ELBOW,
     SPOT_HAND},
    {"trunk_lean", "trunk lean", ARC_UP, 0, SPOT_HIPS, SPOT_SHOULDERS},
    {"upper_arm_elevation", "arm to trunk", ARC_TRUNK, 0, SP_POINT_RIGHT_SHOULDER,
     SP_POINT_RIGHT_ELBOW},
    {"knee_angle_front", "front knee", ARC_INCLUDED, SP_POINT_LEFT_HIP, SP_POINT_LEFT_KNEE,
     SP_POINT_LEFT_ANKLE},
    {"knee_angle_rear", "rear knee", ARC_INCLUDED, SP_POINT_RIGHT_HIP, SP_POINT_RIGHT_KNEE,
     SP_POINT_RIGHT_ANKLE},
    {"shoulder_tilt", "shoulder tilt", ARC_LEVEL, SP_POINT_LEFT_SHOULDER, 0,
     SP_POINT_RIGHT_SHOULDER},
    {"hip_tilt", "hip tilt", ARC_LEVEL, SP_POINT_LEFT_HIP, 0, SP_POINT_RIGHT_HIP},
    {"racquet_to_plumb", "racquet", ARC_UP, 0, SP_POINT_RACQUET_BUTT, SP_POINT_RACQUET_TIP},
};

typedef struct {
    sp_point vertex, a, b; /* a and b: directions of length 1 */
    double reach;          /* of the shorter ray that is drawn */
    bool reference;        /* a is no segment: it is drawn */
    sp_color reference_hue, hue;
} arc;

static bool unit(sp_point from, sp_point to, sp_point *direction, double *length) {
    const sp_point way = sp_point_subtract(to, from);
    *length = sp_point_length(way);
    if (!(*length > 0.0)) return false;
    *direction = sp_point_times(way, 1.0 / *length);
    return true;
}

static bool included(const scene *s, const arc_kind *kind, arc *found) {
    if (!s->spots[kind->a].there || !s->spots[kind->vertex].there || !s->spots[kind->b].there)
        return false;
    double first, second;
    found->vertex = s->spots[kind->vertex].at;
    if (!unit(found->vertex, s->spots[kind->a].at, &found->a, &first) ||
        !unit(found->vertex, s->spots[kind->b].at, &found->b, &second))
        return false;
    found->reach = fmin(first, second);
    return true;
}

static bool against_up(const scene *s, const arc_kind *kind, arc *found) {
    if (!s->spots[kind->vertex].there || !s->spots[kind->b].there) return false;
    found->vertex = s->spots[kind->vertex].at;
    found->a = sp_plumb_up(s->plumb_deg);
    found->reference = true;
    return unit(found->vertex, s->spots[kind->b].at, &found->b, &found->reach);
}

static bool against_trunk(const scene *s, const arc_kind *kind, arc *found) {
    if (!s->spots[SPOT_HIPS].there || !s->spots[SPOT_SHOULDERS].there) return false;
    double length;
    if (!unit(s->spots[SPOT_SHOULDERS].at, s->spots[SPOT_HIPS].at, &found->a, &length))
        return false;
    if (!s->spots[kind->vertex].there || !s->spots[kind->b].there) return false;
    found->vertex = s->spots[kind->vertex].at;
    found->reference = true;
    found->reference_hue = s->overlay->theme->body;
    return unit(found->vertex, s->spots[kind->b].at, &found->b, &found->reach);
}

static bool against_level(const scene *s, const arc_kind *kind, arc *found) {
    if (!s->spots[kind->a].there || !s->spots[kind->b].there) return false;
    const sp_point up = sp_plumb_up(s->plumb_deg), right = sp_plumb_right(s->plumb_deg);
    sp_point low = s->spots[kind->a].at, high = s->spots[kind->b].at;
    if (sp_point_dot(low, up) > sp_point_dot(high, up)) {
        low = s->spots[kind->b].at;
        high = s->spots[kind->a].at;
    }
    found->vertex = low;
    found->reference = true;
    if (!unit(low, high, &found->b, &found->reach)) return false;
    found->a = sp_point_times(right, sp_point_dot(found->b, right) < 0.0 ? -1.0 : 1.0);
    return true;
}

static sp_color hue_of(const scene *s, int vertex) {
    const sp_theme *theme = s->overlay->theme;
    if (vertex == SP_POINT_RIGHT_ELBOW || vertex == SP_POINT_RIGHT_SHOULDER)
        return theme->hitting_arm;
    return vertex == SP_POINT_RACQUET_BUTT ? theme->racquet : theme->body;
}

static bool find_arc(const scene *s, const arc_kind *kind, arc *found) {
    *found = (arc){.hue = hue_of(s, kind->vertex), .reference_hue = s->overlay->theme->plumb};
    switch (kind->shape) {
    case ARC_INCLUDED: return included(s, kind, found);
    case ARC_UP: return against_up(s, kind, found);
    case ARC_TRUNK: return against_trunk(s, kind, found);
    case ARC_LEVEL: return against_level(s, kind, found);
    }
    return false;
}

/* Between a and b; square to them where they are opposite. */
static sp_point bisector(const arc *of) {
    const sp_point sum = sp_point_add(of->a, of->b);
    const double length = sp_point_length(sum);
    return length < 0.05 ? (sp_point){-of->a.y, of->a.x} : sp_point_times(sum, 1.0 / length);
}

static void label_arc(scene *s, const arc_kind *kind, const sp_measure *measure, const arc *drawn,
                      double radius) {
    const room_wish wish = {.anchor = drawn->vertex,
                            .wished = bisector(drawn),
                            .ahead = radius + 0.3 * s->text,
                            .aside = 0.6 * s->text};
    scene_label *label = sp_scene_add_label(s, drawn->hue, wish);
    if (label != NULL) sp_scene_say(s, label, kind->word, measure);
}

/* A small angle needs a long radius to be seen as one; a wide one would sweep over the player. */
static double radius_of(const scene *s, double turn, double reach) {
    const double wanted = fabs(turn) < 0.5 ? 3.0 : fabs(turn) < 1.3 ? 1.7 : 1.15;
    return fmax(0.7 * s->text, fmin(wanted * s->text, 0.62 * reach));
}

static void draw_reference(scene *s, const arc *of, double radius) {
    const sp_point end = sp_point_add(of->vertex, sp_point_times(of->a, radius + 0.45 * s->text));
    sp_scene_dashed(s, of->vertex, end, 0.4 * s->line, of->reference_hue);
    sp_room_stroke(&s->board, of->vertex, end, 0.6);
}

static void draw_arc(scene *s, const arc_kind *kind, const sp_measure *measure) {
    arc found;
    if (!find_arc(s, kind, &found) || !sp_scene_in_area(s, found.vertex)) return;
    const double turn = atan2(sp_point_cross(found.a, found.b), sp_point_dot(found.a, found.b));
    const double radius = radius_of(s, turn, found.reach);
    const double from = atan2(found.a.y, found.a.x);
    if (found.reference) draw_reference(s, &found, radius);
    sp_scene_arc(s, found.vertex, radius, fmin(from, from + turn), fmax(from, from + turn),
                 0.6 * s->line, found.hue);
    const sp_point ends[] = {sp_point_add(found.vertex, sp_point_times(found.a, radius)),
                             sp_point_add(found.vertex, sp_point_times(bisector(&found), radius)),
                             sp_point_add(found.vertex, sp_point_times(found.b, radius))};
    sp_room_stroke(&s->board, ends[0], ends[1], 0.8);
    sp_room_stroke(&s->board, ends[1], ends[2], 0.8);
    label_arc(s, kind, measure, &found, radius);
}

/* Lengths that need no arc: named where they end. */
static const struct {
    const char *id, *word;
    int spot;
} heights[] = {{"tip_height_at_drop", "tip", SP_POINT_RACQUET_TIP},
               {"contact_height", "contact height", SP_POINT_BALL}};

static void draw_height(scene *s, const char *word, int spot, const sp_measure *measure) {
    if (!s->spots[spot].there) return;
    const bool ball = spot == SP_POINT_BALL;
    const double away = (ball ? 3.4 * s->line : 1.4 * s->line) + 0.3 * s->text;
    const room_wish wish = {.anchor = s->spots[spot].at, .ahead = away, .aside = away};
    const sp_theme *theme = s->overlay->theme;
    scene_label *label = sp_scene_add_label(s, ball ? theme->ball : theme->racquet, wish);
    if (label != NULL) sp_scene_say(s, label, word, measure);
}

void sp_scene_draw_arcs(scene *s) {
    for (size_t i = 0; i < sizeof kinds / sizeof kinds[0]; i++) {
        const sp_measure *measure = sp_scene_measure(s, kinds[i].id, NULL);
        if (measure != NULL) draw_arc(s, &kinds[i], measure);
    }
    for (size_t i = 0; i < sizeof heights / sizeof heights[0]; i++) {
        const sp_measure *measure = sp_scene_measure(s, heights[i].id, NULL);
        if (measure != NULL) draw_height(s, heights[i].word, heights[i].spot, measure);
    }
}
