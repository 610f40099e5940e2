#include "clip_time.h"

clip_time clip_time_plan(const options *o) {
    double before = floor(-o->from * o->rate);
    clip_time clip = {o->rate, -(before + o->contact_phase) / o->rate, 0};
    clip.frames = (int)floor((o->to - clip.start) * o->rate) + 1;
    return clip;
}

double clip_time_of(const clip_time *clip, int frame) { return clip->start + frame / clip->rate; }

int clip_time_nearest(const clip_time *clip, double time) {
    double frame = round((time - clip->start) * clip->rate);
    return frame >= 0.0 && frame < clip->frames ? (int)frame : -1;
}
