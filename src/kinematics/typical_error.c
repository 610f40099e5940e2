#include "kinematics/typical_error.h"

#include <math.h>

#include <gsl/gsl_cdf.h>

#include "kinematics/numerics.h"

sp_interval sp_typical_error_of_squares(double squares, int freedom) {
    if (freedom < 1) return (sp_interval){NAN, NAN, NAN};
    sp_numerics_by_status();
    return (sp_interval){sqrt(squares / freedom / 2),
                         sqrt(squares / gsl_cdf_chisq_Pinv(0.975, freedom) / 2),
                         sqrt(squares / gsl_cdf_chisq_Pinv(0.025, freedom) / 2)};
}
