/* What is drawn once and leaves as pixels, PNG or PDF. */
#ifndef SP_DELIVER_SHEET_H
#define SP_DELIVER_SHEET_H

#include <stdbool.h>

#include "serveplumb/paint.h"

typedef struct {
    double width, height; /* whole painter units, a unit a pixel */
    void (*draw)(sp_paint *paint, const void *what);
    const void *what;
} sp_sheet;

bool sp_sheet_to_picture(const sp_sheet *sheet, sp_picture *picture, sp_error *error);
/* PNG, or a page of PDF where the path ends in .pdf, as large as fits on A4 within its margins.
 * Written atomically. */
bool sp_sheet_write(const sp_sheet *sheet, const char *path, sp_error *error);

#endif
