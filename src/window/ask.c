#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "serveplumb/court.h"
#include "window/actions.h"
#include "window/state.h"

/* --- numbers as people type them --------------------------------------------------------------*/

/* A decimal comma counts as a point. False when there is no number; `rest` is what follows. */
static bool read_number(const char *text, double *number, const char **rest) {
    char plain[64];
    snprintf(plain, sizeof plain, "%s", text);
    for (char *c = plain; *c != '\0'; c++)
        if (*c == ',') *c = '.';
    char *end;
    *number = strtod(plain, &end);
    if (end == plain || !isfinite(*number)) return false;
    while (*end == ' ') end++;
    *rest = text + (end - plain);
    return true;
}

/* Metres of "1.82", "182", "182 cm", "1.82 m", "6 ft", "6'1", "5 ft 11 in". */
static bool read_length(const char *text, double *metres) {
    double number, inches = 0;
    const char *rest;
    if (!read_number(text, &number, &rest)) return false;
    const bool feet = rest[0] == '\'' || strncmp(rest, "ft", 2) == 0;
    if (!feet) {
        const bool cm = strncmp(rest, "cm", 2) == 0;
        if (!cm && rest[0] != '\0' && strcmp(rest, "m") != 0) return false;
        /* Nobody is three metres tall, and nothing on a court is three centimetres long. */
        *metres = cm || number > 30 ? number / 100 : number;
        return true;
    }
    rest += rest[0] == '\'' ? 1 : 2;
    while (*rest == ' ') rest++;
    if (*rest != '\0' && !read_number(rest, &inches, &rest)) return false;
    *metres = number * 0.3048 + inches * 0.0254;
    return true;
}

/* --- points -----------------------------------------------------------------------------------*/

static int point_count(const window *w) {
    (void)w;
    return SP_POINT_COUNT;
}

static const char *point_name(const window *w, int index) {
    (void)w;
    return sp_point_title((sp_point_name)index);
}

static const char *point_hint(const window *w, int index) {
    (void)w;
    return sp_point_hint((sp_point_name)index);
}

static void choose_point(window *w, int index) {
    tool_begin(w, TOOL_POINT);
    w->tool.point = (sp_point_name)index;
}

static void choose_along(window *w, int index) {
    tool_begin(w, TOOL_ALONG);
    w->tool.point = (sp_point_name)index;
}

static const card_list other_point = {.title = "Which point?",
                                      .count = point_count,
                                      .name = point_name,
                                      .detail = point_hint,
                                      .choose = choose_point};
static const card_list along = {.title = "Which point, frame after frame?",
                                .count = point_count,
                                .name = point_name,
                                .detail = point_hint,
                                .choose = choose_along};

void act_other_point(window *w, int unused) {
    (void)unused;
    if (edit_allowed(w)) card_show_list(w, &other_point, SP_POINT_RACQUET_TIP);
}

void act_along(window *w, int unused) {
    (void)unused;
    if (edit_allowed(w)) card_show_list(w, &along, SP_POINT_RACQUET_TIP);
}

/* --- scale ------------------------------------------------------------------------------------*/

static bool accept_distance(window *w, const char *text, sp_error *error) {
    double metres;
    if (!read_length(text, &metres) || metres <= 0.05 || metres > 60)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "'%.40s' is not a distance from 5 cm to 60 m; write 2.44, 244 cm or 8 ft",
                       text);
    card_close(w);
    tool_begin(w, TOOL_SCALE);
    w->tool.distance_m = metres;
    snprintf(w->tool.distance_name, sizeof w->tool.distance_name, "measured by hand");
    snprintf(w->tool.edges, sizeof w->tool.edges, "Tap the ends that were measured.");
    return true;
}

static const card_line own_distance = {
    "How long is it?", "Metres, or with cm, ft or ' behind the number: 2.44, 244 cm, 8 ft", NULL,
    accept_distance};

static int distance_count(const window *w) {
    (void)w;
    return (int)sp_court_distance_count() + 1;
}

/* What is likely to run across the picture and past the player's feet comes first, then what was
 * measured by hand, such as two marks of tape; -1 stands for it. */
