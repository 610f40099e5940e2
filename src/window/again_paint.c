/* The sheet of a second tapping: nothing in it tells of the first. */
#include <stdio.h>

#include "window/actions.h"
#include "window/moments.h"
#include "window/page.h"
#include "window/state.h"

static int taps_of(const window *w, bool made) {
    const again_taps *a = &w->again;
    int count = 0;
    sp_mark mark;
    for (int i = 0; i < a->frame_count; i++)
        for (int p = 0; p < SP_POINT_COUNT; p++) {
            if (!sp_review_mark(a->first, a->frames[i], (sp_point_name)p, &mark) ||
                mark.by != SP_BY_TAP)
                continue;
            count += !made || (a->skipped[i] >> p & 1) != 0 ||
                     sp_review_mark(w->session.review, a->frames[i], (sp_point_name)p, NULL);
        }
    return count;
}

static void result_words(const window *w, char *title, size_t title_size, char *hint,
                         size_t hint_size) {
    const again_taps *a = &w->again;
    if (!a->found) {
        snprintf(title, title_size, "It tells nothing yet");
        snprintf(hint, hint_size, "%s", a->why);
        return;
    }
    const sp_repeat_error *all = &a->repeat.pooled;
    snprintf(title, title_size, "Your taps: \u00b1 %.2f px", all->typical_px.value);
    if (a->repeat.doubt[0] != '\0')
        snprintf(hint, hint_size, "%s", a->repeat.doubt);
    else
        snprintf(hint, hint_size,
                 "The typical error of one tap, across and down alike, by %zu points tapped twice: "
                 "%.2f to %.2f px (95 %%). The first review reckons with %.2f px. Press "
                 "Enter to reckon with yours from now on.",
                 all->pairs, all->typical_px.low, all->typical_px.high,
                 sp_review_get_points_sd(a->first));
}

void again_words(const window *w, char *label, size_t label_size, char *title, size_t title_size,
                 char *hint, size_t hint_size) {
    int frame;
    sp_point_name point;
    const int all = taps_of(w, false), made = taps_of(w, true);
    if (!again_due(w, &frame, &point)) {
        snprintf(label, label_size, "second tapping \u00b7 all %d", all);
        result_words(w, title, title_size, hint, hint_size);
        return;
    }
    snprintf(label, label_size, "second tapping \u00b7 %d of %d", made + 1, all);
    if (!again_due_here(w, &point)) {
        snprintf(title, title_size, "Back to frame %d", frame);
        snprintf(hint, hint_size, "The next point is due there: press Enter.");
        return;
    }
    snprintf(title, title_size, "Tap the %s", sp_point_title(point));
    snprintf(hint, hint_size, "%s. As if for the first time: your first taps are hidden.",
             sp_point_hint(point));
    if (hint[0] >= 'a' && hint[0] <= 'z') hint[0] = (char)(hint[0] - 'a' + 'A');
}

/* --- rows ------------------------------------------------------------------------------------ */
static void paint_row(page *p, sign state, const char *name, const char *value) {
    const double middle = p->y + p->line / 2;
    words body = brush_body(&p->b), faint = brush_faint(&p->b);
    brush_sign(&p->b, state, p->x + 8, middle);
    body.bold = state == SIGN_NEXT;
    brush_line(&p->b, body, p->x + 26, middle, p->width - 196, name);
    faint.digits = true;
    faint.align = SP_ALIGN_RIGHT;
    brush_line(&p->b, faint, p->x + p->width - 170, middle, 170, value);
    p->y += p->line;
}

static void paint_points(page *p) {
    const window *w = p->w;
    sp_point_name due = SP_POINT_COUNT;
    sp_mark mark;
    again_due_here(w, &due);
    for (int i = 0; i < SP_POINT_COUNT; i++) {
        const sp_point_name point = (sp_point_name)i;
        if (!sp_review_mark(w->again.first, w->frames.number, point, &mark) || mark.by != SP_BY_TAP)
            continue;
        const bool made = sp_review_mark(w->session.review, w->frames.number, point, &mark);
        char value[48] = "";
        if (made) snprintf(value, sizeof value, "%.1f, %.1f", mark.at.x, mark.at.y);
        paint_row(p,
                  made           ? SIGN_DONE
                  : point == due ? SIGN_NEXT
                                 : SIGN_MISSING,
                  sp_point_title(point), value);
    }
}

static void paint_frames(page *p) {
    const window *w = p->w;
    const again_taps *a = &w->again;
    char text[96];
    for (int i = 0; i < a->frame_count; i++) {
        const sp_moment *moment = moment_on(a->first, a->frames[i]);
        snprintf(text, sizeof text, "frame %d%s%.40s%s", a->frames[i], moment != NULL ? ", " : "",
                 moment != NULL ? moment->name : "",
                 a->frames[i] == w->frames.number ? " (in view)" : "");
        page_offer(p, text, act_go_frame, a->frames[i]);
    }
}

static void paint_errors(page *p) {
    const again_taps *a = &p->w->again;
    char value[64];
    for (int i = 0; a->found && i < SP_POINT_COUNT; i++) {
        const sp_repeat_error *of = &a->repeat.points[i];
        if (of->pairs == 0) continue;
        if (of->freedom < 1)
            snprintf(value, sizeof value, "one pair");
        else
            snprintf(value, sizeof value, "%.2f px (%.2f to %.2f)", of->typical_px.value,
                     of->typical_px.low, of->typical_px.high);
        paint_row(p, SIGN_DONE, sp_point_title((sp_point_name)i), value);
    }
}

void again_paint(page *p) {
    const again_taps *a = &p->w->again;
    p->y += 8;
    if (a->all_tapped) {
        paint_errors(p);
        if (a->found && a->repeat.doubt[0] == '\0')
            page_offer(p, "reckon with it from now on", act_again_take, 0);
        page_offer(p, "tap them all anew", act_again_anew, 0);
        page_offer(p, "back to the review, as it was", act_again, 0);
    } else {
        paint_points(p);
        page_offer(p, "leave it for now", act_again, 0);
    }
    page_text(p, "The frames:");
    paint_frames(p);
}
