/* A clip that is too large for its page lies beside it, and never on a file of somebody else's. */
#ifndef SP_DELIVER_PAGE_BESIDE_H
#define SP_DELIVER_PAGE_BESIDE_H

#include <stdbool.h>

#include "serveplumb/page_make.h"

typedef struct {
    char path[SP_PAGE_PATH_MAX]; /* of the clip; "": none */
    char was[SP_PAGE_PATH_MAX];  /* where that of the page before waits; "": there was none */
} sp_page_beside;

/* Gives the clip `rendered` its name beside `page`: "<page>-clip-<number>.mp4", or the next that is
 * free. What lies there is replaced only when the page that was there before names it. */
bool sp_page_beside_put(sp_page_beside *beside, const char *page, int number, const char *rendered,
                        sp_error *error);
/* The new page is there. */
void sp_page_beside_keep(sp_page_beside *beside);
/* It is not: all is as it was. */
void sp_page_beside_undo(sp_page_beside *beside);

#endif
