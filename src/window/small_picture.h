/* Small pictures of clips for lists, kept as binary PPM files (netpbm, "P6"). */
#ifndef SP_WINDOW_SMALL_PICTURE_H
#define SP_WINDOW_SMALL_PICTURE_H

#include <stdbool.h>

#include "serveplumb/picture.h"

#define SMALL_PICTURE_SIDE 160 /* pixels of the longer side */

/* Neither is a loss when it fails. */
void small_picture_write(const char *path, const sp_picture *picture);
/* Into an empty picture. */
void small_picture_read(const char *path, sp_picture *picture);

#endif
