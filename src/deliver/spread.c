#include "deliver/spread.h"

#include <assert.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "deliver/frame_picture.h"

/* More than two beside each other are too narrow for labels. */
#define NUMBERS_COLUMNS 2

static sp_point corner_of(const sp_spread *s, int i) {
    const sp_panels_layout *l = &s->layout;
    const int row = i / l->columns;
    return (sp_point){i % l->columns * (l->panel_width + l->gap),
                      row * (l->panel_height + s->head + l->gap)};
}

static sp_overlay overlay_of(const sp_panel *panel, const sp_panels_layout *l, int i,
                             const sp_panels_options *options) {
    const sp_panel_view *view = &l->views[i];
    return (sp_overlay){.review = panel->review,
                        .readout = panel->readout,
                        .theme = sp_theme_dark(),
                        .units = options->units,
                        .frame = panel->frame,
                        .zoom = view->zoom,
                        .turn_deg = view->turn_deg,
                        .text = l->em,
                        .selected = -1,
                        .numbers = l->columns <= NUMBERS_COLUMNS,
                        .scale_bar = i == 0 || l->scale == SP_PANELS_EACH_ITS_OWN,
                        .path = options->path};
}

static void place_overlay(sp_spread *s, int i) {
    const sp_point corner = corner_of(s, i), origin = s->layout.views[i].origin;
    s->overlays[i].origin_x = corner.x + origin.x;
    s->overlays[i].origin_y = corner.y + origin.y;
    s->overlays[i].area =
        (sp_rect){corner.x, corner.y, s->layout.panel_width, s->layout.panel_height};
}

static bool is_of_drop(const sp_panel *panel) {
    return (panel->moment != NULL && strcasestr(panel->moment, "drop") != NULL) ||
           sp_review_moment_frame(panel->review, "drop") == panel->frame;
}

static bool is_healthy(const sp_panel *panel) {
    return sp_review_get_player(panel->review)->shoulder == SP_SHOULDER_HEALTHY;
}

static const char *words_of(sp_panels_scale scale) {
    switch (scale) {
    case SP_PANELS_SAME_CAMERA:
        return "One camera, one scale; turned so that the plumb is upright.";
    case SP_PANELS_SAME_SCALE:
        return "At one scale, as far as each review's scale is right; the plumb of each is "
               "upright.";
    default:
        return "Not at one scale: one of the reviews has none. Do not compare sizes. The plumb of "
               "each is upright.";
    }
}

static bool fill(sp_spread *s, const sp_panel *panels, const sp_panels_options *options,
                 bool moving, sp_error *error) {
    for (int i = 0; i < s->count; i++) {
        const sp_panel *panel = &panels[i];
        s->panels[i] = *panel;
        s->overlays[i] = overlay_of(panel, &s->layout, i, options);
        s->heads[i] = (sp_caption){.part = SP_CAPTION_HEAD,
                                   .review = panel->review,
                                   .readout = panel->readout,
                                   .moment = panel->moment,
                                   .whose = panel->whose,
                                   .frame = panel->frame,
                                   .clip_s = sp_clip_times(panel->clip)[panel->frame]};
        if (!sp_frame_picture_read(panel->clip, panel->frame, &s->frames[i], &s->heads[i].damaged,
                                   error))
            return false;
        /* of two players the one is asked for whose shoulder is not known to be healthy */
        const bool passes = moving && sp_review_moment_frame(panel->review, "drop") >= 0;
        if (!passes && !is_of_drop(panel)) continue;
        if (!s->foot.of_drop || !is_healthy(panel)) s->foot.readout = panel->readout;
        s->foot.of_drop = true;
    }
    return true;
}

/* Heights of the captions, and whether the pictures hold numbers, are known once all is drawn: here
 * on a single pixel. */
