/* The first day and the last beside each other, at the same moments. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "deliver/history_page.h"
#include "deliver/html.h"
#include "deliver/kept.h"
#include "serveplumb/encoder.h"
#include "serveplumb/panels.h"
#include "serveplumb/review_clip.h"

#define QUALITY 86

static const char *const MOMENTS[] = {"trophy", "drop", "contact"};
#define MOMENT_COUNT (sizeof MOMENTS / sizeof MOMENTS[0])

/* The two serves that are shown: the first of the first day, the last of the last. */
typedef struct {
    const sp_history_serve *serves[2];
    sp_clip *clips[2]; /* opened when the first picture has to be made */
    const sp_page *page;
} pair;

static bool open_clips(pair *p, sp_error *error) {
    for (int i = 0; i < 2; i++) {
        if (p->clips[i] != NULL) continue;
        p->clips[i] = sp_review_open_clip(p->serves[i]->review, p->serves[i]->path, NULL, error);
        if (p->clips[i] == NULL) return false;
    }
    return true;
}

static bool draw(pair *p, const char *moment, uint8_t **bytes, size_t *length, sp_error *error) {
    sp_panel panels[2];
    sp_picture picture;
    if (!open_clips(p, error)) return false;
    for (int i = 0; i < 2; i++)
        panels[i] = (sp_panel){.clip = p->clips[i],
                               .review = p->serves[i]->review,
                               .readout = p->serves[i]->readout,
                               .frame = sp_review_moment_frame(p->serves[i]->review, moment),
                               .moment = moment,
                               .whose = p->serves[i]->day};
    const sp_panels_options options = {.units = p->page->options->units};
    if (!sp_panels_draw(panels, 2, &options, &picture, error)) return false;
    const bool good = sp_picture_encode_jpeg(&picture, QUALITY, bytes, length, error);
    sp_picture_clear(&picture);
    return good;
}

/* Of the two reviews, their clips, this moment and these units. */
static bool put_key(sp_text *key, const pair *p, const char *moment) {
    sp_text_format(key, "beside %d %s", (int)p->page->options->units, moment);
    return sp_kept_put_source(key, p->serves[0]->review, p->serves[0]->path) &&
           sp_kept_put_source(key, p->serves[1]->review, p->serves[1]->path) && !key->failed;
}

static bool have(pair *p, const char *moment, char **bytes, size_t *length, sp_error *error) {
    sp_text key = {0};
    const bool keeps = put_key(&key, p, moment);
    bool good = keeps && sp_kept_read(sp_text_get(&key), bytes, length);
    if (!good) {
        uint8_t *drawn = NULL;
        good = draw(p, moment, &drawn, length, error);
        if (good && keeps) sp_kept_write(sp_text_get(&key), drawn, *length);
        *bytes = (char *)drawn;
    }
    sp_text_clear(&key);
    return good;
}

static bool add_picture(sp_page *page, pair *p, const char *moment, sp_error *error) {
    char *bytes;
    size_t length;
    if (!have(p, moment, &bytes, &length, error)) return false;
    sp_text *html = &page->html;
    sp_text_format(html,
                   "<figure><img alt=\"%s on %s and on %s beside each other, "
                   "upright, with the marked points\" src=\"data:image/jpeg;base64,",
                   moment, p->serves[0]->day, p->serves[1]->day);
    sp_html_base64(html, (const uint8_t *)bytes, length);
    sp_text_format(html, "\"><figcaption>%s, on %s and on %s.", moment, p->serves[0]->day,
                   p->serves[1]->day);
    if (strcmp(moment, "drop") == 0) sp_page_drop_pointer(page);
    sp_text_append(html, "</figcaption></figure>\n");
    free(bytes);
    return true;
}

bool sp_history_pictures(sp_page *page, const sp_history_view *view, sp_error *error) {
    pair p = {.page = page};
    bool titled = false, good = true;
    if (view->day_count < 2) return true;
    p.serves[0] = view->entries[0];
    p.serves[1] = view->entries[view->count - 1];
    for (size_t i = 0; good && i < MOMENT_COUNT; i++) {
        if (sp_review_moment_frame(p.serves[0]->review, MOMENTS[i]) < 0 ||
            sp_review_moment_frame(p.serves[1]->review, MOMENTS[i]) < 0)
            continue;
        if (!titled) {
            sp_page_heading(page, "The first day and the last, side by side");
            sp_text_append(&page->html, "<div class=\"charts\">\n");
        }
        titled = true;
        good = add_picture(page, &p, MOMENTS[i], error);
    }
    if (titled) sp_text_append(&page->html, "</div>\n");
    sp_clip_close(p.clips[0]);
    sp_clip_close(p.clips[1]);
    return good;
}
