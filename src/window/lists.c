/* Cards that choose a clip: the recent ones, and those of a folder. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "window/actions.h"
#include "window/page.h"
#include "window/search.h"
#include "window/state.h"

#define PICTURE_ROW 84.0

/* --- recent ----------------------------------------------------------------------------------- */
static int recent_count(const window *w) { return w->choices.recent.count; }

static const char *recent_name(const window *w, int index) {
    return session_name(w->choices.recent.at[index].path);
}

static const char *recent_detail(const window *w, int index) {
    static char folder[512]; /* read before the next row is asked for */
    const char *path = w->choices.recent.at[index].path;
    const int length = (int)(session_name(path) - path);
    snprintf(folder, sizeof folder, "%.*s%s", length, path,
             access(path, R_OK) == 0 ? "" : " (not there now)");
    return folder;
}

static const sp_picture *recent_picture(const window *w, int index) {
    return &w->choices.pictures[index];
}

static void choose_recent(window *w, int index) { act_open_recent(w, index); }

static const card_list recent = {.title = "Recent clips",
                                 .count = recent_count,
                                 .name = recent_name,
                                 .detail = recent_detail,
                                 .picture = recent_picture,
                                 .row = PICTURE_ROW,
                                 .choose = choose_recent};

void act_open_recent(window *w, int index) {
    char path[PATH_MAX];
    snprintf(path, sizeof path, "%s", w->choices.recent.at[index].path);
    window_open(w, path);
}

void act_recent(window *w, int unused) {
    (void)unused;
    if (w->choices.recent.count == 0)
        message_say(w, "No clip was opened before.");
    else
        card_show_list(w, &recent, 0);
}

static void paint_offers(page *p) {
    p->y += 8;
    page_offer(p, "open out of a folder", act_browse, 0);
    page_offer(p, "open by path", act_open, 0);
    if (p->w->first_walk.clip[0] != '\0')
        page_offer(p, "a walk on an invented serve", act_first_walk, 0);
    page_offer(p, "preferences", act_preferences, 0);
    page_offer(p, "all keys", act_keys, 0);
}

static void paint_recents(page *p) {
    const window *w = p->w;
    if (w->choices.recent.count == 0) return;
    words bold = brush_body(&p->b), faint = brush_faint(&p->b);
    bold.bold = true;
    brush_line(&p->b, bold, p->x, p->y + 22, p->width, "Recent clips");
    p->y += 44;
    for (int i = 0; i < w->choices.recent.count; i++) {
        const sp_rect row = {p->x - 6, p->y, p->width + 12, PICTURE_ROW};
        const double middle = p->y + PICTURE_ROW / 2, x = p->x + PICTURE_ROW;
        card_picture(&p->b, recent_picture(w, i), p->x, p->y + 4, PICTURE_ROW - 8);
        brush_line(&p->b, brush_body(&p->b), x, middle - 9, p->width - PICTURE_ROW,
                   recent_name(w, i));
        brush_line(&p->b, faint, x, middle + 11, p->width - PICTURE_ROW, recent_detail(w, i));
        brush_spot(&p->b, row, act_open_recent, i);
        p->y += PICTURE_ROW;
    }
}

/* In the sheet, while nothing is open. */
void recents_paint(page *p) {
    paint_recents(p);
    paint_offers(p);
}

/* --- a folder --------------------------------------------------------------------------------- */
static struct {
    char path[PATH_MAX];
    char *names[SEARCH_MOST];
    int count;
} folder; /* the one whose list was shown last */

static int folder_count(const window *w) {
    (void)w;
    return folder.count;
}

static const char *folder_name(const window *w, int index) {
    (void)w;
    return folder.names[index];
}

static bool path_in_folder(int index, char path[PATH_MAX]) {
    const int length = snprintf(path, PATH_MAX, "%s/%s", folder.path, folder.names[index]);
    return length > 0 && length < PATH_MAX;
}

/* The path of a clip becomes that of the review beside it; false when there is none. */
static bool review_beside(char path[PATH_MAX]) {
    char *dot = strrchr(path, '.');
    if (dot == NULL || (size_t)(dot - path) + sizeof ".review.json" > PATH_MAX) return false;
    snprintf(dot, PATH_MAX - (size_t)(dot - path), ".review.json");
    return access(path, F_OK) == 0;
}

static const char *folder_detail(const window *w, int index) {
    (void)w;
    char path[PATH_MAX];
    return path_in_folder(index, path) && review_beside(path) ? "with a review" : "no review yet";
}

static const sp_picture *folder_picture(const window *w, int index) {
    static const sp_picture none;
    char path[PATH_MAX], whole[PATH_MAX];
    if (!path_in_folder(index, path) || realpath(path, whole) == NULL) return &none;
    const choices *c = &w->choices;
    for (int i = 0; i < c->recent.count; i++)
        if (strcmp(c->recent.at[i].path, whole) == 0) return &c->pictures[i];
    return &none;
}

