/* A ball's free flight as quadratics with drag taken off, in any unit of length. */
#ifndef SP_KINEMATICS_FREE_FALL_H
#define SP_KINEMATICS_FREE_FALL_H

#include "kinematics/trajectory.h"
#include "serveplumb/error.h"

typedef struct {
    double drag_per_m; /* 0: none */
    double m_per_unit; /* 0: as the fitted acceleration says, g / |a| */
} sp_air;

typedef struct {
    sp_trajectory path; /* quadratic, of the samples with drag taken off; t0 in the middle */
    double bend;        /* a cubic's greater third coefficient over its unit deviation */
} sp_free_fall;

/* `whitening` as in trajectory.h. Errors: SP_ERROR_ARGUMENT (too few samples, times that do not
 * increase, more drag than weight), SP_ERROR_MEMORY. */
bool sp_free_fall_fit(const sp_sample *samples, const sp_whitening *whitening, size_t count,
                      sp_air air, sp_free_fall *fall, sp_error *error);

#endif
