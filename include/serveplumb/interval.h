/* A value with its interval: never loose doubles. */
#ifndef SERVEPLUMB_INTERVAL_H
#define SERVEPLUMB_INTERVAL_H

/* `low`..`high` is the 95 % coverage interval (JCGM 101:2008, probabilistically symmetric). */
typedef struct {
    double value, low, high;
} sp_interval;

#endif
