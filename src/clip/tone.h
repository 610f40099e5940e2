/* Pictures of high range or of wider primaries, brought to sRGB. The map is a function of the three
 * components together, so it is tabulated over a cube and interpolated. */
#ifndef SP_CLIP_TONE_H
#define SP_CLIP_TONE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include <libavutil/frame.h>

typedef enum { SP_RANGE_STANDARD, SP_RANGE_HLG, SP_RANGE_PQ } sp_range;
typedef enum { SP_GAMUT_BT709, SP_GAMUT_BT2020, SP_GAMUT_P3 } sp_gamut;

/* All zero: shown as it is. So is what a clip leaves unsaid, and the primaries of old television,
 * which are near to BT.709. */
typedef struct {
    sp_range range;
    sp_gamut gamut;
} sp_tone_kind;

sp_tone_kind sp_tone_kind_of(const AVFrame *picture);
bool sp_tone_is_plain(sp_tone_kind kind);

/* One colour by formula, R'G'B' in the picture's own signal to sRGB, both 0 to 1. Standard range
 * keeps its own curve and only changes primaries: white, greys and black stay. */
void sp_tone_exactly(sp_tone_kind kind, const double signal[3], double srgb[3]);

typedef struct sp_tone sp_tone;

sp_tone *sp_tone_new(sp_tone_kind kind);
void sp_tone_free(sp_tone *tone);
sp_tone_kind sp_tone_get_kind(const sp_tone *tone);
/* A row of R'G'B', `white` the number that stands for 1, to opaque 0xAARRGGBB. Each pixel is read
 * before it is written: both may begin at the same place. */
void sp_tone_row(const sp_tone *tone, const uint16_t *from, int white, uint32_t *to, int width);

#endif
