#include "deliver/page_picture.h"

#include <stdlib.h>

#include "deliver/html.h"
#include "serveplumb/encoder.h"

#define QUALITY 88

bool sp_page_picture(sp_page *page, const sp_picture *picture, const char *alt, sp_error *error) {
    uint8_t *bytes;
    size_t length;
    if (!sp_picture_encode_jpeg(picture, QUALITY, &bytes, &length, error)) return false;
    sp_text_format(&page->html, "<img width=\"%d\" height=\"%d\" alt=\"", picture->width,
                   picture->height);
    sp_html_text(&page->html, alt);
    sp_text_append(&page->html, "\" src=\"data:image/jpeg;base64,");
    sp_html_base64(&page->html, bytes, length);
    sp_text_append(&page->html, "\">\n");
    free(bytes);
    return true;
}
