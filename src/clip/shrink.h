/* Smaller 8-bit copies of decoded pictures, with the same meaning of their numbers. */
#ifndef SP_CLIP_SHRINK_H
#define SP_CLIP_SHRINK_H

#include <stdbool.h>

#include <libavutil/frame.h>
#include <libswscale/swscale.h>

typedef struct {
    struct SwsContext *scaler; /* for what is not plain 4:2:0 of 8 bits */
} sp_shrink;

enum { SP_SHRINK_MAX = 8 };
/* The least factor from this one on that there is: 1, 2, 3, 4, 6, 8. */
int sp_shrink_factor(int least);
/* Into `to`, a blank frame or one that was made so before, which is used again; each side divided
 * by `factor`, one that there is. False without memory. */
bool sp_shrink_run(sp_shrink *shrink, const AVFrame *from, int factor, AVFrame *to);
void sp_shrink_clear(sp_shrink *shrink);

#endif
