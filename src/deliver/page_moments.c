/* The pictures of a page. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "deliver/html.h"
#include "deliver/page_picture.h"
#include "serveplumb/panels.h"
#include "serveplumb/still.h"

static bool is_drop(const sp_page_part *part, const sp_moment *moment) {
    return sp_review_moment_frame(part->review, "drop") == moment->frame ||
           strcasestr(moment->name, "drop") != NULL;
}

/* What the picture shows, with its numbers. */
static void describe(sp_text *alt, const sp_page *page, const sp_page_part *part,
                     const sp_moment *moment) {
    sp_text_format(alt, "%s, seen from the %s, frame %d, with the marked points.", moment->name,
                   sp_view_id(sp_review_get_view(part->review)), moment->frame);
    for (size_t i = 0; i < sp_readout_count(part->readout); i++) {
        const sp_measure *measure = sp_readout_at(part->readout, i);
        char text[160];
        if (measure->frame != moment->frame || !isfinite(measure->value.value) ||
            strcmp(measure->kind->moment, moment->name) != 0)
            continue;
        sp_measure_text(measure, page->options->units, text, sizeof text);
        sp_text_format(alt, " %s %s.", measure->kind->title, text);
    }
}

static void add_figcaption(sp_page *page, const sp_page_part *part, const sp_moment *moment) {
    const double real =
        sp_clip_times(part->clip)[moment->frame] / sp_review_get_clip(part->review)->slowdown;
    sp_text_append(&page->html, "<figcaption>");
    sp_html_stranger(&page->html, moment->name);
    sp_text_format(&page->html, ", frame %d, %.3f s.", moment->frame, real);
    if (is_drop(part, moment)) sp_page_drop_pointer(page);
    sp_text_append(&page->html, "</figcaption>");
}

static bool add_still(sp_page *page, const sp_page_part *part, const sp_moment *moment,
                      sp_error *error) {
    const sp_still_options options = {
        .frame = moment->frame,
        .moment = moment->name,
        .units = page->options->units,
        .findings = part->findings,
        .path = strcmp(moment->name, "contact") == 0 ? SP_PATH_TO_CONTACT : SP_PATH_NONE};
    sp_picture picture;
    if (!sp_still_draw(part->clip, part->review, part->readout, &options, &picture, error))
        return false;
    sp_text alt = {0};
    describe(&alt, page, part, moment);
    sp_text_append(&page->html, "<figure>");
    const bool good = sp_page_picture(page, &picture, sp_text_get(&alt), error);
    add_figcaption(page, part, moment);
    sp_text_append(&page->html, "</figure>\n");
    sp_text_clear(&alt);
    sp_picture_clear(&picture);
    return good;
}

static bool add_panels(sp_page *page, const sp_panel *panels, int count, const char *alt,
                       const char *caption, bool of_drop, sp_error *error) {
    sp_picture picture;
    const sp_panels_options options = {.units = page->options->units};
    if (!sp_panels_draw(panels, count, &options, &picture, error)) return false;
    sp_text_append(&page->html, "<figure class=\"glance\">");
    const bool good = sp_page_picture(page, &picture, alt, error);
    sp_text_append(&page->html, "<figcaption>");
    sp_html_text(&page->html, caption);
    if (of_drop) sp_page_drop_pointer(page);
    sp_text_append(&page->html, "</figcaption></figure>\n");
    sp_picture_clear(&picture);
    return good;
}

bool sp_page_row(sp_page *page, const sp_page_part *part, sp_error *error) {
    sp_panel panels[SP_PANELS_MAX];
    const size_t moments = sp_review_moment_count(part->review);
    sp_text alt = {0};
    int count = 0;
    bool drop = false;
    sp_text_append(&alt, "The serve in a row of pictures:");
    for (size_t i = 0; i < moments && count < SP_PANELS_MAX; i++) {
        const sp_moment *moment = sp_review_moment_at(part->review, i);
        panels[count++] = (sp_panel){.clip = part->clip,
                                     .review = part->review,
                                     .readout = part->readout,
                                     .frame = moment->frame,
                                     .moment = moment->name};
        drop = drop || is_drop(part, moment);
        sp_text_format(&alt, "%s %s", i == 0 ? "" : ",", moment->name);
    }
    sp_text_append(&alt, ".");
    const bool good = count < 2 || add_panels(page, panels, count, sp_text_get(&alt),
                                              "The serve from moment to moment.", drop, error);
    sp_text_clear(&alt);
    return good;
}

/* No angle is drawn there: the row shows them. */
static bool is_only_in_row(const char *moment) {
    static const char *const names[] = {"release", "bounce", "finish"};
    for (size_t i = 0; i < sizeof names / sizeof names[0]; i++)
        if (strcmp(moment, names[i]) == 0) return true;
    return false;
}

bool sp_page_moments(sp_page *page, const sp_page_part *part, sp_error *error) {
    const size_t moments = sp_review_moment_count(part->review);
    if (moments == 0) return true;
    sp_page_heading(page, "The moments");
    sp_text_append(&page->html, "<div class=\"stills\">\n");
    bool good = true;
    for (size_t i = 0; good && i < moments; i++) {
        const sp_moment *moment = sp_review_moment_at(part->review, i);
        if (moments < 2 || !is_only_in_row(moment->name))
            good = add_still(page, part, moment, error);
    }
    sp_text_append(&page->html, "</div>\n");
    return good;
}

bool sp_page_beside(sp_page *page, const sp_page_part *a, const sp_page_part *b, sp_error *error) {
    bool titled = false, good = true;
    for (size_t i = 0; good && i < sp_review_moment_count(a->review); i++) {
        const sp_moment *moment = sp_review_moment_at(a->review, i);
        const int other = sp_review_moment_frame(b->review, moment->name);
        if (other < 0) continue;
        if (!titled) sp_page_heading(page, "Side by side");
        titled = true;
        const sp_panel panels[] = {
            {a->clip, a->review, a->readout, moment->frame, moment->name, "first"},
            {b->clip, b->review, b->readout, other, moment->name, "second"}};
        char alt[200], caption[160];
        snprintf(alt, sizeof alt, "%s of both serves beside each other, upright.", moment->name);
        snprintf(caption, sizeof caption, "%s, first and second serve.", moment->name);
        good = add_panels(page, panels, 2, alt, caption, is_drop(a, moment), error);
    }
    return good;
}
