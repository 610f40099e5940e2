#include "window/court.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "window/actions.h"
#include "window/state.h"

#define COURT_ID "court"
/* From here on the fit is checked by its own taps. */
#define TAPS_WISHED 6

const court_line court_lines[COURT_LINES] = {
    {"near_left_doubles_corner", "near_right_doubles_corner"},
    {"far_left_doubles_corner", "far_right_doubles_corner"},
    {"near_left_doubles_corner", "far_left_doubles_corner"},
    {"near_right_doubles_corner", "far_right_doubles_corner"},
    {"near_left_singles_corner", "far_left_singles_corner"},
    {"near_right_singles_corner", "far_right_singles_corner"},
    {"near_left_service_singles", "near_right_service_singles"},
    {"far_left_service_singles", "far_right_service_singles"},
    {"near_t", "far_t"},
    {"net_left_post_top", "net_left_singles_top"},
    {"net_left_singles_top", "net_centre_top"},
    {"net_centre_top", "net_right_singles_top"},
    {"net_right_singles_top", "net_right_post_top"},
    {"net_left_doubles", "net_right_doubles"},
    {"net_centre", "net_centre_top"},
};

const sp_scale_entry *court_entry(const sp_review *review) {
    for (size_t i = 0; i < sp_review_scale_count(review); i++) {
        const sp_scale_entry *entry = sp_review_scale_at(review, i);
        if (entry->method == SP_SCALE_COURT) return entry;
    }
    return NULL;
}

static bool same(const sp_scale_entry *a, const sp_scale_entry *b) {
    if (a->landmark_count != b->landmark_count || a->sd_px != b->sd_px) return false;
    for (size_t i = 0; i < a->landmark_count; i++) {
        const sp_landmark_tap *one = &a->landmarks[i], *other = &b->landmarks[i];
        if (one->landmark != other->landmark || one->sd_px != other->sd_px ||
            sp_point_distance(one->at, other->at) > 0)
            return false;
    }
    return true;
}

static void solve(const window *w, court *c) {
    const sp_scale_entry *entry = &c->entry;
    const double usual = sp_review_get_points_sd(w->session.review);
    sp_landmark_tap taps[SP_POSE_TAPS_MAX];
    for (size_t i = 0; i < entry->landmark_count; i++) {
        taps[i] = entry->landmarks[i];
        if (taps[i].sd_px <= 0) taps[i].sd_px = entry->sd_px > 0 ? entry->sd_px : usual;
    }
    sp_error error = {0};
    c->fits = sp_pose_solve(taps, entry->landmark_count, w->session.facts->width,
                            w->session.facts->height, NULL, &c->pose, &error);
    c->drawn = c->fits || error.code == SP_ERROR_MISMATCH;
    snprintf(c->words, sizeof c->words, "%s", c->fits ? c->pose.doubt : error.message);
}

void court_refresh(window *w) {
    court *c = &w->court;
    const sp_scale_entry *entry = court_entry(w->session.review);
    if (entry == NULL) {
        *c = (court){.fits = false};
        return;
    }
    if (c->entry.id[0] != '\0' && same(&c->entry, entry)) return;
    c->entry = *entry;
    solve(w, c);
}

/* --- taps ------------------------------------------------------------------------------------- */
static bool put(window *w, const sp_landmark *landmark, sp_point at, sp_error *error) {
    sp_review *review = w->session.review;
    const sp_scale_entry *entry = court_entry(review);
    if (entry != NULL) {
        char id[SP_REVIEW_ID_MAX];
        snprintf(id, sizeof id, "%s", entry->id);
        return sp_review_set_landmark(review, id, landmark->id, &at, error);
    }
    const sp_scale_entry first = {.id = COURT_ID,
                                  .method = SP_SCALE_COURT,
                                  .frame = w->frames.number,
                                  .landmarks = {{.landmark = landmark, .at = at}},
                                  .landmark_count = 1};
    return sp_review_set_scale(review, COURT_ID, &first, error);
}

/* The court is put in use as soon as it can be measured with. */
static void use(window *w) {
    sp_review *review = w->session.review;
    court_refresh(w);
    const sp_scale_entry *entry = court_entry(review), *active = sp_review_active_scale(review);
    if (!w->court.fits || entry == active) return;
    char id[SP_REVIEW_ID_MAX];
    snprintf(id, sizeof id, "%s", entry->id);
    sp_error error = {0};
    edit_end(w, sp_review_set_active_scale(review, id, &error), &error);
}

