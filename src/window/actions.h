/* All that can be done in the window. Each has a key or a place to press, most have both; which
 * key is in the table of commands.h. */
#ifndef SP_WINDOW_ACTIONS_H
#define SP_WINDOW_ACTIONS_H

#include "serveplumb/body.h"
#include "serveplumb/error.h"
#include "serveplumb/point.h"
#include "window/spots.h"

struct window;

/* Directions of keys, with ACT_FINE for the small step. */
enum { ACT_LEFT, ACT_RIGHT, ACT_UP, ACT_DOWN, ACT_FINE = 8 };

/* walk.c: through the clip */
action act_step;        /* by so many frames */
action act_ends;        /* -1 first frame, 1 last */
action act_moment_step; /* -1 the moment before, 1 the next */
action act_go_frame;    /* to a frame */
action act_go_moment;   /* to a moment, by index */
action act_play;
action act_sharpest_sound; /* listen.c: goes to its frame, the next time to that of the next */
action act_speed;          /* -1 slower, 1 faster */
action act_loop;
action act_strip_zoom; /* of the time axis: -1 wider, 1 closer */
action act_span;       /* -1 the span starts here, 1 it ends here */

/* beside.c: another clip with the one that is open */
action act_compare;    /* a card with the clips of the folder */
action act_other_step; /* the other alone, by so many frames */
action act_lock;       /* at the next moment that both name */
action act_over;       /* one over the other, or beside it */
action act_swap;       /* the other is worked on */
action act_end_compare;

/* edit.c: the review */
action act_name_moment; /* the frame in view is moment number .. */
action act_guess;       /* the selected point is hidden, or seen after all */
action act_copy_points; /* from the marked frame before */
action act_use_scale;   /* by its index in the review */
action act_drop_scale;  /* the one in use */
action act_free_moment; /* takes its name away */
action act_delete;
action act_nudge; /* the selected point: direction */
action act_undo;
action act_redo;
action act_hand;
action act_view;
action act_net;
action act_shoulder;
action act_relink;    /* the review names its clip where it is now */
action act_real_time; /* the clip was not slowed down */
action act_who_right; /* hand and view are right as they stand */
action act_all_stills;
action act_still;
void edit_mark(struct window *w, int frame, sp_point_name point, sp_point at);
/* Deviation of a guessed point. */
double edit_guess_sd(const struct window *w);
/* The line of the two taps becomes the scale in use. */
void scales_add(struct window *w, sp_point second);
/* lists.c */
/* A card with the clips of a folder. */
bool lists_show_folder(struct window *w, const char *path, sp_error *error);
void lists_free(void);
void browse_free(void);
/* findings.c */
action act_finding; /* unfolds one, by index, or folds it */
action act_judge;   /* of the one unfolded: sp_verdict */
action act_seen;    /* 1: the coach has read it; 0: not after all */
action act_order;   /* -1 sooner, 1 later */
action act_say;     /* in the coach's own words */
action act_copy_request;
action act_caution_read; /* folds the cautions of the checks, or unfolds them */
/* Every edit ends here: says what failed, writes what did not. */
bool edit_end(struct window *w, bool good, const sp_error *error);
bool edit_allowed(struct window *w);

/* again.c */
action act_again;      /* begins the second tapping, or leaves it */
action act_again_take; /* its typical error becomes the deviation of this coach's taps */
action act_again_anew; /* takes all its taps off */

/* carrying.c */
action act_carry;       /* the selected point between its taps; again: gives up */
action act_carry_doubt; /* to its least sure frame */
action act_carry_off;   /* its carried places about this frame */

/* pick.c: points by keys */
action act_pick;       /* selects the point, or arms it where it is not tapped yet */
action act_next_point; /* 1 next, -1 before */
action act_cross;      /* the cross, where Enter taps: direction */
action act_next_step;  /* that the sheet names; taps nothing */
action act_enter;

sp_point pick_step(int direction, double length);
void pick_put_cross(struct window *w, sp_point upright);

/* ask.c: cards */
action act_other_point;
action act_along;
action act_scale;
action act_court;         /* the card on which a landmark is picked */
action act_landmark;      /* asks for a landmark, by its index in the table */
action act_drop_landmark; /* the same taken off */
action act_toss_scale;
action act_plumb;
action act_stature;
action act_player;
action act_slowdown;
action act_shutter;
action act_ask_frame;
action act_open;
action act_reopen;     /* after its decoder has ended */
action act_first_walk; /* begins the walk on the demo clip, or leaves it */
action act_skip_step;  /* of that walk */
action act_browse;     /* through folders to a clip */
action act_folder;     /* the clips beside the one that is open */
action act_recent;
action act_open_recent; /* by index */
action act_preferences;
action act_keys;

/* look.c: how it is shown */
action act_zoom; /* -1 out, 1 in */
action act_fit;
action act_plain;
action act_theme;
action act_text_size; /* -1, 1; 0 as the display has it */
action act_units;
action act_full_screen;
action act_escape;
action act_quit;
action act_walk_sheet; /* -1, 1 */
action act_section;    /* opens or closes a section of the sheet */
action act_past;       /* reads the history of the folder; 1: and makes its page */
action act_cautions;   /* folds or unfolds them */
action act_all_rows;   /* each measure without a number by itself, or by reason */
action act_skip;       /* the point that is due is not seen on this frame */
action act_explain;    /* goes to a measure's frame, lights its points and explains it */
action act_group;      /* unfolds the measures of a moment, or folds them */

#endif
