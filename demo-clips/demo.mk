# Demo clips: an independent model of a serve, filmed and drawn, with the exact truth beside it.
# Included by the Makefile; uses its CC and CI. Nothing here is linked with the program.

DEMO := build/demo
DEMO_SOURCES := $(wildcard demo-clips/generator/*.c)
DEMO_OBJECTS := $(DEMO_SOURCES:demo-clips/generator/%.c=$(DEMO)/generator/%.o)
DEMO_FLAGS = -std=c11 -D_GNU_SOURCE -O2 -g -Wall -Wextra -Wpedantic -Wconversion -Wshadow \
	-Wstrict-prototypes -Wmissing-prototypes $(if $(CI),-Werror) $(shell pkg-config --cflags cairo)

$(DEMO)/generate: $(DEMO_OBJECTS)
	$(CC) $(LDFLAGS) -o $@ $^ $(shell pkg-config --libs cairo) -lm

$(DEMO)/generator/%.o: demo-clips/generator/%.c
	@mkdir -p $(@D)
	$(CC) $(DEMO_FLAGS) -MMD -MP -c -o $@ $<

$(DEMO)/serve-side.mp4: DEMO_CLIP = --view side --rate 240 --size 720x1280 --from -1.15 --to 0.45 \
	--tape 2 --exposure 0.0008 --noise 1.6 --contact-phase 0.37 --sound

DEMO_CLIPS := $(DEMO)/serve-side.mp4

# The clip and its truth are written by one run.
$(DEMO_CLIPS): $(DEMO)/%.mp4: $(DEMO)/generate
	$(DEMO)/generate $(DEMO_CLIP) $(DEMO)/$*

.PHONY: demo-data
demo-data: $(DEMO_CLIPS)

-include $(DEMO_OBJECTS:.o=.d)
