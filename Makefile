# make help lists the targets. Objects lie in build/<variant>/, so that variants never mix.

PREFIX ?= /usr/local
DESTDIR ?=
CC ?= gcc
VARIANT ?= plain
BUILD := build/$(VARIANT)
VERSION := 0.1.0

LIBRARIES := libavformat libavcodec libswscale libswresample libavutil sdl2 pangocairo cairo gsl libcjson
PACKAGES := gcc make pkg-config ffmpeg python3 libavformat-dev libavcodec-dev libswscale-dev \
	libswresample-dev libavutil-dev libsdl2-dev libcairo2-dev libpango1.0-dev libgsl-dev libcjson-dev \
	fonts-dejavu-core
CHECK_PACKAGES := libcmocka-dev python3-jsonschema python3-numpy python3-scipy python3-opencv \
	xvfb xauth xdotool imagemagick
LINT_PACKAGES := clang-format clang-tidy cppcheck libcmocka-dev

WARNINGS := -Wall -Wextra -Wpedantic -Wconversion -Wshadow -Wstrict-prototypes -Wmissing-prototypes
ifdef CI
WARNINGS += -Werror
endif
CFLAGS ?= -O2 -g
ALL_CFLAGS = -std=c11 -D_GNU_SOURCE -DSP_VERSION='"$(VERSION)"' -DSP_ASSETS='"$(PREFIX)/share/serveplumb"' \
	$(WARNINGS) $(CFLAGS) $(SANITIZERS) -Iinclude -Isrc
ifeq ($(VARIANT),sanitize)
SANITIZERS := -fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer
CFLAGS := -O1 -g
endif

# pkg-config is asked when a recipe needs it, so that `make deps` runs before anything is installed.
FLAGS = $(shell pkg-config --cflags $(LIBRARIES))
LIBS = $(shell pkg-config --libs $(LIBRARIES)) -lm -lpthread

SOURCES := $(wildcard src/*/*.c)
OBJECTS := $(SOURCES:src/%.c=$(BUILD)/src/%.o)
LIBRARY := $(BUILD)/libserveplumb.a
PROGRAM := $(BUILD)/serveplumb
TEST_SOURCES := $(wildcard tests/unit/*_test.c tests/published/*_test.c)
TESTS := $(TEST_SOURCES:tests/%.c=$(BUILD)/tests/%)

.PHONY: all
all: $(PROGRAM)

$(PROGRAM): $(BUILD)/src/main.o $(LIBRARY)
	$(CC) $(SANITIZERS) $(LDFLAGS) -o $@ $^ $(LIBS)

$(LIBRARY): $(OBJECTS)
	@rm -f $@
	$(AR) rcs $@ $^

$(BUILD)/src/%.o: src/%.c
	@mkdir -p $(@D)
	$(CC) $(ALL_CFLAGS) $(FLAGS) -MMD -MP -c -o $@ $<

$(BUILD)/tests/%: tests/%.c $(LIBRARY)
	@mkdir -p $(@D)
	$(CC) $(ALL_CFLAGS) $(FLAGS) -Itests -MMD -MP -o $@ $< $(LIBRARY) -lcmocka $(LIBS)

.PHONY: tests
tests: $(TESTS)

.PHONY: clean
clean:
	rm -rf build

-include $(shell find build -name '*.d' 2>/dev/null)
