/* The page together with the clips that belong to it. */
#ifndef SERVEPLUMB_PAGE_MAKE_H
#define SERVEPLUMB_PAGE_MAKE_H

#include "serveplumb/page.h"
#include "serveplumb/reel.h"

#define SP_PAGE_PARTS_MAX 8
#define SP_PAGE_PATH_MAX 4096

/* Where the clip of each part lies that is too large for the page; "": in the page, or none. A file
 * that is not the clip of the page before is never written over: then another name is chosen. */
typedef struct {
    char beside[SP_PAGE_PARTS_MAX][SP_PAGE_PATH_MAX];
} sp_page_made;

/* Encodes the clip of each part (its reel_path is not read) unless told otherwise, then writes the
 * page. `told` as in sp_reel_write. When it fails or is given up nothing is left behind, and what
 * was there before stays as it was. */
bool sp_page_make(const sp_page_part *parts, int count, const sp_page_options *options,
                  const char *path, sp_reel_told *told, void *whom, sp_page_made *made,
                  sp_error *error);

#endif
