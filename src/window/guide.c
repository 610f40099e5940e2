#include <math.h>
#include <stdio.h>
#include <string.h>

#include "window/actions.h"
#include "window/commands.h"
#include "window/moments.h"
#include "window/page.h"
#include "window/state.h"

#define POINT_PLACE 176 /* units: "1234.5, 1234.5 guessed" */

section guide_section(const window *w) {
    if (!window_is_open(w)) return SECTION_WHO;
    if (w->tool.kind == TOOL_POINT || w->tool.kind == TOOL_ALONG) return SECTION_POINTS;
    if (talking_is_on(w)) return SECTION_TALK;
    if (w->tool.kind == TOOL_INK) return SECTION_INK;
    if (w->tool.kind != TOOL_POINTS) return SECTION_SCALE;
    if (first_walk_is_on(w)) return first_walk_section(w);
    switch (step_next(&w->session, w->frames.number).kind) {
    case STEP_OPEN:
    case STEP_RELINK:
    case STEP_WHO:
    case STEP_SPEED: return SECTION_WHO;
    case STEP_POINT: return SECTION_POINTS;
    case STEP_SCALE: return SECTION_SCALE;
    case STEP_READ: return SECTION_CHECKS;
    case STEP_GO:
    case STEP_MOMENT: break;
    }
    return SECTION_MOMENTS;
}

static void net_words(sp_view view, sp_net net, char *text, size_t size) {
    if (view == SP_VIEW_SIDE || net <= SP_NET_LEFT)
        snprintf(text, size, "%s of the picture", sp_net_id(net));
    else
        snprintf(text, size, "%s the camera", net == SP_NET_AWAY ? "away from" : "toward");
}

static void clip_words(const session *s, char *text, size_t size) {
    const sp_clip_facts *f = s->facts;
    snprintf(text, size,
             "%s: %d \u00d7 %d, %d frames, %.2f frames/\u2060s%s, %.1f\u00a0s, %s.%s%s%s",
             session_name(s->clip_path), f->width, f->height, f->frames, f->rate,
             f->variable_rate ? " (uneven)" : "", f->duration_s, f->codec,
             f->cut_short ? " The file ends early: ask for it again, sent whole." : "",
             session_asks_speed(s) ? " It may be slow motion: set the slowdown." : "",
             f->times_guessed ? " Its frame times were missing in part: tempo may be wrong." : "");
}

static void slowdown_words(const session *s, char *text, size_t size) {
    const double slowdown = sp_review_get_clip(s->review)->slowdown;
    if (slowdown == 1)
        snprintf(text, size, "1 (real time)");
    else
        snprintf(text, size, "%g (shot at %.0f frames/s)", slowdown, s->facts->rate * slowdown);
}

static const char *shoulder_words(sp_shoulder shoulder) {
    switch (shoulder) {
    case SP_SHOULDER_HEALTHY: return "healthy";
    case SP_SHOULDER_PAST_TROUBLE: return "past trouble";
    case SP_SHOULDER_CURRENT_TROUBLE: return "current trouble";
    case SP_SHOULDER_UNKNOWN: break;
    }
    return "not asked";
}

static void paint_who(page *p) {
    const session *s = &p->w->session;
    const sp_player *player = sp_review_get_player(s->review);
    const sp_view view = sp_review_get_view(s->review);
    char summary[96], net[64], text[512];
    snprintf(summary, sizeof summary, "%s, %s", sp_hand_id(player->hand), sp_view_id(view));
    const sign state = s->who && !session_asks_speed(s) ? SIGN_DONE : SIGN_NEXT;
    if (!page_section(p, SECTION_WHO, "Who and view", summary, state)) return;
    net_words(view, sp_review_get_net(s->review), net, sizeof net);
    page_setting(p, "hand", sp_hand_id(player->hand), act_hand, 0);
    page_setting(p, "view", sp_view_id(view), act_view, 0);
    page_setting(p, "net", net, act_net, 0);
    snprintf(text, sizeof text, "not given");
    if (player->stature_m > 0) snprintf(text, sizeof text, "%.2f m", player->stature_m);
    page_setting(p, "stature", text, act_stature, 0);
    page_setting(p, "shoulder", shoulder_words(player->shoulder), act_shoulder, 0);
    page_text(p, "The shoulder's history stays on this computer; no still shows it.");
    page_setting(p, "player", player->name[0] != '\0' ? player->name : "no name", act_player, 0);
    slowdown_words(s, text, sizeof text);
    page_setting(p, "slowdown", text, act_slowdown, 0);
    snprintf(text, sizeof text, "not given");
    const double exposure_s = sp_review_get_clip(s->review)->exposure_s;
    if (exposure_s > 0) snprintf(text, sizeof text, "1/%.4g\u00a0s", 1 / exposure_s);
    page_setting(p, "shutter", text, act_shutter, 0);
    clip_words(s, text, sizeof text);
    page_text(p, text);
}

