/* What leaves the house, on the sheet. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/file.h"
#include "base/text.h"
#include "serveplumb/marks_exchange.h"
#include "window/actions.h"
#include "window/page.h"
#include "window/sending_work.h"
#include "window/state.h"

#define POINTS_BYTES_MAX ((size_t)64 << 20)

void sending_paint_now(page *p) {
    struct sending_work *work = p->w->sending.work;
    if (work == NULL) return;
    const double share = atomic_load(&work->permille) / 1000.0;
    const double spent = (double)(SDL_GetTicks64() - work->since_ms) / 1000;
    char text[120];
    int used = snprintf(text, sizeof text, "writing %s: %.0f %%", sending_what(work->kind),
                        floor(100 * share));
    if (share > 0.02 && spent > 0.5)
        snprintf(text + used, sizeof text - (size_t)used, ", %.0f s left",
                 ceil(spent * (1 - share) / share));
    const sp_rect bar = {p->x + 26, p->y + p->row, p->width - 26, 6};
    brush_line(&p->b, brush_body(&p->b), p->x + 26, p->y + p->row / 2, p->width - 26, text);
    sp_paint_fill_rect(p->b.paint, bar, 3, p->b.theme->raised);
    sp_paint_fill_rect(p->b.paint, (sp_rect){bar.x, bar.y, bar.width * share, bar.height}, 3,
                       p->b.theme->accent);
    p->y += p->row + 10;
    page_offer(p, "give it up", act_send_give_up, 0);
}

void sending_paint_offers(page *p) {
    const window *w = p->w;
    page_offer(p, "row of all moments, as a picture", act_send, SEND_ROW);
    page_offer(p, "row of all moments, to print (PDF)", act_send, SEND_ROW_PDF);
    page_offer(p, "slow clip, held at the moments", act_send, SEND_CLIP);
    if (talking_length_s(w) > 0) page_offer(p, "talk-through as a clip", act_send, SEND_TALK);
    if (beside_is_open(w)) {
        page_offer(p, "both serves as a still", act_send, SEND_PAIR_STILL);
        page_offer(p, "both serves as a clip", act_send, SEND_PAIR);
    }
    page_offer(p, "page for the student", act_send, SEND_PAGE);
    page_offer(p, "points for other programs", act_send, SEND_POINTS);
    page_offer(p, "take points in from a file", act_take_points, 0);
}

/* --- points back in -------------------------------------------------------------------------- */

static bool take(window *w, const char *path, size_t *count, sp_error *error) {
    char *text;
    size_t length;
    const size_t name = strlen(path);
    const bool csv = name > 4 && SDL_strcasecmp(path + name - 4, ".csv") == 0;
    if (!sp_file_read(path, POINTS_BYTES_MAX, &text, &length, error)) return false;
    const bool good = csv ? sp_marks_take_csv(w->session.review, text, length, path, count, error)
                          : sp_marks_take_coco(w->session.review, text, length, path, count, error);
    free(text);
    return good;
}

/* All of them, or none: what was set before the fault is taken back. */
static bool accept_points(window *w, const char *path, sp_error *error) {
    size_t count = 0;
    sp_review *review = w->session.review;
    const size_t before = w->session.edits = sp_review_edit_count(review);
    if (!take(w, path, &count, error)) {
        while (sp_review_edit_count(review) > before && sp_review_undo(review, NULL) != NULL)
            continue;
        return false;
    }
    if (!edit_end(w, true, error)) return false;
    if (w->session.written) message_say(w, "%zu points are taken in; undo takes them back.", count);
    return true;
}

static const card_line points_file = {"Take points from which file?",
                                      "A CSV, or COCO keypoints as JSON, as they are written here.",
                                      NULL, accept_points};

void act_take_points(window *w, int unused) {
    (void)unused;
    if (edit_allowed(w)) card_show_line(w, &points_file);
}
