/* Typical error of a repeated measurement (Hopkins 2000, Sports Med 30:1-15): the standard
 * deviation of the differences over sqrt 2, with its interval by chi-squared. */
#ifndef SP_KINEMATICS_TYPICAL_ERROR_H
#define SP_KINEMATICS_TYPICAL_ERROR_H

#include "serveplumb/interval.h"

/* `squares`: of the differences about their mean. All NAN when freedom < 1. */
sp_interval sp_typical_error_of_squares(double squares, int freedom);

#endif
