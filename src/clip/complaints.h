/* What FFmpeg would print. Nothing is printed; what decoders complain of is counted, since some
 * faults of a clip are told in no other way. */
#ifndef SP_CLIP_COMPLAINTS_H
#define SP_CLIP_COMPLAINTS_H

/* Once, before any other call to FFmpeg. From then on the complaints of a decoder whose `opaque`
 * points to ties are added to their counter, also from its threads. */
void sp_complaints_set_up(void);

#endif