static void choose_in_folder(window *w, int index) {
    char path[PATH_MAX];
    if (path_in_folder(index, path)) window_open(w, path);
}

static const card_list in_folder = {.title = "Which clip of this folder?",
                                    .count = folder_count,
                                    .name = folder_name,
                                    .detail = folder_detail,
                                    .picture = folder_picture,
                                    .row = PICTURE_ROW,
                                    .choose = choose_in_folder};

void lists_free(void) {
    for (int i = 0; i < folder.count; i++) free(folder.names[i]);
    folder.count = 0;
}

bool lists_show_folder(window *w, const char *path, sp_error *error) {
    lists_free();
    snprintf(folder.path, sizeof folder.path, "%s", path);
    folder.count = search_clips(path, folder.names);
    if (folder.count == 0)
        return sp_fail(error, SP_ERROR_FILE,
                       "the folder '%.300s' holds no clip (mp4, mov, mkv, webm, avi, ts)", path);
    card_show_list(w, &in_folder, 0);
    return true;
}

/* --- compare with ----------------------------------------------------------------------------- */
static int others_count(const window *w) { return folder_count(w) + 1; }

static const char *others_name(const window *w, int index) {
    return index < folder.count ? folder_name(w, index) : "another clip, by its path";
}

static char what_locks[SEARCH_MOST][96]; /* read once, when the list is shown */

static const char *others_detail(const window *w, int index) {
    (void)w;
    return index < folder.count ? what_locks[index] : "from any folder, also your own serve";
}

/* When it was reviewed, and the moment that both name. */
static void note_what_locks(const window *w, int index) {
    char path[PATH_MAX], moment[SP_REVIEW_ID_MAX], *text = what_locks[index];
    const size_t size = sizeof what_locks[0];
    snprintf(text, size, "no review yet");
    if (!path_in_folder(index, path) || !review_beside(path)) return;
    sp_review *review = sp_review_read(path, NULL);
    if (review == NULL) return;
    const char *date = sp_review_get_reviewed(review);
    snprintf(text, size, "reviewed%s%s; ", date[0] == '\0' ? "" : " ", date);
    const size_t used = strlen(text);
    if (pairing_moment(w->session.review, review, "", moment))
        snprintf(text + used, size - used, "both name the %s", moment);
    else
        snprintf(text + used, size - used, "no moment is named in both");
    sp_review_free(review);
}

static const sp_picture *others_picture(const window *w, int index) {
    static const sp_picture none;
    return index < folder.count ? folder_picture(w, index) : &none;
}

static bool accept_other(window *w, const char *text, sp_error *error) {
    (void)error;
    card_close(w);
    if (text[0] != '\0') beside_open(w, text);
    return true;
}

static const card_line other_path = {"Compare with which clip?",
                                     "Where it is, such as /home/you/clips/mine.mp4", NULL,
                                     accept_other};

static void choose_other(window *w, int index) {
    char path[PATH_MAX];
    if (index >= folder.count)
        card_show_line(w, &other_path);
    else if (path_in_folder(index, path))
        beside_open(w, path);
}

static const card_list others = {.title = "Compare with which clip?",
                                 .count = others_count,
                                 .name = others_name,
                                 .detail = others_detail,
                                 .picture = others_picture,
                                 .row = PICTURE_ROW,
                                 .choose = choose_other};

static void leave_out(const char *name) {
    for (int i = 0; i < folder.count; i++) {
        if (strcmp(folder.names[i], name) != 0) continue;
        free(folder.names[i]);
        memmove(&folder.names[i], &folder.names[i + 1],
                (size_t)(folder.count - i - 1) * sizeof folder.names[0]);
        folder.count--;
        return;
    }
}

void act_compare(window *w, int unused) {
    (void)unused;
    if (!window_is_open(w)) {
        message_say(w, "Open a clip first; then another can be laid beside it.");
        return;
    }
    const char *clip = w->session.clip_path;
    const int length = (int)(session_name(clip) - clip);
    lists_free();
    snprintf(folder.path, sizeof folder.path, "%.*s", SDL_max(length, 1), length == 0 ? "." : clip);
    folder.count = search_clips(folder.path, folder.names);
    leave_out(session_name(clip));
    for (int i = 0; i < folder.count; i++) note_what_locks(w, i);
    card_show_list(w, &others, 0);
}

/* The folder of the clip that is open: the other clips of one student lie there. */
void act_folder(window *w, int unused) {
    (void)unused;
    if (!window_is_open(w)) {
        act_open(w, 0);
        return;
    }
    char path[PATH_MAX];
    const char *clip = w->session.clip_path;
    const int length = (int)(session_name(clip) - clip);
    snprintf(path, sizeof path, "%.*s", length, clip);
    sp_error error = {0};
    if (!lists_show_folder(w, length == 0 ? "." : path, &error)) message_problem(w, &error);
}
