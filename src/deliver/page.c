#include "deliver/page.h"

#include <stdio.h>

#include "base/file.h"
#include "deliver/html.h"

/* Pictures and clip stand in the page; a clip beside it is a file of the same folder. Nothing else
 * may be fetched, and nothing may run. */
void sp_page_begin(sp_page *page, const char *title, bool beside) {
    sp_text *html = &page->html;
    sp_text_append(html, "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n");
    sp_text_format(html,
                   "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
                   "img-src data:; media-src data:%s; style-src '%s'; base-uri 'none'; "
                   "form-action 'none'\">\n",
                   beside ? " 'self'" : "", sp_page_style_hash);
    sp_text_append(html, "<meta name=\"referrer\" content=\"no-referrer\">\n"
                         "<meta name=\"viewport\" content=\"width=device-width, "
                         "initial-scale=1\">\n"
                         "<meta name=\"format-detection\" content=\"telephone=no, date=no, "
                         "address=no, email=no\">\n");
    sp_text_format(html, "<title>%s</title>\n<style>", title);
    sp_text_append(html, sp_page_style);
    sp_text_format(html, "</style>\n</head>\n<body>\n<main>\n<h1>%s</h1>\n", title);
}

void sp_page_end(sp_page *page) { sp_text_append(&page->html, "</main>\n</body>\n</html>\n"); }

/* Who, when and from where; names only where the coach wants them. */
static void add_about(sp_page *page, const sp_page_part *part) {
    sp_text *html = &page->html;
    const sp_player *player = sp_review_get_player(part->review);
    const char *day = sp_review_get_reviewed(part->review);
    sp_text_append(html, "<p class=\"faint\">");
    if (page->options->with_name && player->name[0] != '\0') {
        sp_html_stranger(html, player->name);
        sp_text_append(html, ", ");
    }
    sp_text_format(html, "%s-handed, seen from the %s", sp_hand_id(player->hand),
                   sp_view_id(sp_review_get_view(part->review)));
    if (day[0] != '\0') {
        sp_text_append(html, ", reviewed ");
        sp_html_text(html, day);
    }
    if (page->options->with_files) {
        sp_text_append(html, ", clip ");
        sp_html_stranger(html, sp_review_get_clip(part->review)->file);
    }
    sp_text_append(html, "</p>\n");
}

static bool add_part(sp_page *page, const sp_page_part *part, int count, sp_error *error) {
    if (count > 1) {
        char title[32];
        snprintf(title, sizeof title, "Serve %d", page->part + 1);
        page->level = 2;
        sp_page_heading(page, title);
        page->level = 3;
    }
    add_about(page, part);
    if (!sp_page_row(page, part, error)) return false;
    sp_page_findings(page, part);
    sp_page_notes(page, part);
    if (!sp_page_moments(page, part, error) || !sp_page_reel(page, part, error)) return false;
    sp_page_readout(page, part);
    if (!sp_page_curves(page, part, error)) return false;
    sp_page_unseen(page, part);
    sp_page_cautions(page, part);
    sp_page_next_clip(page, part);
    return true;
}

static bool add_all(sp_page *page, const sp_page_part *parts, int count, sp_error *error) {
    page->level = 2;
    if (count > 1 && !sp_page_beside(page, &parts[0], &parts[1], error)) return false;
    for (page->part = 0; page->part < count; page->part++)
        if (!add_part(page, &parts[page->part], count, error)) return false;
    sp_page_end(page);
    return true;
}

bool sp_page_write(const sp_page_part *parts, int count, const sp_page_options *options,
                   const char *path, sp_error *error) {
    sp_page page = {.options = options};
    bool beside = false;
    for (int i = 0; i < count; i++)
        beside = beside || (parts[i].reel_path != NULL && !sp_page_holds(parts[i].reel_path));
    sp_page_begin(&page, "Serve review", beside);
    bool good = add_all(&page, parts, count, error);
    if (good && page.html.failed)
        good =
            sp_fail(error, SP_ERROR_MEMORY, "no memory to make the page; close others and retry");
    good = good && sp_file_write(path, sp_text_get(&page.html), page.html.length, error);
    sp_text_clear(&page.html);
    return good;
}
