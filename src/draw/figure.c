/* The player as marked: segments, and a marker on each point. */
#include <math.h>

#include "draw/scene.h"

typedef enum { HUE_ARM, HUE_BODY, HUE_RACQUET } hue_name;

static sp_color hue_of(const scene *s, hue_name hue) {
    const sp_theme *theme = s->overlay->theme;
    return hue == HUE_ARM ? theme->hitting_arm : hue == HUE_RACQUET ? theme->racquet : theme->body;
}

/* Drawn from far to near: what a coach looks at last covers least. */
static const struct {
    int from, to;
    hue_name hue;
    double width; /* of a line */
} segments[] = {
    {SP_POINT_LEFT_HIP, SP_POINT_LEFT_KNEE, HUE_BODY, 0.85},
    {SP_POINT_LEFT_KNEE, SP_POINT_LEFT_ANKLE, HUE_BODY, 0.85},
    {SP_POINT_LEFT_ANKLE, SP_POINT_LEFT_TOE, HUE_BODY, 0.85},
    {SP_POINT_RIGHT_HIP, SP_POINT_RIGHT_KNEE, HUE_BODY, 0.85},
    {SP_POINT_RIGHT_KNEE, SP_POINT_RIGHT_ANKLE, HUE_BODY, 0.85},
    {SP_POINT_RIGHT_ANKLE, SP_POINT_RIGHT_TOE, HUE_BODY, 0.85},
    {SP_POINT_LEFT_HIP, SP_POINT_RIGHT_HIP, HUE_BODY, 0.85},
    {SP_POINT_LEFT_SHOULDER, SP_POINT_RIGHT_SHOULDER, HUE_BODY, 0.85},
    {SPOT_HIPS, SPOT_SHOULDERS, HUE_BODY, 0.85},
    {SPOT_SHOULDERS, SPOT_HEAD, HUE_BODY, 0.85},
    {SP_POINT_LEFT_SHOULDER, SP_POINT_LEFT_ELBOW, HUE_BODY, 0.85},
    {SP_POINT_LEFT_ELBOW, SPOT_OFF_HAND, HUE_BODY, 0.85},
    {SPOT_GRIP, SP_POINT_RACQUET_TIP, HUE_RACQUET, 1.0},
    {SP_POINT_RIGHT_SHOULDER, SP_POINT_RIGHT_ELBOW, HUE_ARM, 1.15},
    {SP_POINT_RIGHT_ELBOW, SPOT_HAND, HUE_ARM, 1.15},
};

/* One side's flank stands for the trunk where the other side is not marked. */
static const struct {
    int from, to;
} flanks[] = {{SP_POINT_LEFT_SHOULDER, SP_POINT_LEFT_HIP},
              {SP_POINT_RIGHT_SHOULDER, SP_POINT_RIGHT_HIP}};

#define FLANKS (sizeof flanks / sizeof flanks[0])
#define SEGMENTS (sizeof segments / sizeof segments[0])

static bool both_there(const scene *s, int from, int to) {
    return s->spots[from].there && s->spots[to].there;
}

static bool has_trunk(const scene *s) { return both_there(s, SPOT_HIPS, SPOT_SHOULDERS); }

void sp_scene_note_segments(scene *s) {
    for (size_t i = 0; i < FLANKS && !has_trunk(s); i++)
        if (both_there(s, flanks[i].from, flanks[i].to))
            sp_room_stroke(&s->board, s->spots[flanks[i].from].at, s->spots[flanks[i].to].at, 1.0);
    for (size_t i = 0; i < SEGMENTS; i++)
        if (both_there(s, segments[i].from, segments[i].to))
            sp_room_stroke(&s->board, s->spots[segments[i].from].at, s->spots[segments[i].to].at,
                           segments[i].hue == HUE_BODY ? 1.0 : 1.6);
}

