/* What noise a fall was measured with, and what looks wrong about it in words; shared by the toss
 * in the picture and in the plane. */
#ifndef SP_KINEMATICS_TOSS_WORDS_H
#define SP_KINEMATICS_TOSS_WORDS_H

#include "kinematics/free_fall.h"

/* Residuals of a fall against the deviation that was said (1 when nothing was), all in units of the
 * whitening. */
typedef struct {
    double rms;      /* of one whitened coordinate */
    double noise;    /* the deviation to reckon with */
    double coverage; /* how many of them make 95 %: Student's where it comes from the residuals */
} sp_fall_noise;

/* `said` 0: from the residuals alone. */
sp_fall_noise sp_fall_noise_of(const sp_free_fall *fall, double said);
/* The cubic's coefficient in deviations of that noise. */
double sp_fall_bend(const sp_free_fall *fall, const sp_fall_noise *noise);
/* "" when nothing looks wrong. `rms_px` for the words; `said` as above, in px. */
void sp_fall_doubt(double bend, double rms_px, double said_px, char *text, size_t size);

#endif
