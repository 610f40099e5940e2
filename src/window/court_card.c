/* The card on which a landmark is picked: the court from above, drawn from its table, the server's
 * end at the foot. */
#include <math.h>
#include <stdio.h>

#include "window/actions.h"
#include "window/card_frame.h"
#include "window/court.h"
#include "window/state.h"

/* Units. */
#define HEAD 52.0
#define FOOT 64.0
#define MARGIN 36.0
#define TARGET FINGERTIP

#define COURT_LONG 23.7744 /* 78 ft, ITF Rule 1 */
/* The top of the net is drawn a little beyond the ground under it, so that both can be pressed. */
#define LIFT 1.6

typedef struct {
    double zoom, x, y; /* of the court's origin */
} plan;

static sp_point on_plan(const plan *p, sp_world at) {
    const double y = at.y + (at.z > 0 ? LIFT : 0);
    return (sp_point){p->x + at.x * p->zoom, p->y - y * p->zoom};
}

static plan plan_of(double width, double height) {
    plan p = {.zoom = (height - HEAD - FOOT - MARGIN) / COURT_LONG, .x = width / 2};
    p.y = HEAD + MARGIN / 2 + COURT_LONG * p.zoom;
    return p;
}

static bool tapped(const window *w, const sp_landmark *landmark) {
    const sp_scale_entry *entry = court_entry(w->session.review);
    for (size_t i = 0; entry != NULL && i < entry->landmark_count; i++)
        if (entry->landmarks[i].landmark == landmark) return true;
    return false;
}

static void paint_lines(const brush *b, const plan *p) {
    for (int i = 0; i < COURT_LINES; i++) {
        const sp_landmark *from = sp_landmark_find(court_lines[i].from);
        const sp_landmark *to = sp_landmark_find(court_lines[i].to);
        const bool net = from->at.z > 0 || to->at.z > 0;
        sp_paint_line(b->paint, on_plan(p, from->at), on_plan(p, to->at), net ? 1 : 2,
                      net ? b->theme->faint : b->theme->text);
    }
}

static void paint_landmark(const brush *b, const window *w, const plan *p, int index) {
    const sp_landmark *landmark = sp_landmark_at((size_t)index);
    const sp_point at = on_plan(p, landmark->at);
    const bool chosen = w->card.chosen == index;
    if (chosen) sp_paint_disc(b->paint, at, 13, b->theme->accent);
    sp_paint_disc(b->paint, at, 9, b->theme->sheet);
    if (tapped(w, landmark))
        brush_sign(b, SIGN_DONE, at.x, at.y);
    else
        sp_paint_ring(b->paint, at, 7, 2, b->theme->text);
    brush_spot(b, (sp_rect){at.x - TARGET / 2, at.y - TARGET / 2, TARGET, TARGET}, card_landmark,
               index);
}

static void paint_words(const brush *b, const window *w, double width, double height) {
    const sp_landmark *landmark = sp_landmark_at((size_t)w->card.chosen);
    words name = brush_body(b), edge = brush_faint(b);
    name.bold = true;
    name.align = edge.align = SP_ALIGN_CENTER;
    brush_line(b, name, 16, height - FOOT + 14, width - 32, landmark->name);
    edge.wrap = true;
    brush_text(b, edge, 16, height - FOOT + 26, width - 32, landmark->edge);
}

bool court_card_paint(window *w, sp_error *error) {
    const double most = 0.9 * w->layout.height / w->layout.density;
    const brush b = card_begin(w, 470, fmin(760, most), error);
    if (b.paint == NULL) return false;
    const double width = w->card.pane.place.w / w->layout.density;
    const double height = w->card.pane.place.h / w->layout.density;
    const plan p = plan_of(width, height);
    card_title(&b, width, "Which landmark do you see?");
    paint_lines(&b, &p);
    for (int i = 0; i < (int)sp_landmark_count(); i++) paint_landmark(&b, w, &p, i);
    paint_words(&b, w, width, height);
    return pane_end(&w->card.pane, w->renderer, error);
}

/* The nearest in that direction, aside counting double. */
static int neighbour(int from, double dx, double dy) {
    const sp_world a = sp_landmark_at((size_t)from)->at;
    double best = INFINITY;
    int found = from;
    for (int i = 0; i < (int)sp_landmark_count(); i++) {
        const sp_world b = sp_landmark_at((size_t)i)->at;
        const double x = b.x - a.x;
        const double y = b.y + (b.z > 0 ? LIFT : 0) - a.y - (a.z > 0 ? LIFT : 0);
        const double ahead = x * dx + y * dy, aside = fabs(x * dy - y * dx);
        if (ahead > 0.1 && ahead + 2 * aside < best) best = ahead + 2 * aside, found = i;
    }
    return found;
}

void court_card_key(window *w, int key) {
    card *c = &w->card;
    switch (key) {
    case SDLK_UP: c->chosen = neighbour(c->chosen, 0, 1); break;
    case SDLK_DOWN: c->chosen = neighbour(c->chosen, 0, -1); break;
    case SDLK_LEFT: c->chosen = neighbour(c->chosen, -1, 0); break;
    case SDLK_RIGHT: c->chosen = neighbour(c->chosen, 1, 0); break;
    case SDLK_TAB: c->chosen = (c->chosen + 1) % (int)sp_landmark_count(); break;
    case SDLK_RETURN:
    case SDLK_KP_ENTER:
    case SDLK_SPACE: card_landmark(w, c->chosen); return;
    default: return;
    }
    window_touch(w, PART_CARD);
}

void card_landmark(window *w, int index) {
    card_close(w);
    act_landmark(w, index);
}

void act_court(window *w, int unused) {
    (void)unused;
    if (edit_allowed(w)) card_show_court(w);
}