void sp_scene_draw_segments(scene *s) {
    for (size_t i = 0; i < FLANKS && !has_trunk(s); i++)
        if (both_there(s, flanks[i].from, flanks[i].to))
            sp_scene_line(s, s->spots[flanks[i].from].at, s->spots[flanks[i].to].at, s->line * 0.85,
                          s->overlay->theme->body);
    for (size_t i = 0; i < SEGMENTS; i++)
        if (both_there(s, segments[i].from, segments[i].to))
            sp_scene_line(s, s->spots[segments[i].from].at, s->spots[segments[i].to].at,
                          s->line * segments[i].width, hue_of(s, segments[i].hue));
}

static sp_color hue_of_point(const scene *s, int name) {
    switch (name) {
    case SP_POINT_RIGHT_SHOULDER:
    case SP_POINT_RIGHT_ELBOW:
    case SP_POINT_RIGHT_WRIST:
    case SP_POINT_RIGHT_HAND:
    case SP_POINT_HAND_HEEL: return s->overlay->theme->hitting_arm;
    case SP_POINT_RACQUET_BUTT:
    case SP_POINT_RACQUET_TIP: return s->overlay->theme->racquet;
    case SP_POINT_BALL: return s->overlay->theme->ball;
    default: return s->overlay->theme->body;
    }
}

static void diamond(sp_point at, double r, sp_point corners[4]) {
    corners[0] = (sp_point){at.x, at.y - r};
    corners[1] = (sp_point){at.x + r, at.y};
    corners[2] = (sp_point){at.x, at.y + r};
    corners[3] = (sp_point){at.x - r, at.y};
}

/* Tapped: a disc. Carried from frame to frame: a diamond. Guessed: an open ring. */
static void draw_marker(scene *s, sp_point at, sp_mark_by by, double r, sp_color hue) {
    const double edge = fmax(1.0, 0.42 * s->line);
    sp_point corners[4];
    switch (by) {
    case SP_BY_TAP:
        sp_paint_disc(s->paint, at, r + edge, s->outline);
        sp_paint_disc(s->paint, at, r, hue);
        break;
    case SP_BY_CARRY:
        diamond(at, 1.45 * r + 1.4 * edge, corners);
        sp_paint_polygon(s->paint, corners, 4, s->outline);
        diamond(at, 1.45 * r, corners);
        sp_paint_polygon(s->paint, corners, 4, hue);
        break;
    case SP_BY_GUESS:
        sp_paint_disc(s->paint, at, 1.2 * r + edge, s->outline);
        sp_paint_ring(s->paint, at, 1.05 * r, 0.45 * r, hue);
        break;
    }
}

/* The ball is seen through its marker. */
static void draw_ball(scene *s, sp_point at, sp_mark_by by) {
    const sp_color hue = s->overlay->theme->ball;
    const double r = 2.6 * s->line, width = 0.7 * s->line;
    if (by == SP_BY_TAP) {
        sp_scene_arc(s, at, r, 0.0, 2.0 * M_PI, width, hue);
    } else if (by == SP_BY_CARRY) {
        sp_point corners[4];
        diamond(at, 1.3 * r, corners);
        for (int i = 0; i < 4; i++) sp_scene_line(s, corners[i], corners[(i + 1) % 4], width, hue);
    } else {
        for (int i = 0; i < 4; i++)
            sp_scene_arc(s, at, r, i * M_PI_2 + 0.35, (i + 1) * M_PI_2 - 0.35, width, hue);
    }
}

void sp_scene_draw_markers(scene *s) {
    const double r = 1.15 * s->line;
    for (int name = 0; name < SP_POINT_COUNT; name++) {
        if (!s->spots[name].there) continue;
        const sp_point at = s->spots[name].at;
        if (name == SP_POINT_BALL) {
            draw_ball(s, at, s->spots[name].by);
        } else {
            draw_marker(s, at, s->spots[name].by, r, hue_of_point(s, name));
        }
        if (name == s->selected) {
            sp_scene_arc(s, at, 3.6 * s->line, 0.0, 2.0 * M_PI, 0.5 * s->line,
                         s->overlay->theme->label_text);
        }
    }
}
