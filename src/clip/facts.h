/* What a clip is: read once, when it is opened. */
#ifndef SP_CLIP_FACTS_H
#define SP_CLIP_FACTS_H

#include <libavutil/frame.h>

#include "clip/index.h"
#include "clip/reader.h"
#include "serveplumb/clip.h"

/* All but the times; `picture` is the first that was decoded. */
bool sp_facts_read(sp_clip_facts *facts, const sp_reader *reader, const sp_index *index,
                   const AVFrame *picture, sp_error *error);
/* Seconds since frame 0, one a frame, freed by the caller; NULL without memory. */
double *sp_facts_times(AVRational base, const sp_index *index);
void sp_facts_set_times(sp_clip_facts *facts, const sp_reader *reader, const sp_index *index,
                        const double *times);

#endif
