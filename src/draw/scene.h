/* One drawing of the overlay: what the review and the readout say about this frame, in painter
 * units, and the labels that wait for a place. */
#ifndef SP_DRAW_SCENE_H
#define SP_DRAW_SCENE_H

#include "draw/room.h"
#include "serveplumb/overlay.h"

#define SCENE_LABELS_MAX 16
#define SCENE_TEXT_MAX 96

/* "elbow" in regular, "104°" in bold, "toward the net" in regular, "(101 to 107)" smaller. All but
 * the number may be empty. */
typedef struct {
    char word[SCENE_TEXT_MAX], number[SCENE_TEXT_MAX], after[SCENE_TEXT_MAX];
    char interval[SCENE_TEXT_MAX];
    sp_color hue;
    room_wish wish;
    sp_rect rect; /* once it has a place */
    bool placed, stacked;
    bool projected; /* its number is true in the picture plane only */
} scene_label;

/* The points and those between them. Names are a right-hander's: right is the hitting side. */
typedef enum {
    SPOT_HIPS = SP_POINT_COUNT, /* middle of the two */
    SPOT_SHOULDERS,
    SPOT_HEAD,     /* nose, else what is marked of the head */
    SPOT_HAND,     /* of the hitting side, else its wrist */
    SPOT_OFF_HAND, /* likewise */
    SPOT_GRIP,     /* racquet butt, else the hand */
    SPOT_COUNT
} scene_spot;

typedef struct {
    sp_paint *paint;
    const sp_overlay *overlay;
    double line, text;
    double figure; /* size of the player; INFINITY where none is marked */
    double plumb_deg;
    sp_color outline;
    struct {
        bool there;
        sp_point at;
        sp_mark_by by; /* of the points themselves */
    } spots[SPOT_COUNT];
    int selected; /* as a right-hander's; -1 none */
    room_board board;
    scene_label labels[SCENE_LABELS_MAX];
    int label_count;
} scene;

/* Everything but the labels' places. Draws nothing. */
void sp_scene_build(scene *s, sp_paint *paint, const sp_overlay *overlay);
sp_point sp_scene_place(const scene *s, sp_point upright); /* on the painter */
bool sp_scene_in_area(const scene *s, sp_point at);
/* Room for one more; NULL when there are enough already, or its anchor is out of sight. */
scene_label *sp_scene_add_label(scene *s, sp_color hue, room_wish wish);
/* A measure of this frame that has a number; NULL otherwise. `moment` NULL: any. */
const sp_measure *sp_scene_measure(const scene *s, const char *id, const char *moment);
/* The words of a label: the measure's number, its sign in words, its interval. */
void sp_scene_say(const scene *s, scene_label *label, const char *word, const sp_measure *measure);

/* Lines over a dark outline, which keeps them legible on any ground. */
void sp_scene_line(scene *s, sp_point a, sp_point b, double width, sp_color hue);
void sp_scene_dashed(scene *s, sp_point a, sp_point b, double width, sp_color hue);
void sp_scene_arc(scene *s, sp_point center, double radius, double from, double to, double width,
                  sp_color hue);

/* In the order in which they are drawn: the level lines of the gap lie under the arm. */
void sp_scene_note_segments(scene *s); /* draws nothing: what others keep off */
void sp_scene_draw_path(scene *s);
void sp_scene_draw_gap(scene *s);
void sp_scene_draw_segments(scene *s);
void sp_scene_draw_taps(scene *s);
void sp_scene_draw_arcs(scene *s);
void sp_scene_draw_markers(scene *s);
void sp_scene_draw_ink(scene *s);
void sp_scene_draw_scale_bar(scene *s);
void sp_scene_place_labels(scene *s);
void sp_scene_draw_labels(scene *s);

#endif
