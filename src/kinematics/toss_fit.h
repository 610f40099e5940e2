/* The toss in the picture with the scale of its drag given from outside. */
#ifndef SP_KINEMATICS_TOSS_FIT_H
#define SP_KINEMATICS_TOSS_FIT_H

#include "serveplumb/toss.h"

/* `m_per_px` 0: as the fall itself says, which is wrong when the clock is. */
bool sp_toss_fit_scaled(const sp_sample *samples, size_t count, const sp_toss_options *options,
                        double m_per_px, sp_toss *toss, sp_error *error);

#endif
