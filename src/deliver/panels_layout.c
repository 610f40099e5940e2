#include "deliver/panels_layout.h"

#include <math.h>

/* Painter units; letters keep the size they have on a still when the whole is as wide as a phone:
 * an em is 3 % of the width, 12 px of 390. */
#define WIDTH_TWO 1440.0
#define WIDTH_THREE 1620.0
#define GAP 12.0
#define EM_OF_WIDTH 0.03
#define MARGIN 0.13 /* of the larger side, around all points */
#define TALLEST 2.1 /* height to width of a panel */
#define WIDEST 1.5

typedef struct {
    double left, top, right, bottom;
} box;

static const box nothing = {INFINITY, INFINITY, -INFINITY, -INFINITY};

/* A panel's picture in units that all share: pixels, metres or its own player. */
typedef struct {
    double turn;     /* rad */
    double px;       /* upright pixels a unit */
    sp_point anchor; /* turned pixels: the same place of all panels */
    box player;      /* units from the anchor */
    box whole;
} sight;

static sp_point turned(const sight *s, sp_point p) {
    return (sp_point){p.x * cos(s->turn) - p.y * sin(s->turn),
                      p.x * sin(s->turn) + p.y * cos(s->turn)};
}

static void take_in(box *b, sp_point p) {
    b->left = fmin(b->left, p.x);
    b->right = fmax(b->right, p.x);
    b->top = fmin(b->top, p.y);
    b->bottom = fmax(b->bottom, p.y);
}

static bool is_empty(const box *b) { return !(b->right > b->left && b->bottom > b->top); }

/* A tossed ball high above would make the player small. */
static box player_of(const sight *s, const sp_panel *panel) {
    box b = nothing;
    for (int name = 0; name < SP_POINT_BALL; name++) {
        sp_mark mark;
        if (sp_review_mark(panel->review, panel->frame, (sp_point_name)name, &mark))
            take_in(&b, turned(s, mark.at));
    }
    return b;
}

static void take_in_path(box *b, const sight *s, const sp_review *review) {
    const int from = sp_review_moment_frame(review, "trophy");
    const int to = sp_review_moment_frame(review, "contact");
    for (size_t i = 0; i < sp_review_marked_count(review); i++) {
        const int frame = sp_review_marked_frame(review, i);
        sp_mark mark;
        if (frame >= from && frame <= to &&
            sp_review_mark(review, frame, SP_POINT_RACQUET_TIP, &mark))
            take_in(b, turned(s, mark.at));
    }
}

static box whole_of(const sight *s, const sp_panel *panel) {
    const sp_review_clip *clip = sp_review_get_clip(panel->review);
    box b = nothing;
    const double right = clip->width, bottom = clip->height;
    const sp_point corners[] = {{0, 0}, {right, 0}, {0, bottom}, {right, bottom}};
    for (int i = 0; i < 4; i++) take_in(&b, turned(s, corners[i]));
    return b;
}

static bool find_hips(const sight *s, const sp_panel *panel, sp_point *middle) {
    sp_mark left, right;
    if (!sp_review_mark(panel->review, panel->frame, SP_POINT_LEFT_HIP, &left) ||
        !sp_review_mark(panel->review, panel->frame, SP_POINT_RIGHT_HIP, &right))
        return false;
    *middle = turned(s, sp_point_middle(left.at, right.at));
    return true;
}

static bool find_ground(const sight *s, const sp_panel *panel, double *y) {
    static const sp_point_name feet[] = {SP_POINT_LEFT_TOE, SP_POINT_RIGHT_TOE, SP_POINT_LEFT_ANKLE,
                                         SP_POINT_RIGHT_ANKLE};
    bool found = false;
    for (size_t i = 0; i < sizeof feet / sizeof feet[0]; i++) {
        sp_mark mark;
        if (!sp_review_mark(panel->review, panel->frame, feet[i], &mark)) continue;
        const double here = turned(s, mark.at).y;
        *y = found ? fmax(*y, here) : here;
        found = true;
    }
    return found;
}

sp_panels_scale sp_panels_scale_of(const sp_panel *panels, int count) {
    bool same = true, scaled = true;
    for (int i = 0; i < count; i++) {
        same = same && panels[i].review == panels[0].review;
        const sp_readout *readout = panels[i].readout;
        scaled = scaled && readout != NULL && sp_readout_scale(readout).m_per_px.value > 0.0;
    }
    return same ? SP_PANELS_SAME_CAMERA : scaled ? SP_PANELS_SAME_SCALE : SP_PANELS_EACH_ITS_OWN;
}

/* Of several reviews: the same height of all lies level, the ground where all have feet marked,
 * else the hips, else the middle of the picture. */
static void set_anchors(sight *sights, const sp_panel *panels, int count) {
    bool hips = true, ground = true;
    double level = 0.0;
    sp_point middle;
    for (int i = 0; i < count; i++) {
        hips = hips && find_hips(&sights[i], &panels[i], &middle);
        ground = ground && find_ground(&sights[i], &panels[i], &level);
    }
    for (int i = 0; i < count; i++) {
        sight *s = &sights[i];
        const box *b = is_empty(&s->player) ? &s->whole : &s->player;
        s->anchor = (sp_point){(b->left + b->right) / 2.0, (b->top + b->bottom) / 2.0};
        if (hips) find_hips(s, &panels[i], &s->anchor);
        if (ground) find_ground(s, &panels[i], &s->anchor.y);
    }
}

