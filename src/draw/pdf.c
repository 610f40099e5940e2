#include "serveplumb/pdf.h"

#include <assert.h>
#include <stdlib.h>

#include <cairo-pdf.h>

#include "base/text.h"
#include "draw/painter.h"

static const cairo_user_data_key_t written_key;

static cairo_status_t append(void *closure, const unsigned char *data, unsigned int length) {
    sp_text *written = closure;
    sp_text_append_bytes(written, (const char *)data, length);
    return written->failed ? CAIRO_STATUS_NO_MEMORY : CAIRO_STATUS_SUCCESS;
}

static void forget(void *closure) {
    sp_text_clear(closure);
    free(closure);
}

sp_paint *sp_paint_new_pdf(double width, double height, double density, sp_error *error) {
    sp_text *written = calloc(1, sizeof *written);
    if (written == NULL) {
        sp_fail(error, SP_ERROR_MEMORY, "no memory to draw with");
        return NULL;
    }
    cairo_surface_t *surface =
        cairo_pdf_surface_create_for_stream(append, written, width * density, height * density);
    cairo_surface_set_user_data(surface, &written_key, written, forget);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_CREATOR, "Serveplumb " SP_VERSION);
    return sp_painter_new(surface, density, error);
}

bool sp_paint_end_pdf(sp_paint *paint, uint8_t **bytes, size_t *length, sp_error *error) {
    *bytes = NULL;
    *length = 0;
    sp_text *written = cairo_surface_get_user_data(paint->surface, &written_key);
    assert(written != NULL);
    if (!sp_painter_good(paint)) {
        if (error != NULL) *error = paint->first;
        return false;
    }
    cairo_show_page(paint->cairo);
    cairo_surface_finish(paint->surface);
    if (cairo_surface_status(paint->surface) != CAIRO_STATUS_SUCCESS || written->failed)
        return sp_fail(error, SP_ERROR_MEMORY, "no memory to make the PDF; close others and retry");
    *length = written->length;
    *bytes = (uint8_t *)sp_text_detach(written);
    return true;
}
