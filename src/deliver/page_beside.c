#include "deliver/page_beside.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/file.h"
#include "base/text.h"
#include "deliver/html.h"

/* A page with clips in it. */
#define PAGE_BYTES_MAX ((size_t)512 << 20)
enum { NAMES_MAX = 99 };

static bool make_name(const char *page, int number, int nth, char path[SP_PAGE_PATH_MAX]) {
    const char *dot = strrchr(page, '.'), *slash = strrchr(page, '/');
    const bool ending = dot != NULL && (slash == NULL || dot > slash);
    const int stem = ending ? (int)(dot - page) : (int)strlen(page);
    char again[16] = "";
    if (nth > 1) snprintf(again, sizeof again, "-%d", nth);
    const int length =
        snprintf(path, SP_PAGE_PATH_MAX, "%.*s-clip-%d%s.mp4", stem, page, number, again);
    return length > 0 && length < SP_PAGE_PATH_MAX;
}

/* The page that is there names it: then an earlier run made both. */
static bool is_of_page(const char *page, const char *clip) {
    char *html;
    size_t length;
    const char *slash = strrchr(clip, '/');
    if (!sp_file_read(page, PAGE_BYTES_MAX, &html, &length, NULL)) return false;
    sp_text named = {0};
    sp_text_append(&named, "<a href=\"");
    sp_html_address(&named, slash == NULL ? clip : slash + 1);
    sp_text_append(&named, "\">");
    const bool is = !named.failed && strstr(html, sp_text_get(&named)) != NULL;
    sp_text_clear(&named);
    free(html);
    return is;
}

/* Fails with EEXIST where there is one; some file systems can neither refuse nor link. */
static bool move_to_free_name(const char *from, const char *to) {
    if (renameat2(AT_FDCWD, from, AT_FDCWD, to, RENAME_NOREPLACE) == 0) return true;
    if (errno != EINVAL && errno != ENOSYS) return false;
    if (link(from, to) == 0) return unlink(from) == 0;
    if (errno == EEXIST || access(to, F_OK) == 0) {
        errno = EEXIST;
        return false;
    }
    return rename(from, to) == 0;
}

static bool set_aside(sp_page_beside *beside) {
    const int length =
        snprintf(beside->was, sizeof beside->was, "%s.%ld.was", beside->path, (long)getpid());
    if (length > 0 && (size_t)length < sizeof beside->was && rename(beside->path, beside->was) == 0)
        return true;
    beside->was[0] = '\0';
    return false;
}

bool sp_page_beside_put(sp_page_beside *beside, const char *page, int number, const char *rendered,
                        sp_error *error) {
    *beside = (sp_page_beside){.path = ""};
    int reason = ENAMETOOLONG;
    for (int nth = 1; nth <= NAMES_MAX && make_name(page, number, nth, beside->path); nth++) {
        if (is_of_page(page, beside->path)) set_aside(beside);
        if (move_to_free_name(rendered, beside->path)) return true;
        reason = errno;
        if (beside->was[0] != '\0') rename(beside->was, beside->path);
        beside->was[0] = '\0';
        if (reason != EEXIST) break;
    }
    sp_fail(error, SP_ERROR_FILE,
            "cannot put the clip at '%.300s': %s; nothing there was changed; choose another name "
            "for the page",
            beside->path, strerror(reason));
    beside->path[0] = '\0';
    return false;
}

void sp_page_beside_keep(sp_page_beside *beside) {
    if (beside->was[0] != '\0') unlink(beside->was);
}

void sp_page_beside_undo(sp_page_beside *beside) {
    if (beside->path[0] != '\0') unlink(beside->path);
    if (beside->was[0] != '\0') rename(beside->was, beside->path);
}
