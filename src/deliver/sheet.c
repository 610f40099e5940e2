#include "deliver/sheet.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "base/file.h"
#include "serveplumb/pdf.h"
#include "serveplumb/png.h"

/* ISO 216: A4 is 210 x 297 mm; 10 mm of margin all around. */
#define POINTS_PER_MM (72.0 / 25.4)
#define PAGE_WIDTH (190.0 * POINTS_PER_MM)
#define PAGE_HEIGHT (277.0 * POINTS_PER_MM)

bool sp_sheet_to_picture(const sp_sheet *sheet, sp_picture *picture, sp_error *error) {
    if (!sp_picture_init(picture, (int)sheet->width, (int)sheet->height, error)) return false;
    sp_paint *paint = sp_paint_new(picture, 1.0, error);
    bool good = paint != NULL;
    if (good) {
        sheet->draw(paint, sheet->what);
        good = sp_paint_finish(paint, error);
    }
    sp_paint_free(paint);
    if (!good) sp_picture_clear(picture);
    return good;
}

static bool to_png(const sp_sheet *sheet, uint8_t **bytes, size_t *length, sp_error *error) {
    sp_picture picture;
    if (!sp_sheet_to_picture(sheet, &picture, error)) return false;
    const bool good = sp_picture_encode_png(&picture, bytes, length, error);
    sp_picture_clear(&picture);
    return good;
}

static bool to_pdf(const sp_sheet *sheet, uint8_t **bytes, size_t *length, sp_error *error) {
    const double density = fmin(PAGE_WIDTH / sheet->width, PAGE_HEIGHT / sheet->height);
    sp_paint *paint = sp_paint_new_pdf(sheet->width, sheet->height, density, error);
    if (paint == NULL) return false;
    sheet->draw(paint, sheet->what);
    const bool good = sp_paint_end_pdf(paint, bytes, length, error);
    sp_paint_free(paint);
    return good;
}

static bool is_pdf(const char *path) {
    const size_t length = strlen(path);
    return length > 4 && strcasecmp(path + length - 4, ".pdf") == 0;
}

bool sp_sheet_write(const sp_sheet *sheet, const char *path, sp_error *error) {
    uint8_t *bytes = NULL;
    size_t length = 0;
    const bool made = is_pdf(path) ? to_pdf(sheet, &bytes, &length, error)
                                   : to_png(sheet, &bytes, &length, error);
    const bool good = made && sp_file_write(path, bytes, length, error);
    free(bytes);
    return good;
}
