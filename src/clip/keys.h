/* Which packets are keys, told from their own first bits: containers mark some wrongly. */
#ifndef SP_CLIP_KEYS_H
#define SP_CLIP_KEYS_H

#include <stdbool.h>

#include <libavcodec/codec_par.h>
#include <libavcodec/packet.h>

typedef enum {
    SP_KEY_NONE,
    SP_KEY_WARM,  /* a recovery point: exact only some way after it */
    SP_KEY_TOLD,  /* a recovery point that promises to be as good as clean */
    SP_KEY_CLEAN, /* all that is displayed after it decodes exactly from here */
} sp_key;

/* Carried from packet to packet of one stream. */
typedef struct {
    bool skips_leading; /* HEVC: the last random access point forbids its leading pictures */
    bool sequence_ended;
    bool started;
} sp_key_state;

typedef struct {
    sp_key key;
    bool hidden; /* no decoder shows a picture of it, by the rules of its codec */
    bool broken; /* its own structure does not hold together */
} sp_look;

sp_look sp_key_look(sp_key_state *state, const AVCodecParameters *codec, const AVPacket *packet);

#endif
