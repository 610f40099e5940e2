/* GSL's default is to abort the program on an error. Everything that calls GSL first says that
 * errors come back as a status instead. Done once; safe from any thread. */
#ifndef SP_KINEMATICS_NUMERICS_H
#define SP_KINEMATICS_NUMERICS_H

void sp_numerics_by_status(void);

#endif
