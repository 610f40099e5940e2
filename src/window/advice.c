#include <stdio.h>
#include <string.h>

#include "window/actions.h"
#include "window/commands.h"
#include "window/moments.h"
#include "window/page.h"
#include "window/state.h"

/* What the card at the head of the sheet says. */
typedef struct {
    char label[128], title[160], hint[600];
    char keys[32];
    action *act; /* of the keys; NULL: that of the card */
    int argument;
} advice;

static void set_keys(advice *a, const char *keys) { snprintf(a->keys, sizeof a->keys, "%s", keys); }

/* "the middle of the joint" -> "The middle of the joint." */
static void sentence(char *to, size_t size, const char *phrase) {
    snprintf(to, size, "%s.", phrase);
    if (to[0] >= 'a' && to[0] <= 'z') to[0] = (char)(to[0] - 'a' + 'A');
}

static void advise_point(const page *p, advice *a) {
    const session *s = &p->w->session;
    const int frame = p->w->frames.number;
    sp_point_name points[SP_POINT_COUNT];
    snprintf(a->title, sizeof a->title, "Tap the %s", sp_point_title(p->next.point));
    sentence(a->hint, sizeof a->hint, sp_point_hint(p->next.point));
    snprintf(a->keys, sizeof a->keys, "%s  not seen", command_keys(act_skip, 0));
    a->act = act_skip;
    snprintf(a->label, sizeof a->label, "next \u00b7 %zu of %zu at the %s",
             step_point_number(s, frame), step_points(s, frame, points),
             moment_on(s->review, frame)->name);
}

static void advise_moment(const page *p, advice *a) {
    const moment_kind *kind = moment_kind_at(p->next.moment);
    snprintf(a->title, sizeof a->title, "Find the %s", kind->name);
    const char *keys = command_keys(act_name_moment, p->next.moment);
    snprintf(a->hint, sizeof a->hint, "It is %s. Go to that frame, then press %s.", kind->find,
             keys);
    const size_t used = strlen(a->hint);
    if (strcmp(kind->name, "contact") == 0 && p->w->audio.sound != NULL)
        snprintf(a->hint + used, sizeof a->hint - used, " %s goes to the sharpest sound.",
                 command_keys(act_sharpest_sound, 0));
    snprintf(a->keys, sizeof a->keys, "%s  this frame", keys);
    a->act = act_name_moment;
    a->argument = p->next.moment;
}

static void advise_go(const page *p, advice *a) {
    const session *s = &p->w->session;
    snprintf(a->title, sizeof a->title, "Go to the %s", moment_kind_at(p->next.moment)->name);
    const size_t missing = step_points_due(s, p->next.frame);
    if (missing == 1)
        snprintf(a->hint, sizeof a->hint, "One point is still to be tapped there, the %s.",
                 sp_point_title(p->next.point));
    else
        snprintf(a->hint, sizeof a->hint, "%zu points are still to be tapped there, on frame %d.",
                 missing, p->next.frame);
    set_keys(a, "Enter");
}

static void advise(const page *p, advice *a) {
    switch (p->next.kind) {
    case STEP_OPEN:
        if (first_walk_offered(p->w)) {
            snprintf(a->title, sizeof a->title, "First time here?");
            snprintf(a->hint, sizeof a->hint,
                     "A walk of two minutes on an invented serve: press Enter, or here. Or open a "
                     "clip of your own; Esc turns the walk down.");
            set_keys(a, "Enter");
            break;
        }
        snprintf(a->title, sizeof a->title, "Open a clip");
        snprintf(a->hint, sizeof a->hint, "Drop it on the window, or type where it is.");
        set_keys(a, command_keys(act_open, 0));
        break;
    case STEP_WHO:
        snprintf(a->title, sizeof a->title, "Who serves, from where?");
        snprintf(a->hint, sizeof a->hint,
                 "Set the hand, the view and the side of the net, then press Enter.");
        set_keys(a, "Enter");
        break;
    case STEP_RELINK: {
        const session *s = &p->w->session;
        snprintf(a->title, sizeof a->title, "Link the review?");
        snprintf(a->hint, sizeof a->hint,
                 "Its clip '%.120s' is called '%.120s' now: the same content. Press Enter to link "
                 "them.",
                 session_name(sp_review_get_clip(s->review)->file), session_name(s->clip_path));
        set_keys(a, "Enter");
        break;
    }
    case STEP_SPEED:
        snprintf(a->title, sizeof a->title, "Is this real time?");
        snprintf(a->hint, sizeof a->hint,
                 "%.0f frames/s may be slow motion. Play it with Space. If people move as in life, "
                 "press "
                 "Enter; if not, set the slowdown with %s.",
                 p->w->session.facts->rate, command_keys(act_slowdown, 0));
        set_keys(a, "Enter");
        break;
    case STEP_MOMENT: advise_moment(p, a); break;
    case STEP_GO: advise_go(p, a); break;
    case STEP_POINT: advise_point(p, a); break;
    case STEP_SCALE:
        snprintf(a->title, sizeof a->title, "Set the scale");
        snprintf(a->hint, sizeof a->hint,
                 "Press %s and choose a court distance near the player, then tap its two ends: "
                 "pixels become metres.",
                 command_keys(act_scale, 0));
        set_keys(a, command_keys(act_scale, 0));
        break;
    case STEP_READ:
        snprintf(a->title, sizeof a->title, "Read measures and checks");
        snprintf(a->hint, sizeof a->hint,
                 "All that this view asks for is set. Read what was found, then S keeps a still of "
                 "this frame.");
        snprintf(a->keys, sizeof a->keys, "%s  still", command_keys(act_still, 0));
        a->act = act_still;
        break;
    }
}

