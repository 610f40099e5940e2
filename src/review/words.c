#include "review/words.h"

#include <assert.h>
#include <stdio.h>
#include <string.h>

#include "serveplumb/ink.h"
#include "serveplumb/review.h"

const sp_words sp_words_view = {4,
                                {[SP_VIEW_SIDE] = "side",
                                 [SP_VIEW_BACK] = "back",
                                 [SP_VIEW_FRONT] = "front",
                                 [SP_VIEW_OBLIQUE] = "oblique"}};
const sp_words sp_words_net = {4,
                               {[SP_NET_RIGHT] = "right",
                                [SP_NET_LEFT] = "left",
                                [SP_NET_AWAY] = "away",
                                [SP_NET_TOWARD] = "toward"}};
const sp_words sp_words_hand = {2, {[SP_HAND_RIGHT] = "right", [SP_HAND_LEFT] = "left"}};
const sp_words sp_words_shoulder = {4,
                                    {[SP_SHOULDER_UNKNOWN] = "unknown",
                                     [SP_SHOULDER_HEALTHY] = "healthy",
                                     [SP_SHOULDER_PAST_TROUBLE] = "past_trouble",
                                     [SP_SHOULDER_CURRENT_TROUBLE] = "current_trouble"}};
const sp_words sp_words_by = {
    3, {[SP_BY_TAP] = "tap", [SP_BY_CARRY] = "carry", [SP_BY_GUESS] = "guess"}};
const sp_words sp_words_scale = {
    3, {[SP_SCALE_LINE] = "line", [SP_SCALE_COURT] = "court", [SP_SCALE_TOSS] = "toss"}};
const sp_words sp_words_plumb = {5,
                                 {[SP_PLUMB_IMAGE] = "image",
                                  [SP_PLUMB_LEVEL] = "level",
                                  [SP_PLUMB_HANG] = "hang",
                                  [SP_PLUMB_COURT] = "court",
                                  [SP_PLUMB_TOSS] = "toss"}};
const sp_words sp_words_verdict = {
    3,
    {[SP_VERDICT_UNSURE] = "unsure", [SP_VERDICT_MET] = "met", [SP_VERDICT_NOT_MET] = "not_met"}};
const sp_words sp_words_ink = {4,
                               {[SP_INK_STROKE] = "stroke",
                                [SP_INK_LINE] = "line",
                                [SP_INK_ARROW] = "arrow",
                                [SP_INK_CIRCLE] = "circle"}};
const sp_words sp_words_hue = {SP_HUE_COUNT,
                               {[SP_HUE_HITTING_ARM] = "hitting_arm",
                                [SP_HUE_BODY] = "body",
                                [SP_HUE_RACQUET] = "racquet",
                                [SP_HUE_BALL] = "ball",
                                [SP_HUE_PLUMB] = "plumb",
                                [SP_HUE_SCALE] = "scale"}};

const char *sp_words_at(const sp_words *words, unsigned index) {
    assert(index < words->count);
    return words->words[index];
}

bool sp_words_find(const sp_words *words, const char *word, unsigned *index) {
    for (unsigned i = 0; i < words->count; i++) {
        if (strcmp(words->words[i], word) != 0) continue;
        *index = i;
        return true;
    }
    return false;
}

void sp_words_list(const sp_words *words, char list[SP_WORDS_LIST_SIZE]) {
    size_t length = 0;
    for (size_t i = 0; i < words->count; i++) {
        const char *join = i == 0 ? "" : i + 1 == words->count ? " or " : ", ";
        const int count =
            snprintf(list + length, SP_WORDS_LIST_SIZE - length, "%s%s", join, words->words[i]);
        length += (size_t)count;
        assert(length < SP_WORDS_LIST_SIZE);
    }
}

const char *sp_view_id(sp_view view) { return sp_words_at(&sp_words_view, view); }
const char *sp_net_id(sp_net net) { return sp_words_at(&sp_words_net, net); }
const char *sp_hand_id(sp_hand hand) { return sp_words_at(&sp_words_hand, hand); }
const char *sp_shoulder_id(sp_shoulder shoulder) {
    return sp_words_at(&sp_words_shoulder, shoulder);
}
const char *sp_verdict_id(sp_verdict verdict) { return sp_words_at(&sp_words_verdict, verdict); }

bool sp_view_find(const char *id, sp_view *view) {
    unsigned index;
    if (!sp_words_find(&sp_words_view, id, &index)) return false;
    *view = (sp_view)index;
    return true;
}

bool sp_net_find(const char *id, sp_net *net) {
    unsigned index;
    if (!sp_words_find(&sp_words_net, id, &index)) return false;
    *net = (sp_net)index;
    return true;
}

bool sp_hand_find(const char *id, sp_hand *hand) {
    unsigned index;
    if (!sp_words_find(&sp_words_hand, id, &index)) return false;
    *hand = (sp_hand)index;
    return true;
}

bool sp_shoulder_find(const char *id, sp_shoulder *shoulder) {
    unsigned index;
    if (!sp_words_find(&sp_words_shoulder, id, &index)) return false;
    *shoulder = (sp_shoulder)index;
    return true;
}

bool sp_verdict_find(const char *id, sp_verdict *verdict) {
    unsigned index;
    if (!sp_words_find(&sp_words_verdict, id, &index)) return false;
    *verdict = (sp_verdict)index;
    return true;
}

sp_net sp_view_net(sp_view view) {
    static const sp_net usual[] = {[SP_VIEW_SIDE] = SP_NET_RIGHT,
                                   [SP_VIEW_BACK] = SP_NET_AWAY,
                                   [SP_VIEW_FRONT] = SP_NET_TOWARD,
                                   [SP_VIEW_OBLIQUE] = SP_NET_AWAY};
    assert((unsigned)view < sp_words_view.count);
    return usual[view];
}

bool sp_net_suits_view(sp_net net, sp_view view) {
    const bool across = net == SP_NET_RIGHT || net == SP_NET_LEFT;
    return view == SP_VIEW_OBLIQUE || across == (view == SP_VIEW_SIDE);
}
