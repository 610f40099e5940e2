/* The band under a still: what is seen, when, from where, and how far to trust it. */
#ifndef SP_DELIVER_CAPTION_H
#define SP_DELIVER_CAPTION_H

#include "serveplumb/check.h"
#include "serveplumb/paint.h"
#include "serveplumb/readout.h"
#include "serveplumb/review.h"
#include "serveplumb/theme.h"

/* Below several pictures: a head under each, one foot under all. */
typedef enum { SP_CAPTION_WHOLE, SP_CAPTION_HEAD, SP_CAPTION_FOOT } sp_caption_part;

typedef struct {
    sp_caption_part part;
    const sp_review *review;
    const sp_readout *readout; /* may be NULL */
    /* Of what may be sent, that of this frame or moment is said; NULL: nothing. */
    const sp_findings *findings;
    const char *moment; /* NULL: none */
    int frame;
    double clip_s;      /* of the frame, by the clip's own clock */
    bool damaged;       /* the frame was not decoded cleanly */
    bool numbers;       /* the picture holds some */
    bool projected;     /* of which one is true in the picture plane only */
    bool of_drop;       /* speaks of the drop, whatever the frame is */
    const char *whose;  /* follows the moment; NULL: nothing */
    const char *also;   /* a line of its own; NULL: none */
    const char *spoken; /* a measure that is spoken of; NULL or "": none */
    double slower;      /* than the serve was; 0: not said */
} sp_caption;

/* What the caption says, line by line; freed by the caller, NULL without memory. */
char *sp_caption_detach_text(const sp_caption *caption);

/* Height of the band in painter units for this width; `em` is that of the labels above it. */
double sp_caption_height(sp_paint *paint, const sp_caption *caption, const sp_theme *theme,
                         double width, double em);
void sp_caption_draw(sp_paint *paint, const sp_caption *caption, const sp_theme *theme,
                     sp_rect band, double em);

#endif