static int distance_of(const window *w, int row) {
    static const char *const side[] = {"centre_mark_to_t", "back_court_depth"};
    static const char *const others[] = {"baseline_half_singles", "baseline_half_doubles"};
    const bool from_side = sp_review_get_view(w->session.review) == SP_VIEW_SIDE;
    const char *const *first = from_side ? side : others;
    if (row == 2) return -1;
    int index = 0;
    while (row < 2 && strcmp(sp_court_distance_at((size_t)index)->id, first[row]) != 0) index++;
    if (row < 2) return index;
    for (int at = 3;; index++) {
        const char *id = sp_court_distance_at((size_t)index)->id;
        const bool taken = strcmp(id, first[0]) == 0 || strcmp(id, first[1]) == 0;
        if (!taken && at++ == row) return index;
    }
}

static const char *distance_name(const window *w, int row) {
    const int index = distance_of(w, row);
    return index < 0 ? "something else, measured by hand"
                     : sp_court_distance_at((size_t)index)->name;
}

static const char *distance_edges(const window *w, int row) {
    static char text[320]; /* read before the next row is asked for */
    const int index = distance_of(w, row);
    if (index < 0) return "such as two marks of tape by the feet: type its length";
    const sp_court_distance *d = sp_court_distance_at((size_t)index);
    snprintf(text, sizeof text, "%.3f m; %s", d->distance_m, d->edges);
    return text;
}

static void choose_distance(window *w, int row) {
    const int index = distance_of(w, row);
    if (index < 0) {
        card_show_number(w, &own_distance);
        return;
    }
    const sp_court_distance *d = sp_court_distance_at((size_t)index);
    tool_begin(w, TOOL_SCALE);
    w->tool.distance_m = d->distance_m;
    snprintf(w->tool.distance_name, sizeof w->tool.distance_name, "%s", d->name);
    snprintf(w->tool.edges, sizeof w->tool.edges, "Tap: %s.", d->edges);
}

static const card_list distances = {.title = "Which distance do you see?",
                                    .count = distance_count,
                                    .name = distance_name,
                                    .detail = distance_edges,
                                    .choose = choose_distance};

void act_scale(window *w, int unused) {
    (void)unused;
    if (edit_allowed(w)) card_show_list(w, &distances, 0);
}

/* --- plumb ------------------------------------------------------------------------------------*/

static const char *const plumb_ways[][2] = {
    {"Two taps on something level",
     "it has to run straight across the picture, not toward the camera"},
    {"Two taps on something upright", "a fence post, a lamp post, the edge of a building"},
    {"As the picture stands", "the camera stood level"},
};

static int plumb_count(const window *w) {
    (void)w;
    return 3;
}

static const char *plumb_name(const window *w, int index) {
    (void)w;
    return plumb_ways[index][0];
}

static const char *plumb_detail(const window *w, int index) {
    (void)w;
    return plumb_ways[index][1];
}

static void choose_plumb(window *w, int index) {
    if (index < 2) {
        tool_begin(w, index == 0 ? TOOL_LEVEL : TOOL_HANG);
        return;
    }
    const sp_plumb_entry entry = {.method = SP_PLUMB_IMAGE};
    sp_error error = {0};
    tool_leave(w);
    edit_end(w, sp_review_set_plumb(w->session.review, &entry, &error), &error);
}

static const card_list plumbs = {.title = "What shows the vertical?",
                                 .count = plumb_count,
                                 .name = plumb_name,
                                 .detail = plumb_detail,
                                 .choose = choose_plumb};

void act_plumb(window *w, int unused) {
    (void)unused;
    if (edit_allowed(w)) card_show_list(w, &plumbs, 0);
}

/* --- player and clip --------------------------------------------------------------------------*/

static bool set_player(window *w, const sp_player *player, sp_error *error) {
    if (!sp_review_set_player(w->session.review, player, error)) return false;
    return edit_end(w, true, error);
}

static void begin_stature(const window *w, char *text, size_t size) {
    const double stature = sp_review_get_player(w->session.review)->stature_m;
    if (stature > 0) snprintf(text, size, "%.2f", stature);
}

static bool accept_stature(window *w, const char *text, sp_error *error) {
    sp_player player = *sp_review_get_player(w->session.review);
    player.stature_m = 0;
    if (text[0] != '\0' && !read_length(text, &player.stature_m))
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "'%.40s' is not a height; write 1.82, 182 cm or 5 ft 11", text);
    return set_player(w, &player, error);
}

static const card_line stature = {"How tall is the player?",
                                  "1.82, 182 cm or 5 ft 11; empty: not known", begin_stature,
                                  accept_stature};

