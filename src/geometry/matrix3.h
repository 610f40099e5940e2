/* 3 x 3 matrices, row by row (element (i, j) at [3 i + j]), and turns. */
#ifndef SP_GEOMETRY_MATRIX3_H
#define SP_GEOMETRY_MATRIX3_H

/* product = a b; product may be neither a nor b. */
void sp_matrix3_multiply(const double a[9], const double b[9], double product[9]);
void sp_matrix3_apply(const double a[9], const double x[3], double y[3]);
void sp_matrix3_apply_transposed(const double a[9], const double x[3], double y[3]);
void sp_vector3_cross(const double a[3], const double b[3], double product[3]);
double sp_vector3_dot(const double a[3], const double b[3]);
double sp_vector3_length(const double a[3]);

/* The turn by |angle| radians about `angle` (Rodrigues' formula). */
void sp_turn_matrix(const double angle[3], double turn[9]);
/* How the turn itself turns for a small change c of `angle`: turn(angle + c) is nearly
 * turn(J c) turn(angle) (left Jacobian of the group of turns; derived by series, tested by
 * differences). */
void sp_turn_jacobian(const double angle[3], double jacobian[9]);

#endif
