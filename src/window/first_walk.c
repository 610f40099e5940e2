#include "window/first_walk.h"

#include <stdio.h>

#include "window/actions.h"
#include "window/commands.h"
#include "window/demo_clip.h"
#include "window/moments.h"
#include "window/state.h"
#include "window/steps.h"

enum { RELEASE, DROP = 2, CONTACT }; /* moments, by their index */

/* A tenth of the clip. */
static bool has_moved(const window *w) { return w->frames.number * 10 >= w->session.times.count; }

static bool is_named(const window *w, int moment) {
    return sp_review_moment_frame(w->session.review, moment_kind_at(moment)->name) >= 0;
}

static bool has_release(const window *w) { return is_named(w, RELEASE); }
static bool has_drop(const window *w) { return is_named(w, DROP); }
static bool has_contact(const window *w) { return is_named(w, CONTACT); }

/* Three of the points that the sheet asks for at the drop. */
static bool has_points(const window *w) {
    const int frame = sp_review_moment_frame(w->session.review, moment_kind_at(DROP)->name);
    return frame >= 0 && step_points_done(&w->session, frame) >= 3;
}

static bool has_read(const window *w) { return w->sheet.measure >= 0; }
static bool never(const window *w) {
    (void)w;
    return false;
}

static const struct {
    const char *title, *hint;
    bool (*done)(const window *w);
    int moment; /* -1: none */
    section section;
} steps[] = {
    {"Drag along the strip",
     "Under the picture lies the strip: drag along it, or press \u2192. The number and the time of "
     "the frame stand above it. The player is invented.",
     has_moved, -1, SECTION_MOMENTS},
    {"Find the release",
     "It is the first frame with a gap between hand and ball, a little past a quarter of the "
     "strip. "
     "Drag near it, step with \u2190 and \u2192, then press 1.",
     has_release, RELEASE, SECTION_MOMENTS},
    {"Find the drop",
     "It is the racquet tip at its lowest behind the back, at about two thirds of the strip. On "
     "its "
     "frame press 3.",
     has_drop, DROP, SECTION_MOMENTS},
    {"Tap three points",
     "First the elbow of the arm with the racquet, then the middle knuckle of its hand, then the "
     "far "
     "end of the racquet. The loupe shows where; a tap counts when you let go.",
     has_points, -1, SECTION_POINTS},
    {"Find the contact",
     "What your taps give stands under the points. Contact is the last frame before the ball "
     "touches "
     "the strings, just before the sound on the strip: there press 4.",
     has_contact, CONTACT, SECTION_POINTS},
    {"Read a measure",
     "Choose a measure of the drop in the readout below: the window goes to its frame and lights "
     "its points. By keys: \u2193 to its row, then Enter.",
     has_read, -1, SECTION_READOUT},
    {"That is the way",
     "The sheet says each next step like this. Now your own clip: Enter, or drop it on the window. "
     "F1 shows all keys.",
     never, -1, SECTION_READOUT},
};
enum { STEPS = sizeof steps / sizeof steps[0] };

bool first_walk_is_on(const window *w) { return w->first_walk.step > 0 && window_is_open(w); }

bool first_walk_offered(const window *w) {
    return !window_is_open(w) && w->first_walk.clip[0] != '\0' && !w->choices.now.guided &&
           w->choices.recent.count == 0;
}

static void enter_step(window *w, int number) {
    w->first_walk.step = number;
    if (steps[number - 1].done == has_read) {
        w->sheet.measure = -1;
        w->sheet.group_open[DROP] = 1;
    }
    window_touch(w, PART_SHEET | PART_OVERLAY | PART_LOUPE);
}

void first_walk_follow(window *w) {
    while (first_walk_is_on(w) && steps[w->first_walk.step - 1].done(w))
        enter_step(w, w->first_walk.step + 1);
}

static void turn_down(window *w) {
    if (w->choices.now.guided) return;
    w->choices.now.guided = true;
    choices_save(w);
}

void first_walk_end(window *w) {
    turn_down(w);
    if (w->first_walk.step == 0) return;
    w->first_walk.step = 0;
    window_touch(w, PART_SHEET | PART_OVERLAY | PART_LOUPE);
}

void first_walk_next(window *w) {
    if (w->first_walk.step < STEPS) {
        message_say(w, "Do as it says, or skip this step with %s.", command_keys(act_skip_step, 0));
        return;
    }
    first_walk_end(w);
    act_open(w, 0);
}

/* The clip as its maker knows it: a right-hander from the side, in real time. */
static bool open_clip(window *w, const char *path) {
    sp_preferences *p = &w->choices.now;
    const sp_preferences mine = *p;
    p->hand = SP_HAND_RIGHT;
    p->view = SP_VIEW_SIDE;
    const bool good = window_open(w, path);
    p->hand = mine.hand;
    p->view = mine.view;
    return good;
}

void act_first_walk(window *w, int unused) {
    (void)unused;
    sp_error error = {0};
    char path[PATH_MAX];
    if (first_walk_is_on(w)) {
        first_walk_end(w);
        message_say(w, "The walk is left; F2 begins it again.");
        return;
    }
    if (w->first_walk.clip[0] == '\0') {
        message_say(w, "The demo clip is not there; 'make demo' makes it.");
        return;
    }
    if (!demo_clip_copy(w->first_walk.clip, path, &error))
        message_problem(w, &error);
    else if (open_clip(w, path)) {
        w->session.who = w->session.speed = true;
        turn_down(w);
        enter_step(w, 1);
    }
}

void act_skip_step(window *w, int unused) {
    (void)unused;
    if (!first_walk_is_on(w))
        message_say(w, "No walk is on the way; F2 begins it.");
    else if (w->first_walk.step < STEPS)
        enter_step(w, w->first_walk.step + 1);
    else
        first_walk_end(w);
}

void first_walk_words(const window *w, char *label, size_t label_size, const char **title,
                      const char **hint) {
    snprintf(label, label_size, "first walk \u00b7 %d of %d", w->first_walk.step, (int)STEPS);
    *title = steps[w->first_walk.step - 1].title;
    *hint = steps[w->first_walk.step - 1].hint;
}

int first_walk_moment(const window *w) { return steps[w->first_walk.step - 1].moment; }

bool first_walk_taps(const window *w) { return steps[w->first_walk.step - 1].done == has_points; }

section first_walk_section(const window *w) { return steps[w->first_walk.step - 1].section; }
