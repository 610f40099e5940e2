/* The clip of a page: inside when it is small, else beside. */
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "base/file.h"
#include "deliver/html.h"
#include "deliver/page.h"

bool sp_page_holds(const char *reel_path) {
    struct stat facts;
    return stat(reel_path, &facts) == 0 && (size_t)facts.st_size <= SP_PAGE_CLIP_BYTES_MAX;
}

static const char *name_of(const char *path) {
    const char *slash = strrchr(path, '/');
    return slash == NULL ? path : slash + 1;
}

bool sp_page_reel(sp_page *page, const sp_page_part *part, sp_error *error) {
    if (part->reel_path == NULL) return true;
    sp_text_append(&page->html, "<section class=\"reel\">");
    sp_page_heading(page, "The serve, slowly");
    sp_text_append(&page->html,
                   "<video controls playsinline preload=\"metadata\" "
                   "aria-label=\"The serve in slow motion, held at its moments\" src=\"");
    if (sp_page_holds(part->reel_path)) {
        char *bytes;
        size_t length;
        if (!sp_file_read(part->reel_path, SP_PAGE_CLIP_BYTES_MAX, &bytes, &length, error))
            return false;
        sp_text_append(&page->html, "data:video/mp4;base64,");
        sp_html_base64(&page->html, (const uint8_t *)bytes, length);
        free(bytes);
        sp_text_append(&page->html, "\"></video>\n");
    } else {
        sp_html_address(&page->html, name_of(part->reel_path));
        sp_text_append(&page->html,
                       "\"></video>\n<p>The clip is a file of its own beside this page: "
                       "<a href=\"");
        sp_html_address(&page->html, name_of(part->reel_path));
        sp_text_append(&page->html, "\">open the clip</a>.</p>\n");
    }
    sp_text_append(&page->html, "<p class=\"small\">");
    if (sp_page_shows_drop(part)) sp_page_drop_pointer(page);
    sp_text_append(&page->html, "</p>");
    sp_text_append(&page->html, "</section>\n");
    return true;
}