static void paint_moment(page *p, int index) {
    const session *s = &p->w->session;
    const char *name = moment_kind_at(index)->name;
    const int frame = sp_review_moment_frame(s->review, name);
    const double middle = p->y + p->row / 2, right = p->x + p->width;
    const sp_rect row = {p->x - 6, p->y, p->width + 12, p->row};
    const bool here = frame == p->w->frames.number;
    if (here) sp_paint_fill_rect(p->b.paint, row, 6, p->b.theme->raised);
    const bool next = p->next.kind == STEP_MOMENT && p->next.moment == index;
    brush_sign(&p->b, frame >= 0 ? SIGN_DONE : next ? SIGN_NEXT : SIGN_MISSING, p->x + 8, middle);
    words body = brush_body(&p->b), faint = brush_faint(&p->b);
    body.bold = here;
    brush_line(&p->b, body, p->x + 26, middle, 90, name);
    char text[64] = "not named";
    if (frame >= 0)
        snprintf(text, sizeof text, "frame %d \u00b7 %.3f s", frame, session_time_s(s, frame));
    faint.digits = true;
    faint.align = SP_ALIGN_RIGHT;
    const double keys = brush_keys(&p->b, right, middle, command_keys(act_name_moment, index));
    brush_line(&p->b, faint, p->x + 116, middle, right - keys - 10 - p->x - 116, text);
    brush_spot(&p->b, row, frame >= 0 ? act_go_moment : act_name_moment, index);
    p->y += p->row;
}

static void paint_moments(page *p) {
    const sp_review *review = p->w->session.review;
    int asked_for = 0, named = 0;
    for (int i = 0; i < MOMENT_COUNT; i++) {
        const char *name = moment_kind_at(i)->name;
        if (!moment_asked(name, sp_review_get_view(review))) continue;
        asked_for++;
        if (sp_review_moment_frame(review, name) >= 0) named++;
    }
    char summary[48];
    if (named == asked_for)
        snprintf(summary, sizeof summary, "all %d that are asked for", named);
    else
        snprintf(summary, sizeof summary, "%d of the %d asked for", named, asked_for);
    const sign state = p->next.kind == STEP_MOMENT           ? SIGN_NEXT
                       : steps_moments_named(&p->w->session) ? SIGN_DONE
                                                             : SIGN_MISSING;
    if (!page_section(p, SECTION_MOMENTS, "Moments", summary, state)) return;
    for (int i = 0; i < MOMENT_COUNT; i++) paint_moment(p, i);
    if (named == 0)
        page_text(p, "Any of them may come first. The drop gives most for least: after three taps, "
                     "elbow, hand and racquet tip, three angles are read, and whether the hand is "
                     "at or below the elbow.");
}

static void paint_point(page *p, sp_point_name point) {
    const window *w = p->w;
    sp_mark mark;
    const bool done = sp_review_mark(w->session.review, w->frames.number, point, &mark);
    sp_point_name due;
    const bool next = tool_due(w, &due) && due == point;
    const double middle = p->y + p->line / 2;
    const sp_rect row = {p->x - 6, p->y, p->width + 12, p->line};
    const bool chosen = done && w->tool.selected == (int)point;
    if (chosen) sp_paint_fill_rect(p->b.paint, row, 6, p->b.theme->raised);
    brush_sign(&p->b, next ? SIGN_NEXT : done ? SIGN_DONE : SIGN_MISSING, p->x + 8, middle);
    words body = brush_body(&p->b), faint = brush_faint(&p->b);
    body.bold = next || chosen;
    brush_line(&p->b, body, p->x + 26, middle, p->width - 26 - POINT_PLACE, sp_point_title(point));
    char text[64] = "";
    if (done)
        snprintf(text, sizeof text, "%.1f, %.1f%s", mark.at.x, mark.at.y,
                 mark.by == SP_BY_CARRY   ? " carried"
                 : mark.by == SP_BY_GUESS ? " guessed"
                                          : "");
    else if (step_skipped(&w->session, w->frames.number, point))
        snprintf(text, sizeof text, "not seen");
    faint.digits = true;
    faint.align = SP_ALIGN_RIGHT;
    brush_line(&p->b, faint, p->x + p->width - POINT_PLACE, middle, POINT_PLACE, text);
    brush_spot(&p->b, row, act_pick, (int)point);
    p->y += p->line;
}

