#include <stdlib.h>

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>

#include "kinematics/numerics.h"
#include "serveplumb/draws.h"

struct sp_random {
    gsl_rng *source;
};

sp_random *sp_random_new(uint64_t seed, sp_error *error) {
    sp_numerics_by_status();
    sp_random *random = malloc(sizeof *random);
    if (random != NULL) random->source = gsl_rng_alloc(gsl_rng_mt19937);
    if (random == NULL || random->source == NULL) {
        free(random);
        sp_fail(error, SP_ERROR_MEMORY,
                "no memory left for the random draws; close other programs");
        return NULL;
    }
    /* The twister takes 32 bits; both halves of the seed count. */
    gsl_rng_set(random->source, (unsigned long)((seed ^ (seed >> 32)) & 0xffffffffu));
    return random;
}

void sp_random_free(sp_random *random) {
    if (random == NULL) return;
    gsl_rng_free(random->source);
    free(random);
}

double sp_random_normal(sp_random *random) {
    return random == NULL ? 0 : gsl_ran_gaussian_ziggurat(random->source, 1);
}

double sp_random_uniform(sp_random *random, double low, double high) {
    const double share = random == NULL ? 0.5 : gsl_rng_uniform(random->source);
    return low + (high - low) * share;
}
