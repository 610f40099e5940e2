#include "window/choices.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "window/actions.h"
#include "window/small_picture.h"
#include "window/state.h"

static bool file_of(sp_xdg which, const char *name, char path[PATH_MAX]) {
    return sp_xdg_path(which, name, path, PATH_MAX);
}

static bool picture_path(const char *sha256, char path[PATH_MAX]) {
    char name[96];
    snprintf(name, sizeof name, "%.64s.ppm", sha256);
    return file_of(SP_XDG_CACHE, name, path);
}

static void load_pictures(choices *c) {
    char path[PATH_MAX];
    for (int i = 0; i < SP_RECENT_MAX; i++) {
        sp_picture_clear(&c->pictures[i]);
        if (i < c->recent.count && picture_path(c->recent.at[i].sha256, path))
            small_picture_read(path, &c->pictures[i]);
    }
}

static void apply(window *w) {
    const sp_preferences *p = &w->choices.now;
    w->theme = p->light ? sp_theme_light() : sp_theme_dark();
    w->units = p->imperial ? SP_UNITS_IMPERIAL : SP_UNITS_METRIC;
    w->text_factor = p->text_factor;
    w->talking.without = p->voiceless;
    memcpy(w->talking.chosen, p->microphone, sizeof w->talking.chosen);
}

void choices_load(window *w) {
    choices *c = &w->choices;
    char path[PATH_MAX];
    sp_error error = {0};
    c->now = sp_preferences_default();
    if (file_of(SP_XDG_CONFIG, "preferences.json", path) &&
        !sp_preferences_read(path, &c->now, &error)) {
        c->fixed = true;
        message_problem(w, &error);
    }
    if (file_of(SP_XDG_STATE, "recent.json", path)) sp_recent_read(path, &c->recent);
    load_pictures(c);
    apply(w);
}

void choices_free(window *w) {
    for (int i = 0; i < SP_RECENT_MAX; i++) sp_picture_clear(&w->choices.pictures[i]);
}

void choices_save(window *w) {
    choices *c = &w->choices;
    char path[PATH_MAX];
    sp_error error = {0};
    c->now.light = w->theme == sp_theme_light();
    c->now.imperial = w->units == SP_UNITS_IMPERIAL;
    c->now.text_factor = w->text_factor;
    c->now.voiceless = w->talking.without;
    memcpy(c->now.microphone, w->talking.chosen, sizeof c->now.microphone);
    if (c->fixed || !file_of(SP_XDG_CONFIG, "preferences.json", path)) return;
    if (!sp_preferences_write(path, &c->now, &error)) message_problem(w, &error);
}

void choices_remember(window *w) {
    choices *c = &w->choices;
    session *s = &w->session;
    char path[PATH_MAX], whole[PATH_MAX];
    if (s->clip == NULL || realpath(s->clip_path, whole) == NULL) return;
    sp_recent_clip clip = {.real_time = s->speed};
    snprintf(clip.path, sizeof clip.path, "%s", whole);
    memcpy(clip.sha256, sp_review_get_clip(s->review)->sha256, sizeof clip.sha256);
    const sp_recent_clip *before = sp_recent_find(&c->recent, clip.sha256);
    if (before != NULL && before->real_time) clip.real_time = s->speed = true;
    sp_recent_put(&c->recent, &clip);
    /* Without it the list is shorter next time: no reason to disturb. */
    if (file_of(SP_XDG_STATE, "recent.json", path)) sp_recent_write(path, &c->recent, NULL);
    load_pictures(c);
}

void choices_keep_picture(window *w) {
    const session *s = &w->session;
    char path[PATH_MAX];
    if (s->clip == NULL || s->closed[0] != '\0' ||
        !picture_path(sp_review_get_clip(s->review)->sha256, path))
        return;
    sp_picture picture;
    if (!frames_small(w, SMALL_PICTURE_SIDE, &picture)) return;
    small_picture_write(path, &picture);
    sp_picture_clear(&picture);
}

