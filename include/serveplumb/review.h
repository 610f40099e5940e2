/* The review: one clip, who serves and how it is seen, the moments, the points, plumb and scale.
 * File format: assets/review.schema.json; upright pixels (point.h), SI units, degrees.
 *
 * Every setter is one edit: it can be undone and redone without limit while the review is open. An
 * edit that changes nothing is not recorded. A setter that fails changes nothing: SP_ERROR_FORMAT
 * when the value is not allowed (the message names the member of the file), SP_ERROR_LIMIT when a
 * list is full, SP_ERROR_MEMORY. Not thread-safe: one review belongs to one thread. */
#ifndef SERVEPLUMB_REVIEW_H
#define SERVEPLUMB_REVIEW_H

#include <stdbool.h>
#include <stddef.h>

#include "serveplumb/body.h"
#include "serveplumb/error.h"
#include "serveplumb/point.h"
#include "serveplumb/pose.h"

typedef struct sp_review sp_review;

typedef enum { SP_VIEW_SIDE, SP_VIEW_BACK, SP_VIEW_FRONT, SP_VIEW_OBLIQUE } sp_view;
/* Where the net lies: a side of the picture in a side view, else away from or toward the camera. */
typedef enum { SP_NET_RIGHT, SP_NET_LEFT, SP_NET_AWAY, SP_NET_TOWARD } sp_net;
typedef enum {
    SP_SHOULDER_UNKNOWN,
    SP_SHOULDER_HEALTHY,
    SP_SHOULDER_PAST_TROUBLE,
    SP_SHOULDER_CURRENT_TROUBLE
} sp_shoulder;

/* The words of the file; `find` returns false for any other word. */
const char *sp_view_id(sp_view view);
bool sp_view_find(const char *id, sp_view *view);
const char *sp_net_id(sp_net net);
bool sp_net_find(const char *id, sp_net *net);
const char *sp_hand_id(sp_hand hand);
bool sp_hand_find(const char *id, sp_hand *hand);
const char *sp_shoulder_id(sp_shoulder shoulder);
bool sp_shoulder_find(const char *id, sp_shoulder *shoulder);

/* Where the net usually lies in a view: right, away (back, oblique) or toward. */
sp_net sp_view_net(sp_view view);
/* Right and left suit a side view, away and toward a back and a front view, all an oblique one;
 * sp_review_set_view and the reader ask this. */
bool sp_net_suits_view(sp_net net, sp_view view);

#define SP_REVIEW_NAME_MAX 256 /* bytes with the ending zero */
#define SP_REVIEW_ID_MAX 64

typedef struct {
    char file[4096];   /* as written: beside the review, or a path relative to it */
    char sha256[65];   /* lower-case hex of the whole file */
    int frames;        /* displayed frames */
    int width, height; /* upright, square pixels */
    double slowdown;   /* capture rate / clip rate, > 0; 1 when real time */
    double row_time_s; /* rolling shutter: first row to last; 0 unknown */
    double exposure_s; /* how long the shutter is open for a row; 0 unknown */
} sp_review_clip;

typedef struct {
    char name[SP_REVIEW_NAME_MAX]; /* may be empty */
    sp_hand hand;
    double stature_m; /* 0 unknown; else 0.5..2.6 */
    double racquet_m; /* 0 unknown; else 0.3..0.74 (ITF: at most 0.737) */
    sp_shoulder shoulder;
} sp_player;

typedef enum { SP_BY_TAP, SP_BY_CARRY, SP_BY_GUESS } sp_mark_by;

typedef struct {
    sp_point at;
    double sd_px; /* deviation of one coordinate; 0: the review's points_sd_px */
    sp_mark_by by;
} sp_mark;

typedef struct {
    char name[SP_REVIEW_ID_MAX]; /* release, trophy, drop, contact, bounce, finish, or free text */
    int frame;
} sp_moment;

typedef enum { SP_SCALE_LINE, SP_SCALE_COURT, SP_SCALE_TOSS } sp_scale_method;

#define SP_SCALE_LANDMARKS_MAX SP_POSE_TAPS_MAX

