#include "serveplumb/body.h"

#include <assert.h>
#include <string.h>

typedef struct {
    const char *id, *title, *hint;
    sp_point_name opposite; /* the same place of the other side; itself where there is none */
} body_point;

/* Both sides of one place, so that their words cannot drift apart. */
#define SIDES(NAME, id, title, hint)                                                               \
    [SP_POINT_LEFT_##NAME] = {"left_" id, "left " title, hint, SP_POINT_RIGHT_##NAME},             \
    [SP_POINT_RIGHT_##NAME] = {"right_" id, "right " title, hint, SP_POINT_LEFT_##NAME}

/* Ids of the first seventeen: COCO keypoints. Hints: the middle of the joint as the camera sees it,
 * common practice, no source. */
static const body_point table[SP_POINT_COUNT] = {
    [SP_POINT_NOSE] = {"nose", "nose", "the tip of the nose", SP_POINT_NOSE},
    SIDES(EYE, "eye", "eye", "the middle of the eye"),
    SIDES(EAR, "ear", "ear", "the opening of the ear"),
    SIDES(SHOULDER, "shoulder", "shoulder",
          "the middle of the joint, a thumb's width from the bony tip of the shoulder, toward the "
          "armpit"),
    SIDES(ELBOW, "elbow", "elbow",
          "the middle of the joint, where the arm bends, as the camera sees it"),
    SIDES(WRIST, "wrist", "wrist", "the middle of the joint, where the wrist bends"),
    SIDES(HIP, "hip", "hip",
          "the middle of the joint, level with the crease of the groin, well below the waistband"),
    SIDES(KNEE, "knee", "knee", "the middle of the joint, behind the kneecap"),
    SIDES(ANKLE, "ankle", "ankle", "the bony knob of the ankle"),
    SIDES(HAND, "hand", "hand", "the middle knuckle"),
    SIDES(TOE, "toe", "toe", "the front end of the shoe"),
    [SP_POINT_RACQUET_BUTT] = {"racquet_butt", "racquet butt", "the very end of the handle",
                               SP_POINT_RACQUET_BUTT},
    [SP_POINT_RACQUET_TIP] = {"racquet_tip", "racquet tip",
                              "the far end of the frame; the middle of the streak when blurred",
                              SP_POINT_RACQUET_TIP},
    [SP_POINT_HAND_HEEL] = {"hand_heel", "heel of the hand",
                            "the edge of the gripping palm on the little finger's side",
                            SP_POINT_HAND_HEEL},
    [SP_POINT_BALL] = {"ball", "ball", "the middle of the ball; of the streak when blurred",
                       SP_POINT_BALL},
};

static const body_point *row(sp_point_name name) {
    assert((unsigned)name < SP_POINT_COUNT);
    return &table[name];
}

const char *sp_point_id(sp_point_name name) { return row(name)->id; }

const char *sp_point_title(sp_point_name name) { return row(name)->title; }

const char *sp_point_hint(sp_point_name name) { return row(name)->hint; }

bool sp_point_find(const char *id, sp_point_name *name) {
    for (unsigned i = 0; i < SP_POINT_COUNT; i++) {
        if (strcmp(table[i].id, id) != 0) continue;
        *name = (sp_point_name)i;
        return true;
    }
    return false;
}

sp_point_name sp_point_for_hand(sp_point_name right_handed, sp_hand hand) {
    return hand == SP_HAND_LEFT ? row(right_handed)->opposite : right_handed;
}
