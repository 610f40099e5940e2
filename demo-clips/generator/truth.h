/* The exact truth beside the clip: NAME.truth.json. */
#ifndef DEMO_TRUTH_H
#define DEMO_TRUTH_H

#include "clip_time.h"
#include "scene.h"
#include "serve.h"

bool truth_write(const serve *serve, const options *options, const tape *tape,
                 const clip_time *clip);

#endif
