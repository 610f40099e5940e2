/* The drop: a plumb line hung from the elbow, the level of the hand on it, and the gap between. */
#include <math.h>
#include <stdio.h>

#include "draw/scene.h"
#include "serveplumb/plumb.h"

typedef struct {
    sp_point elbow, hand;
    sp_point up, out; /* unit vectors; out: sideways, to where the bracket stands */
    double below;     /* how far the hand's level lies below the elbow's, painter units */
    double aside;     /* how far the hand lies sideways of the elbow */
    double bracket;   /* how far out it stands */
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
    found->aside = fabs(sp_point_dot(arm, right));
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

static double cost_of_bracket(const scene *s, const drop *d, sp_point out, double away) {
    const drop there = {.elbow = d->elbow, .up = d->up, .out = out};
    const sp_point middle = from_elbow(&there, d->below / 2.0, away);
    const double half = fabs(d->below) / 2.0 + 0.7 * s->text;
    const sp_rect box = {middle.x - 0.8 * s->text, middle.y - half, 1.6 * s->text, 2.0 * half};
    return sp_room_inside(s->board.area, box) ? sp_room_cost(&s->board, box) : INFINITY;
}

/* Beside the elbow, away from the hand; beyond the hand where the upper arm lies in that place. */
static void stand_bracket(const scene *s, drop *d) {
    const double near = 1.2 * s->text, far = d->aside + 1.5 * s->text;
    const sp_point back = sp_point_times(d->out, -1.0);
    d->bracket = near;
    if (cost_of_bracket(s, d, d->out, near) <= cost_of_bracket(s, d, back, far) + 0.5) return;
    d->out = back;
    d->bracket = far;
}

/* Both levels led out to the bracket. */
static void draw_bracket(scene *s, const drop *d) {
    const double past = d->bracket + 0.45 * s->text, thin = 0.4 * s->line;
    const sp_point ends[] = {from_elbow(d, 0.0, d->bracket), from_elbow(d, d->below, d->bracket)};
    const sp_point levels[] = {from_elbow(d, 0.0, past), from_elbow(d, d->below, past)};
    sp_scene_line(s, d->hand, levels[1], thin, d->hue);
    sp_scene_line(s, d->elbow, levels[0], thin, d->hue);
    sp_scene_line(s, ends[0], ends[1], 1.1 * s->line, d->hue);
    sp_room_stroke(&s->board, d->hand, levels[1], 3.0);
    sp_room_stroke(&s->board, d->elbow, levels[0], 3.0);
    sp_room_stroke(&s->board, ends[0], ends[1], 3.0);
}

static void label_gap(scene *s, const drop *d, const sp_measure *gap) {
    const room_wish wish = {.anchor = from_elbow(d, d->below / 2.0, d->bracket),
                            .wished = d->out,
                            .ahead = 0.7 * s->text,
                            .aside = 0.7 * s->text};
    scene_label *label = sp_scene_add_label(s, d->hue, wish);
    if (label == NULL) return;
    sp_scene_say(s, label, "hand", gap);
    if (label->after[0] == '\0') snprintf(label->after, sizeof label->after, "to elbow");
}

/* Without a scale, the gap in lengths of the forearm. */
static const sp_measure *find_gap(const scene *s) {
    const sp_measure *gap = sp_scene_measure(s, "hand_elbow_gap", "drop");
    return gap != NULL ? gap : sp_scene_measure(s, "hand_elbow_gap_ratio", "drop");
}

void sp_scene_draw_gap(scene *s) {
    drop d;
    if (!s->overlay->numbers || !find_drop(s, &d)) return;
    stand_bracket(s, &d);
    draw_line(s, &d);
    draw_bracket(s, &d);
    const sp_measure *gap = find_gap(s);
    if (gap != NULL) label_gap(s, &d, gap);
}