static void advise_walk(const page *p, advice *a) {
    const char *title, *hint;
    const window *w = p->w;
    first_walk_words(w, a->label, sizeof a->label, &title, &hint);
    snprintf(a->title, sizeof a->title, "%s", title);
    snprintf(a->hint, sizeof a->hint, "%s", hint);
    const int moment = first_walk_moment(w);
    sp_point_name due;
    if (moment >= 0) {
        snprintf(a->keys, sizeof a->keys, "%s  this frame", command_keys(act_name_moment, moment));
        a->act = act_name_moment;
        a->argument = moment;
    } else if (tool_due(w, &due)) {
        snprintf(a->title, sizeof a->title, "Tap the %s", sp_point_title(due));
        sentence(a->hint, sizeof a->hint, sp_point_hint(due));
    }
}

static void advise_again(const page *p, advice *a) {
    sp_point_name due;
    again_words(p->w, a->label, sizeof a->label, a->title, sizeof a->title, a->hint,
                sizeof a->hint);
    if (again_due_here(p->w, &due)) {
        snprintf(a->keys, sizeof a->keys, "%s  not seen", command_keys(act_skip, 0));
        a->act = act_skip;
    } else {
        set_keys(a, "Enter");
    }
}

double guide_paint_next(page *p, spot *keys) {
    advice a = {.label = "next"};
    const window *w = p->w;
    tool_words(p->w, a.title, sizeof a.title, a.hint, sizeof a.hint);
    if (a.title[0] != '\0') {
        set_keys(&a, "Esc");
        a.act = act_escape;
        if (talking_is_on(p->w)) {
            set_keys(&a, "R");
            a.act = act_talk_record;
            snprintf(a.label, sizeof a.label, "recording");
        }
    } else if (first_walk_is_on(w)) {
        advise_walk(p, &a);
    } else if (again_is_on(w)) {
        advise_again(p, &a);
    } else {
        advise(p, &a);
    }
    if (p->w->session.clip != NULL && p->w->session.closed[0] != '\0') {
        snprintf(a.title, sizeof a.title, "For looking only");
        snprintf(a.hint, sizeof a.hint, "The clip is not the one that was reviewed.");
        a.keys[0] = '\0';
    }
    words title = brush_body(&p->b), hint = brush_body(&p->b), label = brush_faint(&p->b);
    title.size = p->b.theme->title_px;
    title.bold = title.wrap = hint.wrap = true;
    const double x = p->x + 4, width = p->width - 4;
    const double text = brush_size(&p->b, title, width, a.title).height +
                        brush_size(&p->b, hint, width, a.hint).height;
    const double height = 14 + 22 + 4 + text + 4 + 16;
    const sp_rect ground = {p->x - PAGE_MARGIN, 0, p->width + 2 * PAGE_MARGIN, height};
    sp_paint_fill_rect(p->b.paint, ground, 0, p->b.theme->raised);
    sp_paint_fill_rect(p->b.paint, (sp_rect){ground.x, 0, 5, height}, 0, p->b.theme->accent);
    brush_sign(&p->b, SIGN_NEXT, x + 5, 25);
    brush_line(&p->b, label, x + 20, 25, 0, a.label);
    const double cap = brush_keys(&p->b, p->x + p->width, 25, a.keys);
    *keys = (spot){.act = a.act, .argument = a.argument};
    keys->rect = (sp_rect){p->x + p->width - cap - 12, 0, cap + 12 + PAGE_MARGIN, 44};
    double y = 40;
    y += brush_text(&p->b, title, x, y, width, a.title) + 4;
    brush_text(&p->b, hint, x, y, width, a.hint);
    return height;
}