static void to_units(box *b, const sight *s) {
    *b = (box){(b->left - s->anchor.x) / s->px, (b->top - s->anchor.y) / s->px,
               (b->right - s->anchor.x) / s->px, (b->bottom - s->anchor.y) / s->px};
}

static void set_unit(sight *s, const sp_panel *panel, sp_panels_scale scale) {
    s->px = 1.0;
    if (scale == SP_PANELS_SAME_SCALE)
        s->px = 1.0 / sp_readout_scale(panel->readout).m_per_px.value;
    if (scale != SP_PANELS_EACH_ITS_OWN) return;
    const box *b = is_empty(&s->player) ? &s->whole : &s->player;
    s->px = fmax(b->bottom - b->top, b->right - b->left);
}

static void look(sight *sights, const sp_panel *panels, int count, sp_panels_scale scale,
                 bool path) {
    for (int i = 0; i < count; i++) {
        sight *s = &sights[i];
        *s = (sight){.turn = -sp_review_get_plumb(panels[i].review)->angle_deg * M_PI / 180.0};
        s->player = player_of(s, &panels[i]);
        if (path) take_in_path(&s->player, s, panels[i].review);
        s->whole = whole_of(s, &panels[i]);
        set_unit(s, &panels[i], scale);
    }
    if (scale != SP_PANELS_SAME_CAMERA) set_anchors(sights, panels, count);
    for (int i = 0; i < count; i++) {
        to_units(&sights[i].player, &sights[i]);
        to_units(&sights[i].whole, &sights[i]);
    }
}

/* Of one side: moved into what all pictures show, as far as it fits. */
static void move_inside(double *low, double *high, double least, double most) {
    const double length = *high - *low;
    if (length >= most - least) {
        const double middle = (least + most) / 2.0;
        *low = middle - length / 2.0;
    } else {
        *low = fmax(least, fmin(most - length, *low));
    }
    *high = *low + length;
}

static void grow(double *low, double *high, double length) {
    const double middle = (*low + *high) / 2.0;
    if (*high - *low >= length) return;
    *low = middle - length / 2.0;
    *high = middle + length / 2.0;
}

/* The window around every player. Where none is marked: the whole of the pictures. */
static box window_of(const sight *sights, int count) {
    box w = nothing, shown = {-INFINITY, -INFINITY, INFINITY, INFINITY}, all = nothing;
    for (int i = 0; i < count; i++) {
        const box *p = &sights[i].player, *whole = &sights[i].whole;
        if (!is_empty(p)) {
            take_in(&w, (sp_point){p->left, p->top});
            take_in(&w, (sp_point){p->right, p->bottom});
        }
        take_in(&all, (sp_point){whole->left, whole->top});
        take_in(&all, (sp_point){whole->right, whole->bottom});
        shown = (box){fmax(shown.left, whole->left), fmax(shown.top, whole->top),
                      fmin(shown.right, whole->right), fmin(shown.bottom, whole->bottom)};
    }
    if (is_empty(&w)) return all;
    const double margin = 2.0 * MARGIN * fmax(w.right - w.left, w.bottom - w.top);
    grow(&w.left, &w.right, w.right - w.left + margin);
    grow(&w.top, &w.bottom, w.bottom - w.top + margin);
    grow(&w.left, &w.right, (w.bottom - w.top) / TALLEST);
    grow(&w.top, &w.bottom, (w.right - w.left) * WIDEST);
    if (is_empty(&shown)) return w;
    move_inside(&w.left, &w.right, shown.left, shown.right);
    move_inside(&w.top, &w.bottom, shown.top, shown.bottom);
    return w;
}

void sp_panels_lay_out(const sp_panel *panels, int count, bool path, sp_panels_layout *l) {
    sight sights[SP_PANELS_MAX];
    *l = (sp_panels_layout){.scale = sp_panels_scale_of(panels, count), .gap = GAP};
    l->columns = count == 2 || count == 4 ? 2 : 3;
    l->rows = (count + l->columns - 1) / l->columns;
    l->width = l->columns == 2 ? WIDTH_TWO : WIDTH_THREE;
    l->em = EM_OF_WIDTH * l->width;
    l->panel_width = (l->width - GAP * (l->columns - 1)) / l->columns;
    look(sights, panels, count, l->scale, path);
    const box w = window_of(sights, count);
    const double zoom = l->panel_width / (w.right - w.left);
    l->panel_height = round((w.bottom - w.top) * zoom);
    for (int i = 0; i < count; i++) {
        const sight *s = &sights[i];
        l->views[i] = (sp_panel_view){.turn_deg = s->turn * 180.0 / M_PI,
                                      .zoom = zoom / s->px,
                                      .origin = {(-s->anchor.x / s->px - w.left) * zoom,
                                                 (-s->anchor.y / s->px - w.top) * zoom}};
    }
}
