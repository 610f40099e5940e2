# Demo clips: an independent model of a serve, filmed and drawn, with the exact truth beside it.
# Nothing here is linked with the program.

DEMO := build/demo
DEMO_OBJECTS := $(patsubst demo-clips/generator/%.c,$(DEMO)/generator/%.o,$(wildcard demo-clips/generator/*.c))
DEMO_FLAGS = -std=c11 -D_GNU_SOURCE -O2 -g -Wall -Wextra -Wpedantic -Wconversion -Wshadow \
	-Wstrict-prototypes -Wmissing-prototypes $(if $(CI),-Werror) $(shell pkg-config --cflags cairo)

$(DEMO)/generate: $(DEMO_OBJECTS)
	@echo "link $@"
	$(Q)$(CC) $(LDFLAGS) -o $@ $^ $(shell pkg-config --libs cairo) -lm

$(DEMO)/generator/%.o: demo-clips/generator/%.c | $(SETUP)
	@mkdir -p $(@D)
	@echo "cc   $<"
	$(Q)$(CC) $(DEMO_FLAGS) -MMD -MP -c -o $@ $<

# A phone held upright at the side fence; tape on the ground, since no court line fits the picture.
$(DEMO)/serve-side.mp4: SHOT = --view side --size 720x1280 --rate 240 --from -1.15 --to 0.45 \
	--contact-phase 0.37 --tape 2 --exposure 0.0008 --noise 1.6 --sound
# Across, on the back fence: the half baseline and the bounce are in the picture.
$(DEMO)/serve-back.mp4: SHOT = --view back --size 1920x1080 --rate 120 --from -1.15 --to 0.62 \
	--contact-phase 0.62 --exposure 0.001 --noise 1.6
# Slow motion, across: 240 captured, 30 stored; from the centre mark to the T is in the picture.
$(DEMO)/serve-slow.mp4: SHOT = --view side --size 1280x720 --rate 240 --stored-rate 30 --from -0.95 \
	--to 0.3 --contact-phase 0.81 --exposure 0.0015 --noise 2.2

DEMO_NAMES := serve-side serve-back serve-slow

# One run writes the clip and its truth.
$(DEMO_NAMES:%=$(DEMO)/%.mp4): $(DEMO)/%.mp4: $(DEMO)/generate
	@echo "film $@"
	$(Q)$(DEMO)/generate $(SHOT) $(DEMO)/$*

$(DEMO)/%.review.json: $(DEMO)/%.mp4 demo-clips/make_review.py
	@echo "taps $@"
	$(Q)demo-clips/make_review.py $<

demo-data: $(DEMO_NAMES:%=$(DEMO)/%.review.json)

.PHONY: demo-data