/* A scale as the file has it; members that its method does not use are zero. */
typedef struct {
    char id[SP_REVIEW_ID_MAX];
    sp_scale_method method;
    int frame;    /* of the taps: line and court */
    double sd_px; /* line and court; 0: the review's points_sd_px */
    /* line */
    sp_point a, b;
    double distance_m;
    char distance_name[SP_REVIEW_NAME_MAX];
    /* court: no landmark twice; any number, so that it can grow tap by tap. sd_px 0: the entry's */
    sp_landmark_tap landmarks[SP_SCALE_LANDMARKS_MAX];
    size_t landmark_count;
    /* toss: the ball's marks on these frames and between, in free flight */
    int from_frame, to_frame;
} sp_scale_entry;

typedef enum {
    SP_PLUMB_IMAGE,
    SP_PLUMB_LEVEL,
    SP_PLUMB_HANG,
    SP_PLUMB_COURT,
    SP_PLUMB_TOSS
} sp_plumb_method;

/* level and hang hold their two taps, from which angle_deg was had; image holds the angle only. */
typedef struct {
    sp_plumb_method method;
    double angle_deg; /* plumb.h */
    int frame;
    sp_point a, b;
} sp_plumb_entry;

typedef struct {
    int frame;  /* -1: of the whole review */
    char *text; /* borrowed from the review */
} sp_note;

/* What the coach saw of a check by eye, where no measure tells. */
typedef enum { SP_VERDICT_UNSURE, SP_VERDICT_MET, SP_VERDICT_NOT_MET } sp_verdict;
const char *sp_verdict_id(sp_verdict verdict);
bool sp_verdict_find(const char *id, sp_verdict *verdict);

typedef struct {
    char check[SP_REVIEW_ID_MAX]; /* id of the check */
    sp_verdict verdict;
    int frame;  /* where it is seen; -1: not said */
    char *text; /* in the coach's words; NULL: none. Borrowed from the review */
} sp_judgement;

/* What the coach made of the finding of a check. */
typedef struct {
    char check[SP_REVIEW_ID_MAX];
    double order; /* its place in the order of work by this number, from above 0; 0: by itself */
    char *text;   /* instead of the program's advice; NULL: none. Borrowed from the review */
    char seen[SP_REVIEW_ID_MAX]; /* what of it was seen, as the finding names it; "": nothing */
} sp_finding_entry;

/* A new review of a clip: right hand, side view, net right, image plumb, no marks. `clip` is
 * copied; SP_ERROR_FORMAT names the member of it that is not allowed. */
sp_review *sp_review_new(const sp_review_clip *clip, sp_error *error);

/* Reads and checks. Errors name the JSON path and what was expected ("marks[3].points.ball.at[0]:
 * expected a finite number"). Unknown members are kept and written back where they were. */
sp_review *sp_review_read(const char *path, sp_error *error);
#define SP_REVIEW_BYTES_MAX ((size_t)64 << 20)
/* The same from memory; `name` stands for the file in messages. */
sp_review *sp_review_parse(const char *text, size_t length, const char *name, sp_error *error);

/* Atomic: temporary file in the same folder, fsync, rename, fsync of the folder. On failure the
 * file that was there is untouched. */
bool sp_review_write(const sp_review *review, const char *path, sp_error *error);
/* The document as text that reads back equal, to be freed by the caller; NULL: no memory. */
char *sp_review_detach_text(const sp_review *review, sp_error *error);

void sp_review_free(sp_review *review);

/* --- what is in it --------------------------------------------------------------------------- */
const sp_review_clip *sp_review_get_clip(const sp_review *review);
const sp_player *sp_review_get_player(const sp_review *review);
sp_view sp_review_get_view(const sp_review *review);
sp_net sp_review_get_net(const sp_review *review);
double sp_review_get_points_sd(const sp_review *review); /* px; default 1.5 */
const sp_plumb_entry *sp_review_get_plumb(const sp_review *review);

size_t sp_review_scale_count(const sp_review *review);
const sp_scale_entry *sp_review_scale_at(const sp_review *review, size_t index);
const sp_scale_entry *sp_review_scale_find(const sp_review *review, const char *id);
/* The scale in use; NULL when none is. */
const sp_scale_entry *sp_review_active_scale(const sp_review *review);

