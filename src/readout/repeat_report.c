/* `repeat --json`: for programs. */
#include "base/text.h"
#include "review/json.h"
#include "serveplumb/repeat.h"

static void put_error(sp_text *text, const sp_repeat_error *error) {
    sp_json_number(text, "pairs", (double)error->pairs);
    sp_json_number(text, "degrees_of_freedom", error->freedom);
    sp_json_number_or_null(text, "typical_error_px", error->typical_px.value);
    sp_json_number_or_null(text, "low", error->typical_px.low);
    sp_json_number_or_null(text, "high", error->typical_px.high);
    sp_json_number_or_null(text, "farthest_px", error->farthest_px);
    sp_json_number(text, "farthest_frame", error->farthest_frame);
}

static void put_point(sp_text *text, const sp_repeat_error *error, sp_point_name name) {
    sp_json_open(text, NULL, '{');
    sp_json_string(text, "point", sp_point_id(name));
    put_error(text, error);
    sp_json_open(text, "shift_px", '[');
    sp_json_number_or_null(text, NULL, error->shift_px.x);
    sp_json_number_or_null(text, NULL, error->shift_px.y);
    sp_json_close(text, ']');
    sp_json_close(text, '}');
}

char *sp_repeat_detach_json(const sp_repeat *repeat, const char *first_name,
                            const char *second_name, sp_error *error) {
    sp_text compact = {0};
    sp_json_open(&compact, NULL, '{');
    sp_json_string(&compact, "first", first_name);
    sp_json_string(&compact, "second", second_name);
    sp_json_open(&compact, "pooled", '{');
    put_error(&compact, &repeat->pooled);
    sp_json_close(&compact, '}');
    sp_json_open(&compact, "points", '[');
    for (int i = 0; i < SP_POINT_COUNT; i++)
        if (repeat->points[i].pairs > 0) put_point(&compact, &repeat->points[i], (sp_point_name)i);
    sp_json_close(&compact, ']');
    sp_json_string(&compact, "doubt", repeat->doubt);
    sp_json_close(&compact, '}');
    return sp_json_detach_laid(&compact, "the text", error);
}
