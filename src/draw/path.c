/* The way of the racquet's tip up to contact. */
#include <limits.h>
#include <math.h>

#include "draw/scene.h"

/* Of the player's size. A longer chord between two marks would be a guess at the curve. */
#define CHORD_MAX 0.35
#define TIPS_MAX 160

typedef struct {
    sp_point at[TIPS_MAX];
    int count;
} tips;

static int last_frame(const scene *s) {
    const int contact = sp_review_moment_frame(s->overlay->review, "contact");
    const int shown = s->overlay->path == SP_PATH_SO_FAR ? s->overlay->frame : INT_MAX;
    return contact >= 0 && contact < shown ? contact : shown;
}

/* Before the trophy the racquet is only brought up. */
static void collect(const scene *s, tips *found) {
    const sp_review *review = s->overlay->review;
    const int first = sp_review_moment_frame(review, "trophy"), last = last_frame(s);
    for (size_t i = 0; i < sp_review_marked_count(review) && found->count < TIPS_MAX; i++) {
        const int frame = sp_review_marked_frame(review, i);
        sp_mark mark;
        if (frame < first || frame > last) continue;
        if (!sp_review_mark(review, frame, SP_POINT_RACQUET_TIP, &mark)) continue;
        found->at[found->count++] = sp_scene_place(s, mark.at);
    }
}

static bool is_near(const scene *s, sp_point a, sp_point b) {
    return sp_point_distance(a, b) <= CHORD_MAX * s->figure;
}

void sp_scene_draw_path(scene *s) {
    if (s->overlay->path == SP_PATH_NONE) return;
    tips found = {.count = 0};
    collect(s, &found);
    const sp_color hue = s->overlay->theme->racquet;
    const double width = 0.5 * s->line, r = 0.62 * s->line, edge = fmax(1.0, 0.3 * s->line);
    /* all outlines first: a chord's must not cut the one before */
    for (int pass = 0; pass < 2; pass++) {
        const double grow = pass == 0 ? edge : 0.0;
        const sp_color color = pass == 0 ? s->outline : hue;
        for (int i = 0; i < found.count; i++) {
            if (i > 0 && is_near(s, found.at[i - 1], found.at[i]))
                sp_paint_line(s->paint, found.at[i - 1], found.at[i], width + 2.0 * grow, color);
            sp_paint_disc(s->paint, found.at[i], r + grow, color);
        }
    }
    for (int i = 1; i < found.count; i++)
        if (is_near(s, found.at[i - 1], found.at[i]))
            sp_room_stroke(&s->board, found.at[i - 1], found.at[i], 0.6);
}