/* --- the card of preferences ------------------------------------------------------------------ */
enum { ROW_UNITS, ROW_THEME, ROW_TEXT, ROW_HAND, ROW_VIEW, ROW_TAPS, ROW_CACHE, ROW_COUNT };

static int row_count(const window *w) {
    (void)w;
    return ROW_COUNT;
}

static const char *row_name(const window *w, int index) {
    static char text[96]; /* read before the next row is asked for */
    const sp_preferences *p = &w->choices.now;
    switch (index) {
    case ROW_UNITS: return p->imperial ? "units: feet, miles an hour" : "units: metric";
    case ROW_THEME: return p->light ? "window: bright" : "window: dark";
    case ROW_TEXT: snprintf(text, sizeof text, "text: %.0f %%", p->text_factor * 100); break;
    case ROW_HAND: snprintf(text, sizeof text, "hand: %s", sp_hand_id(p->hand)); break;
    case ROW_VIEW: snprintf(text, sizeof text, "view: %s", sp_view_id(p->view)); break;
    case ROW_TAPS: snprintf(text, sizeof text, "my taps: \u00b1 %.1f px", p->points_sd_px); break;
    default:
        if (p->cache_mb == 0) return "memory for frames: 512 MB";
        snprintf(text, sizeof text, "memory for frames: %d MB", p->cache_mb);
    }
    return text;
}

static const char *row_detail(const window *w, int index) {
    (void)w;
    static const char *const details[ROW_COUNT] = {
        "as numbers are shown; files are always metric",
        "bright for daylight on the court, dark for a room",
        "larger, up to twice the size, then small again",
        "of the player in a new review",
        "of the camera in a new review",
        "deviation of one tap in a new review: the intervals follow it",
        "from the next clip on"};
    return details[index];
}

static bool accept_taps(window *w, const char *text, sp_error *error) {
    char *end;
    const double px = strtod(text, &end);
    if (end == text || *end != '\0' || !(px >= 0.1 && px <= 50))
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "'%.40s' is not a number of pixels from 0.1 to 50; write 1.5", text);
    w->choices.now.points_sd_px = px;
    choices_save(w);
    return true;
}

static bool accept_cache(window *w, const char *text, sp_error *error) {
    char *end;
    const long mb = strtol(text, &end, 10);
    if (end == text || *end != '\0' || mb < 64 || mb > 65536)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "'%.40s' is not a number of megabytes from 64 to 65536; write 512", text);
    w->choices.now.cache_mb = (int)mb;
    choices_save(w);
    return true;
}

static const card_line taps = {"How far do your taps of one place differ?",
                               "Standard deviation in pixels of the clip. Tap one joint ten times "
                               "to find yours; 1.5 is usual.",
                               NULL, accept_taps};
static const card_line cache = {"How much memory for frames?",
                                "Megabytes. More makes going back and forth quicker.", NULL,
                                accept_cache};

static void choose_row(window *w, int index);
static const card_list rows = {.title = "Preferences",
                               .count = row_count,
                               .name = row_name,
                               .detail = row_detail,
                               .choose = choose_row};

static void choose_row(window *w, int index) {
    sp_preferences *p = &w->choices.now;
    switch (index) {
    case ROW_UNITS: act_units(w, 0); break;
    case ROW_THEME: act_theme(w, 0); break;
    case ROW_TEXT: act_text_size(w, w->text_factor > 1.9 ? 0 : 1); break;
    case ROW_HAND: p->hand = p->hand == SP_HAND_RIGHT ? SP_HAND_LEFT : SP_HAND_RIGHT; break;
    case ROW_VIEW: p->view = (sp_view)((p->view + 1) % (SP_VIEW_OBLIQUE + 1)); break;
    case ROW_TAPS: card_show_number(w, &taps); return;
    default: card_show_number(w, &cache); return;
    }
    choices_save(w);
    card_show_list(w, &rows, index);
}

void act_preferences(window *w, int unused) {
    (void)unused;
    card_show_list(w, &rows, 0);
}