void act_stature(window *w, int unused) {
    (void)unused;
    if (edit_allowed(w)) card_show_number(w, &stature);
}

static void begin_player(const window *w, char *text, size_t size) {
    sp_text_copy(text, size, sp_review_get_player(w->session.review)->name);
}

static bool accept_player(window *w, const char *text, sp_error *error) {
    sp_player player = *sp_review_get_player(w->session.review);
    if (!sp_text_copy(player.name, sizeof player.name, text))
        return sp_fail(error, SP_ERROR_ARGUMENT, "the name is too long; shorten it");
    return set_player(w, &player, error);
}

static const card_line player_name = {
    "Who is the player?", "It stays on this computer, in the review.", begin_player, accept_player};

void act_player(window *w, int unused) {
    (void)unused;
    if (edit_allowed(w)) card_show_line(w, &player_name);
}

static void begin_slowdown(const window *w, char *text, size_t size) {
    snprintf(text, size, "%g", sp_review_get_clip(w->session.review)->slowdown);
}

static bool accept_slowdown(window *w, const char *text, sp_error *error) {
    double number;
    const char *rest;
    if (!read_number(text, &number, &rest) || *rest != '\0')
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "'%.40s' is not a number; write 8 for a clip shot at 240 and stored at 30",
                       text);
    if (!sp_review_set_slowdown(w->session.review, number, error)) return false;
    w->session.speed = true;
    choices_remember(w);
    return edit_end(w, true, error);
}

static const card_line slowdown = {"How many times slowed down?",
                                   "1: as in life. 8: shot at 240 frames a second, stored at 30.",
                                   begin_slowdown, accept_slowdown};

void act_slowdown(window *w, int unused) {
    (void)unused;
    if (edit_allowed(w)) card_show_number(w, &slowdown);
}

static void begin_shutter(const window *w, char *text, size_t size) {
    const double exposure_s = sp_review_get_clip(w->session.review)->exposure_s;
    text[0] = '\0';
    if (exposure_s > 0) snprintf(text, size, "1/%.4g", 1 / exposure_s);
}

/* "1/500", or 500 as cameras show it; a fraction of a second as it stands; nothing: not known. */
static bool accept_shutter(window *w, const char *text, sp_error *error) {
    double number = 0;
    const char *rest = text, *from = strncmp(text, "1/", 2) == 0 ? text + 2 : text;
    if (*text != '\0' && (!read_number(from, &number, &rest) || *rest != '\0' || !(number > 0)))
        return sp_fail(
            error, SP_ERROR_ARGUMENT,
            "'%.40s' is not a shutter time; write 1/500 for a five-hundredth of a second", text);
    if (from != text || number > 1) number = 1 / number;
    if (!sp_review_set_exposure(w->session.review, number, error)) return false;
    return edit_end(w, true, error);
}

static const card_line shutter = {"How long was the shutter open?",
                                  "As 1/500, from the camera's settings. Nothing: not known.",
                                  begin_shutter, accept_shutter};

void act_shutter(window *w, int unused) {
    (void)unused;
    if (edit_allowed(w)) card_show_number(w, &shutter);
}

static bool accept_frame(window *w, const char *text, sp_error *error) {
    char *end;
    errno = 0;
    const long number = strtol(text, &end, 10);
    const int last = w->session.times.count - 1;
    if (end == text || *end != '\0' || errno != 0 || number < 0 || number > last)
        return sp_fail(error, SP_ERROR_ARGUMENT,
                       "'%.40s' is not a frame of this clip; they go from 0 to %d", text, last);
    act_go_frame(w, (int)number);
    return true;
}

static const card_line frame_number = {"Go to which frame?", "Frames are numbered from 0.", NULL,
                                       accept_frame};

void act_ask_frame(window *w, int unused) {
    (void)unused;
    if (window_is_open(w)) card_show_number(w, &frame_number);
}

static bool accept_path(window *w, const char *text, sp_error *error) {
    (void)error;
    card_close(w);
    if (text[0] != '\0') window_open(w, text);
    return true;
}

static const card_line path = {"Open which clip or review?",
                               "Where it is, such as /home/you/clips/serve.mp4", NULL, accept_path};

void act_open(window *w, int unused) {
    (void)unused;
    card_show_line(w, &path);
}

void act_keys(window *w, int unused) {
    (void)unused;
    card_show_keys(w);
}
