#include "serveplumb/panels.h"

#include "deliver/sheet.h"
#include "deliver/spread.h"

static void draw(sp_paint *paint, const void *what) { sp_spread_draw(paint, what); }

static bool make(const sp_panel *panels, int count, const sp_panels_options *options,
                 sp_picture *picture, const char *path, sp_error *error) {
    sp_spread s;
    bool good = sp_spread_begin(&s, panels, count, options, NULL, error);
    if (good) {
        const sp_size size = sp_spread_size(&s);
        const sp_sheet sheet = {
            .width = size.width, .height = size.height, .draw = draw, .what = &s};
        good = path != NULL ? sp_sheet_write(&sheet, path, error)
                            : sp_sheet_to_picture(&sheet, picture, error);
    }
    sp_spread_end(&s);
    return good;
}

bool sp_panels_draw(const sp_panel *panels, int count, const sp_panels_options *options,
                    sp_picture *picture, sp_error *error) {
    *picture = (sp_picture){0};
    return make(panels, count, options, picture, NULL, error);
}

bool sp_panels_write(const sp_panel *panels, int count, const sp_panels_options *options,
                     const char *path, sp_error *error) {
    return make(panels, count, options, NULL, path, error);
}
