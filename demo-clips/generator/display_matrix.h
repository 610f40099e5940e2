/* Marks a finished clip as stored turned, as phones do (ISO/IEC 14496-12, track header box). */
#ifndef DEMO_DISPLAY_MATRIX_H
#define DEMO_DISPLAY_MATRIX_H

#include <stdbool.h>

/* The first track of the MP4 file is to be shown turned clockwise by 90, 180 or 270 degrees; width
 * and height are as stored. False with a line on standard error. */
bool display_matrix_set(const char *path, int rotate, int width, int height);

#endif