static bool asked(const sp_point_name *points, size_t count, sp_point_name point) {
    for (size_t i = 0; i < count; i++)
        if (points[i] == point) return true;
    return false;
}

/* Not asked for, but some measure takes them. */
static void paint_more_points(page *p, const sp_point_name *points, size_t count) {
    words faint = brush_faint(&p->b);
    if (count == 0) return;
    brush_line(&p->b, faint, p->x + 26, p->y + 14, p->width - 26, "for more measures, if you like");
    p->y += 26;
    for (size_t i = 0; i < count; i++) paint_point(p, points[i]);
}

static void paint_other_points(page *p, const sp_point_name *points, size_t count) {
    const window *w = p->w;
    for (int i = 0; i < SP_POINT_COUNT; i++) {
        const sp_point_name point = (sp_point_name)i;
        if (!asked(points, count, point) &&
            sp_review_mark(w->session.review, w->frames.number, point, NULL))
            paint_point(p, point);
    }
    sp_mark mark;
    const int chosen = w->tool.selected;
    if (chosen >= 0 &&
        sp_review_mark(w->session.review, w->frames.number, (sp_point_name)chosen, &mark))
        page_offer(p, mark.by == SP_BY_GUESS ? "it is seen after all" : "it is hidden: a guess",
                   act_guess, 0);
    page_offer(p, "another point here", act_other_point, 0);
    page_offer(p, "the points of the marked frame before", act_copy_points, 0);
    page_offer(p, "one point on every frame", act_along, 0);
    page_offer(p, "the same frames again, blind", act_again, 0);
}

/* Neither tapped nor left out. */
static bool any_due(const window *w, const sp_point_name *points, size_t count) {
    const int frame = w->frames.number;
    for (size_t i = 0; i < count; i++)
        if (!sp_review_mark(w->session.review, frame, points[i], NULL) &&
            !step_skipped(&w->session, frame, points[i]))
            return true;
    return false;
}

static void paint_points(page *p) {
    const window *w = p->w;
    const int frame = w->frames.number;
    sp_point_name points[SP_POINT_COUNT];
    const size_t count = step_points(&w->session, frame, points);
    const size_t done = step_points_done(&w->session, frame);
    const sp_moment *moment = moment_on(w->session.review, frame);
    char title[SP_REVIEW_ID_MAX + 24] = "Points", summary[64] = "no moment on this frame";
    if (moment != NULL) {
        snprintf(title, sizeof title, "Points at the %s", moment->name);
        snprintf(summary, sizeof summary, count > 0 ? "%zu of %zu" : "none are asked for", done,
                 count);
    }
    const sign state = count == 0                  ? SIGN_MISSING
                       : any_due(w, points, count) ? SIGN_NEXT
                                                   : SIGN_DONE;
    if (!page_section(p, SECTION_POINTS, title, summary, state)) return;
    for (size_t i = 0; i < count; i++) paint_point(p, points[i]);
    if (moment != NULL) {
        measures_paint_so_far(p, moment->name);
        findings_paint_so_far(p, moment->name);
    }
    sp_point_name more[SP_POINT_COUNT];
    const size_t more_count = step_more_points(&w->session, frame, more);
    paint_more_points(p, more, more_count);
    memcpy(points + count, more, more_count * sizeof more[0]);
    paint_other_points(p, points, count + more_count);
}

void guide_paint(page *p) {
    if (first_walk_is_on(p->w)) {
        page_offer(p, "skip this step", act_skip_step, 0);
        page_offer(p, "leave the walk", act_first_walk, 0);
    }
    paint_who(p);
    paint_moments(p);
    paint_points(p);
    scale_paint(p);
}
