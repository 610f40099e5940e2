/* The drop: a plumb line hung from the elbow, the level of the hand on it, and the gap between. */
#include <math.h>
#include <stdio.h>

#include "draw/scene.h"
#include "serveplumb/plumb.h"

typedef struct {
    sp_point elbow, hand;
    sp_point up, out; /* unit vectors; out: sideways, away from the hand */
    double below;     /* how far the hand's level lies below the elbow's, painter units */
    sp_color hue;
} drop;

static bool find_drop(const scene *s, drop *found) {
    if (!s->spots[SP_POINT_RIGHT_ELBOW].there || !s->spots[SPOT_HAND].there) return false;
    if (sp_review_moment_frame(s->overlay->review, "drop") != s->overlay->frame) return false;
    const sp_point right = sp_plumb_right(s->plumb_deg);
    found->elbow = s->spots[SP_POINT_RIGHT_ELBOW].at;
    found->hand = s->spots[SPOT_HAND].at;
    found->up = sp_plumb_up(s->plumb_deg);
    const sp_point arm = sp_point_subtract(found->hand, found->elbow);
    found->out = sp_point_times(right, sp_point_dot(arm, right) > 0.0 ? -1.0 : 1.0);
    found->below = -sp_point_dot(arm, found->up);
    found->hue = s->overlay->theme->plumb;
    return true;
}

/* From the elbow: so far down, so far out. */
static sp_point from_elbow(const drop *d, double down, double out) {
    return sp_point_add(sp_point_add(d->elbow, sp_point_times(d->up, -down)),
                        sp_point_times(d->out, out));
}

static void draw_line(scene *s, const drop *d) {
    const double above = fmax(-d->below, 0.0) + 1.0 * s->text;
    const double under = fmax(d->below, 0.0) + 2.2 * s->text;
    const sp_point top = from_elbow(d, -above, 0.0), bottom = from_elbow(d, under, 0.0);
    sp_scene_dashed(s, top, bottom, 0.6 * s->line, d->hue);
    sp_room_stroke(&s->board, top, bottom, 0.8);
    /* the bob */
    const double half = 1.25 * s->line, edge = 0.55 * s->line;
    for (int inner = 0; inner < 2; inner++) {
        const double grow = inner ? 0.0 : edge;
        const sp_point bob[] = {from_elbow(d, under - grow, -half - grow),
                                from_elbow(d, under - grow, half + grow),
                                from_elbow(d, under + 3.4 * half + 2.0 * grow, 0.0)};
        sp_paint_polygon(s->paint, bob, 3, inner ? d->hue : s->outline);
    }
}

/* Both levels led out beside the plumb line, and the gap between them. */
static void draw_bracket(scene *s, const drop *d, double out) {
    const double past = out + 0.45 * s->text;
    const double thin = 0.4 * s->line;
    sp_scene_line(s, d->hand, from_elbow(d, d->below, past), thin, d->hue);
    sp_scene_line(s, d->elbow, from_elbow(d, 0.0, past), thin, d->hue);
    sp_scene_line(s, from_elbow(d, 0.0, out), from_elbow(d, d->below, out), 1.1 * s->line, d->hue);
    sp_room_stroke(&s->board, d->hand, from_elbow(d, d->below, past), 3.0);
    sp_room_stroke(&s->board, d->elbow, from_elbow(d, 0.0, past), 3.0);
    sp_room_stroke(&s->board, from_elbow(d, 0.0, out), from_elbow(d, d->below, out), 3.0);
}

static void label_gap(scene *s, const drop *d, const sp_measure *gap, double out) {
    const room_wish wish = {.anchor = from_elbow(d, d->below / 2.0, out),
                            .wished = d->out,
                            .ahead = 0.7 * s->text,
                            .aside = 0.7 * s->text};
    scene_label *label = sp_scene_add_label(s, d->hue, wish);
    if (label == NULL) return;
    sp_scene_say(s, label, "hand", gap);
    if (label->after[0] == '\0') snprintf(label->after, sizeof label->after, "to elbow");
}

/* Without a scale, the gap in lengths of the forearm. */
const sp_measure *sp_scene_gap(const scene *s) {
    const sp_measure *gap = sp_scene_measure(s, "hand_elbow_gap", "drop");
    return gap != NULL ? gap : sp_scene_measure(s, "hand_elbow_gap_ratio", "drop");
}

void sp_scene_draw_gap(scene *s) {
    drop d;
    if (!s->overlay->numbers || !find_drop(s, &d)) return;
    draw_line(s, &d);
    const sp_measure *gap = sp_scene_gap(s);
    const double out = 1.2 * s->text;
    draw_bracket(s, &d, out);
    if (gap != NULL) label_gap(s, &d, gap, out);
}