size_t sp_review_moment_count(const sp_review *review); /* in order of frame */
const sp_moment *sp_review_moment_at(const sp_review *review, size_t index);
int sp_review_moment_frame(const sp_review *review, const char *name); /* -1 when not named */

/* Frames that hold at least one point, in order. */
size_t sp_review_marked_count(const sp_review *review);
int sp_review_marked_frame(const sp_review *review, size_t index);
/* False when the point is not marked on that frame. `mark` may be NULL. The sd is filled in. */
bool sp_review_mark(const sp_review *review, int frame, sp_point_name name, sp_mark *mark);

size_t sp_review_note_count(const sp_review *review);
const sp_note *sp_review_note_at(const sp_review *review, size_t index);

/* In the order in which they were added; find gives NULL when there is none of the check. */
size_t sp_review_judgement_count(const sp_review *review);
const sp_judgement *sp_review_judgement_at(const sp_review *review, size_t index);
const sp_judgement *sp_review_judgement_find(const sp_review *review, const char *check);
size_t sp_review_finding_count(const sp_review *review);
const sp_finding_entry *sp_review_finding_at(const sp_review *review, size_t index);
const sp_finding_entry *sp_review_finding_find(const sp_review *review, const char *check);
/* "2027-03-14", or "" when there is none. */
const char *sp_review_get_reviewed(const sp_review *review);

/* --- edits ----------------------------------------------------------------------------------- */
bool sp_review_set_slowdown(sp_review *review, double slowdown, sp_error *error);
/* Where the clip lies now, as the file has it. No edit: it cannot be undone. */
bool sp_review_move_clip(sp_review *review, const char *file, sp_error *error);
bool sp_review_set_row_time(sp_review *review, double row_time_s, sp_error *error);
bool sp_review_set_exposure(sp_review *review, double exposure_s, sp_error *error);
bool sp_review_set_player(sp_review *review, const sp_player *player, sp_error *error);
bool sp_review_set_view(sp_review *review, sp_view view, sp_net net, sp_error *error);
bool sp_review_set_points_sd(sp_review *review, double sd_px, sp_error *error);
bool sp_review_set_plumb(sp_review *review, const sp_plumb_entry *plumb, sp_error *error);
/* Adds, or replaces the one of the same id; the first becomes the active one. NULL entry removes.
 */
bool sp_review_set_scale(sp_review *review, const char *id, const sp_scale_entry *entry,
                         sp_error *error);
/* One landmark (landmark.h) of a scale by court that is there: adds, moves, or, with a NULL point,
 * removes it. Its deviation stays what it was. */
bool sp_review_set_landmark(sp_review *review, const char *scale_id, const char *landmark_id,
                            const sp_point *at, sp_error *error);
bool sp_review_set_active_scale(sp_review *review, const char *id, sp_error *error);
/* frame -1 removes. A moment that exists is moved. */
bool sp_review_set_moment(sp_review *review, const char *name, int frame, sp_error *error);
/* NULL mark removes. The point may lie outside the picture by at most its own size. */
bool sp_review_set_mark(sp_review *review, int frame, sp_point_name name, const sp_mark *mark,
                        sp_error *error);
/* One note a frame; NULL or empty text removes. */
bool sp_review_set_note(sp_review *review, int frame, const char *text, sp_error *error);
/* Adds, or replaces that of the same check; `check` names it, the entry's own is not read. NULL
 * removes. */
bool sp_review_set_judgement(sp_review *review, const char *check, const sp_judgement *judgement,
                             sp_error *error);
bool sp_review_set_finding(sp_review *review, const char *check, const sp_finding_entry *entry,
                           sp_error *error);
/* The day of the review, "YYYY-MM-DD"; "" removes. Nothing else changes it. */
bool sp_review_set_reviewed(sp_review *review, const char *date, sp_error *error);

/* What was undone or redone in words ("right elbow on frame 168"), NULL when there is nothing.
 * Valid until the next edit. `frame` (may be NULL) gets the frame it touched, -1 when none. */
const char *sp_review_undo(sp_review *review, int *frame);
const char *sp_review_redo(sp_review *review, int *frame);
/* How many edits are done and can be undone. */
size_t sp_review_edit_count(const sp_review *review);
/* All edits after the first `since` are undone and redone as one, told as the first of them. */
void sp_review_join(sp_review *review, size_t since);

#endif
