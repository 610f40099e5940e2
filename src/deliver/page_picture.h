/* A picture inside the page. */
#ifndef SP_DELIVER_PAGE_PICTURE_H
#define SP_DELIVER_PAGE_PICTURE_H

#include "deliver/page.h"
#include "serveplumb/picture.h"

/* An <img> as JPEG; `alt` is what a person who cannot see it is told. */
bool sp_page_picture(sp_page *page, const sp_picture *picture, const char *alt, sp_error *error);

#endif
