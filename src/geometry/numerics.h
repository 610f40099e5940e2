/* GSL's default is to abort the program on an error. Everything in geometry/ that calls GSL first
 * says that errors come back as a status instead. Done once; safe from any thread. */
#ifndef SP_GEOMETRY_NUMERICS_H
#define SP_GEOMETRY_NUMERICS_H

void sp_geometry_by_status(void);

#endif