void court_tap(window *w, sp_point at) {
    const sp_landmark *landmark = sp_landmark_at((size_t)w->tool.landmark);
    sp_error error = {0};
    const size_t since = sp_review_edit_count(w->session.review);
    if (!edit_allowed(w) || !edit_end(w, put(w, landmark, at, &error), &error)) return;
    use(w);
    sp_review_join(w->session.review, since);
    tool_leave(w);
    const size_t count = court_entry(w->session.review)->landmark_count;
    if (count < TAPS_WISHED) act_court(w, 0);
    if (w->session.written)
        message_say(w, count < 4 ? "%zu of at least 4 landmarks." : "%zu landmarks.", count);
}

void act_landmark(window *w, int index) {
    const sp_scale_entry *entry = court_entry(w->session.review);
    tool_begin(w, TOOL_LANDMARK);
    w->tool.landmark = index;
    if (entry != NULL) act_go_frame(w, entry->frame);
}

void act_drop_landmark(window *w, int index) {
    const sp_scale_entry *entry = court_entry(w->session.review);
    if (entry == NULL || !edit_allowed(w)) return;
    char id[SP_REVIEW_ID_MAX];
    snprintf(id, sizeof id, "%s", entry->id);
    sp_error error = {0};
    const char *name = sp_landmark_at((size_t)index)->id;
    tool_leave(w);
    edit_end(w, sp_review_set_landmark(w->session.review, id, name, NULL, &error), &error);
}

/* --- on the picture --------------------------------------------------------------------------- */
typedef sp_point placing(const window *w, sp_point upright);

/* In short pieces, for the lens bends it and its far end may lie behind the camera. */
static void paint_line(const window *w, sp_paint *paint, placing *place, const court_line *line) {
    const sp_world a = sp_landmark_find(line->from)->at, b = sp_landmark_find(line->to)->at;
    enum { PIECES = 24 };
    sp_point before = {0, 0};
    bool had = false;
    for (int i = 0; i <= PIECES; i++) {
        const double t = (double)i / PIECES;
        const sp_world at = {a.x + t * (b.x - a.x), a.y + t * (b.y - a.y), a.z + t * (b.z - a.z)};
        sp_point seen;
        const bool has = sp_camera_project(&w->court.pose.camera, at, &seen) &&
                         fabs(seen.x) < 20000 && fabs(seen.y) < 20000;
        const sp_point now = has ? place(w, seen) : before;
        if (has && had) {
            sp_paint_line(paint, before, now, 3.5, w->theme->label_ground);
            sp_paint_line(paint, before, now, 1.4, w->theme->scale);
        }
        before = now;
        had = has;
    }
}

static void paint_tap(const window *w, sp_paint *paint, placing *place, size_t index) {
    const court *c = &w->court;
    const sp_point at = place(w, c->entry.landmarks[index].at);
    const bool suspect = c->drawn && c->pose.suspect == (int)index;
    const sp_color color = suspect ? w->theme->warn : w->theme->scale;
    sp_paint_ring(paint, at, 6, 4, w->theme->label_ground);
    sp_paint_ring(paint, at, 6, 2, color);
    if (!c->drawn) return;
    char text[48];
    const sp_point off = c->pose.taps[index].residual_px;
    snprintf(text, sizeof text, suspect ? "%.1f px off?" : "%.1f px", sp_point_length(off));
    const sp_text_style style = {.size = w->theme->small_px,
                                 .bold = suspect,
                                 .digits = true,
                                 .color = w->theme->label_text,
                                 .halo = w->theme->label_ground,
                                 .halo_width = 2.5};
    sp_paint_text(paint, &style, (sp_point){at.x + 10, at.y - 18}, text);
}

void court_paint(const window *w, sp_paint *paint, placing *place) {
    const court *c = &w->court;
    if (c->entry.id[0] == '\0') return;
    for (int i = 0; c->drawn && i < COURT_LINES; i++) paint_line(w, paint, place, &court_lines[i]);
    for (size_t i = 0; i < c->entry.landmark_count; i++) paint_tap(w, paint, place, i);
}
