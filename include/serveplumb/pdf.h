/* A page of PDF to draw on as on a picture: letters and lines stay sharp at any size. */
#ifndef SERVEPLUMB_PDF_H
#define SERVEPLUMB_PDF_H

#include <stddef.h>
#include <stdint.h>

#include "serveplumb/paint.h"

/* One page of this size; a painter's unit is 1/72 inch divided by `density`: a page of `width`
 * units is width * density / 72 inches wide. Pictures are kept as they are when they are painted.
 */
sp_paint *sp_paint_new_pdf(double width, double height, double density, sp_error *error);

/* Ends the page and gives the bytes of the file, freed by the caller; NULL on failure. Nothing can
 * be drawn any more; the painter is still freed with sp_paint_free. */
bool sp_paint_end_pdf(sp_paint *paint, uint8_t **bytes, size_t *length, sp_error *error);

#endif