static bool rehearse(sp_spread *s, sp_error *error) {
    sp_picture pixel;
    if (!sp_picture_init(&pixel, 1, 1, error)) return false;
    sp_paint *paint = sp_paint_new(&pixel, 1.0, error);
    bool good = paint != NULL;
    for (int i = 0; good && i < s->count; i++) {
        place_overlay(s, i);
        const sp_overlay_drawn drawn = sp_overlay_draw(paint, &s->overlays[i]);
        s->foot.numbers = s->foot.numbers || drawn.numbers;
        s->foot.projected = s->foot.projected || drawn.projected;
        s->head = fmax(s->head, ceil(sp_caption_height(paint, &s->heads[i], sp_theme_dark(),
                                                       s->layout.panel_width, s->layout.em)));
    }
    if (good) {
        s->foot_height = ceil(
            sp_caption_height(paint, &s->foot, sp_theme_dark(), s->layout.width, s->layout.em));
        good = sp_paint_finish(paint, error);
    }
    sp_paint_free(paint);
    sp_picture_clear(&pixel);
    return good;
}

static double grid_height(const sp_spread *s) {
    return corner_of(s, s->layout.rows * s->layout.columns).y;
}

static void draw_panel(sp_paint *paint, const sp_spread *s, int i) {
    const sp_overlay *o = &s->overlays[i];
    sp_paint_save(paint);
    sp_paint_clip(paint, o->area);
    sp_paint_turned_picture(paint, &s->frames[i], (sp_point){o->origin_x, o->origin_y}, o->turn_deg,
                            o->zoom);
    sp_paint_restore(paint);
    sp_overlay_draw(paint, o);
    sp_caption_draw(paint, &s->heads[i], o->theme,
                    (sp_rect){o->area.x, o->area.y + o->area.height, o->area.width, s->head},
                    s->layout.em);
}

void sp_spread_draw(sp_paint *paint, const sp_spread *s) {
    const sp_theme *theme = sp_theme_dark();
    const double top = grid_height(s);
    sp_paint_fill_rect(paint, (sp_rect){0.0, 0.0, s->layout.width, top + s->foot_height}, 0.0,
                       theme->room);
    for (int i = 0; i < s->count; i++) draw_panel(paint, s, i);
    sp_caption_draw(paint, &s->foot, theme, (sp_rect){0.0, top, s->layout.width, s->foot_height},
                    s->layout.em);
}

static bool check_frames(const sp_panel *panels, int count, sp_error *error) {
    assert(count >= 2 && count <= SP_PANELS_MAX);
    for (int i = 0; i < count; i++) {
        const int frames = sp_clip_get_facts(panels[i].clip)->frames;
        if (panels[i].frame < 0 || panels[i].frame >= frames)
            return sp_fail(error, SP_ERROR_ARGUMENT,
                           "there is no frame %d in the clip: it has frames 0 to %d; name one of "
                           "them",
                           panels[i].frame, frames - 1);
    }
    return true;
}

bool sp_spread_begin(sp_spread *s, const sp_panel *panels, int count,
                     const sp_panels_options *options, const char *moving, sp_error *error) {
    *s = (sp_spread){.count = count};
    if (!check_frames(panels, count, error)) return false;
    sp_panels_lay_out(panels, count, options->path != SP_PATH_NONE, &s->layout);
    snprintf(s->also, sizeof s->also, "%s%s", moving == NULL ? "" : moving,
             words_of(s->layout.scale));
    s->foot = (sp_caption){.part = SP_CAPTION_FOOT,
                           .review = panels[0].review,
                           .readout = panels[0].readout,
                           .frame = -1,
                           .also = s->also};
    if (!fill(s, panels, options, moving != NULL, error) || !rehearse(s, error)) return false;
    for (int i = 0; i < count; i++) place_overlay(s, i); /* heads are measured now */
    return true;
}

void sp_spread_end(sp_spread *s) {
    for (int i = 0; i < s->count; i++) sp_picture_clear(&s->frames[i]);
    *s = (sp_spread){0};
}

sp_size sp_spread_size(const sp_spread *s) {
    return (sp_size){s->layout.width, grid_height(s) + s->foot_height};
}

bool sp_spread_turn(sp_spread *s, int i, int frame, const char *moment, sp_error *error) {
    sp_panel *panel = &s->panels[i];
    panel->moment = s->heads[i].moment = moment;
    if (panel->frame == frame) return true;
    sp_picture_clear(&s->frames[i]);
    panel->frame = -1;
    if (!sp_frame_picture_read(panel->clip, frame, &s->frames[i], &s->heads[i].damaged, error))
        return false;
    panel->frame = s->overlays[i].frame = s->heads[i].frame = frame;
    s->heads[i].clip_s = sp_clip_times(panel->clip)[frame];
    return true;
}
