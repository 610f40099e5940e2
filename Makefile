# `make help` lists the targets. Objects lie in build/<variant>/, so that variants never mix.

PREFIX ?= /usr/local
DESTDIR ?=
VARIANT ?= plain
ifeq ($(origin CC),default)
CC := gcc
endif
BUILD := build/$(VARIANT)
# As many at once as there are cores, unless asked otherwise.
ifeq ($(MAKELEVEL)$(findstring -j,$(MAKEFLAGS)),0)
MAKEFLAGS := $(MAKEFLAGS) -j$(shell nproc)
endif
# make V=1 shows the whole commands.
Q := $(if $(V),,@)
VERSION := 0.1.0

export LIBRARIES := libavformat libavcodec libswscale libswresample libavutil sdl2 pangocairo cairo gsl libcjson
PACKAGES := gcc make pkg-config ffmpeg python3 libavformat-dev libavcodec-dev libswscale-dev \
	libswresample-dev libavutil-dev libsdl2-dev libcairo2-dev libpango1.0-dev libgsl-dev libcjson-dev \
	fonts-dejavu-core
CHECK_PACKAGES := $(PACKAGES) libcmocka-dev python3-jsonschema python3-numpy python3-scipy \
	python3-opencv xvfb xauth xdotool x11-utils imagemagick chromium
LINT_PACKAGES := $(CHECK_PACKAGES) clang-format clang-tidy cppcheck doxygen

WARNINGS := -Wall -Wextra -Wpedantic -Wconversion -Wshadow -Wstrict-prototypes -Wmissing-prototypes
ifdef CI
WARNINGS += -Werror
endif
ifeq ($(VARIANT),coverage)
CFLAGS := -O0 -g --coverage -fprofile-update=atomic
LDFLAGS += --coverage
endif
ifeq ($(VARIANT),sanitize)
SANITIZERS := -fsanitize=address,undefined -fno-sanitize-recover=all -fno-omit-frame-pointer
CFLAGS := -O1 -g
endif
CFLAGS ?= -O2 -g
DEFINES := -D_GNU_SOURCE -DSP_VERSION='"$(VERSION)"'
# pkg-config is asked when a recipe needs it: `make demo` starts where nothing is installed yet.
FLAGS = -std=c11 $(DEFINES) $(WARNINGS) $(CFLAGS) $(SANITIZERS) -Iinclude -Isrc $(shell pkg-config --cflags $(LIBRARIES))
# GCC 12 takes what strstr() finds in an inlined function's string for a pointer to its variable.
TEST_FLAGS := -Itests -Wno-dangling-pointer
LIBS = $(shell pkg-config --libs $(LIBRARIES)) -lm -lpthread

SOURCES := $(wildcard src/*/*.c)
LIBRARY := $(BUILD)/libserveplumb.a
PROGRAM := $(BUILD)/serveplumb
TESTS := $(patsubst tests/%.c,$(BUILD)/tests/%,$(wildcard tests/unit/*_test.c tests/published/*_test.c))
EVERY_C := $(SOURCES) $(wildcard src/*.c src/*/*.h include/serveplumb/*.h tests/*/*.[ch] demo-clips/*/*.[ch])
# Only the targets that promise their own set-up install packages.
FOR := $(firstword $(filter lint,$(MAKECMDGOALS)) $(patsubst sanitize,check,$(filter check sanitize,$(MAKECMDGOALS))) \
	$(filter demo reference,$(MAKECMDGOALS)))
SETUP := $(if $(FOR),build/.packages-$(FOR))

all: $(PROGRAM) ## the program and the library

$(PROGRAM): $(BUILD)/src/main.o $(LIBRARY)
	@echo "link $@"
	$(Q)$(CC) $(SANITIZERS) $(LDFLAGS) -o $@ $^ $(LIBS)

$(LIBRARY): $(SOURCES:src/%.c=$(BUILD)/src/%.o)
	@rm -f $@
	$(Q)$(AR) rcs $@ $^

# Following a point is loops over pixels, written to be vectorised.
ifneq ($(VARIANT),sanitize)
$(BUILD)/src/carry/%.o $(BUILD)/src/clip/shrink.o: CFLAGS += -O3
endif
$(BUILD)/src/%.o: src/%.c Makefile | $(SETUP)
	@mkdir -p $(@D)
	@echo "cc   $<"
	$(Q)$(CC) $(FLAGS) -MMD -MP -c -o $@ $<

# The built-in checks are compiled in by .incbin, which the compiler does not list.
$(BUILD)/src/readout/checks_builtin.o: assets/checks.json

$(BUILD)/tests/%: tests/%.c $(LIBRARY) | $(SETUP)
	@mkdir -p $(@D)
	@echo "cc   $<"
	$(Q)$(CC) $(FLAGS) $(TEST_FLAGS) -MMD -MP -o $@ $< $(LIBRARY) -lcmocka $(LIBS)

# A fuzz target is linked with the parts that it tests alone: tests/fuzz/README.md.
FUZZ_PARTS_clip := base clip
FUZZ_PARTS_review := base geometry review
FUZZ_PARTS_checks := base geometry kinematics review readout
FUZZ_PARTS_speeds := base geometry review
FUZZ_PARTS_marks := base geometry review
FUZZ_FILES_marks := src/deliver/marks_csv.c src/deliver/marks_coco.c
fuzz_sources = $(foreach part,$(FUZZ_PARTS_$(1)),$(wildcard src/$(part)/*.c)) $(FUZZ_FILES_$(1))
fuzz_objects = $(patsubst src/%.c,$(BUILD)/src/%.o,$(call fuzz_sources,$(1)))
FUZZ_TARGETS := clip review checks speeds marks
FUZZ_REPLAYS := $(FUZZ_TARGETS:%=build/sanitize/tests/fuzz/%_replay)

define fuzz_rules
$$(BUILD)/tests/fuzz/$(1)_replay: tests/fuzz/$(1)_fuzz.c tests/fuzz/replay.c \
	$(if $(filter clip,$(1)),,tests/fuzz/failing.c) $$(call fuzz_objects,$(1)) | $$(SETUP)
	@mkdir -p $$(@D)
	@echo "cc   $$@"
	$$(Q)$$(CC) $$(FLAGS) $$(LDFLAGS) $(if $(filter clip,$(1)),,$$(FAILING)) -o $$@ $$^ $$(LIBS)

build/fuzz/$(1)_fuzz: tests/fuzz/$(1)_fuzz.c $$(call fuzz_sources,$(1))
	@mkdir -p $$(@D)
	@echo "cc   $$@"
	$$(Q)clang -std=c11 $$(DEFINES) -O1 -g -fsanitize=fuzzer,address,undefined -fno-sanitize-recover=all -Iinclude \
		-Isrc $$(shell pkg-config --cflags $$(LIBRARIES)) -o $$@ $$^ $$(LIBS)
endef
FAILING := -Wl,--wrap=malloc,--wrap=calloc,--wrap=realloc,--wrap=strdup
$(foreach target,$(FUZZ_TARGETS),$(eval $(call fuzz_rules,$(target))))

fuzz: ## the long runs: FUZZ_FILES mutated clips, then libFuzzer for FUZZ_SECONDS on each target
	@$(MAKE) --no-print-directory VARIANT=sanitize $(FUZZ_REPLAYS)
	@$(if $(shell command -v clang),$(MAKE) --no-print-directory $(FUZZ_TARGETS:%=build/fuzz/%_fuzz))
	tests/fuzz/run.sh

export FUZZ_FILES ?= 20000
export FUZZ_SECONDS ?= 600

build/.packages-%:
	@mkdir -p build
	@$(MAKE) --no-print-directory deps FOR=$*
	@touch $@

deps: ## install the packages that are missing (FOR=check or FOR=lint: those of the tests too)
	@sh .ci/packages $(if $(filter lint,$(FOR)),$(LINT_PACKAGES),$(if $(filter check,$(FOR)),$(CHECK_PACKAGES),$(if $(filter reference,$(FOR)),doxygen,$(PACKAGES))))

include $(wildcard demo-clips/demo.mk assets/package/package.mk)

# The generator's serves, the library's readout: no clip, no program.
COVERAGE := $(BUILD)/tests/truth/coverage
COVERAGE_OBJECTS := $(patsubst tests/truth/coverage/%.c,$(BUILD)/tests/truth/objects/%.o,$(wildcard tests/truth/coverage/*.c))
MODEL := $(filter-out %/main.o,$(DEMO_OBJECTS))
$(BUILD)/tests/truth/objects/%.o: tests/truth/coverage/%.c | $(SETUP)
	@mkdir -p $(@D)
	@echo "cc   $<"
	$(Q)$(CC) $(FLAGS) -Idemo-clips/generator -MMD -MP -c -o $@ $<
$(COVERAGE): $(COVERAGE_OBJECTS) $(MODEL) $(LIBRARY)
	@echo "link $@"
	$(Q)$(CC) $(SANITIZERS) $(LDFLAGS) -o $@ $^ $(LIBS)

demo: $(PROGRAM) demo-data ## make the demo clips and open the window on one (no display: write its still and readout)
	@sh demo-clips/demo.sh $(PROGRAM)

tests: $(TESTS) $(PROGRAM) $(COVERAGE)

truth: $(COVERAGE) ## how often the stated 95 % intervals hold the truth, over 1,000 simulated serves
	@$(COVERAGE)

check: tests demo-data $(if $(filter plain,$(VARIANT)),library) ## run every suite; ONLY=word runs those whose path holds the word
	@SERVEPLUMB=$(PROGRAM) SP_BUILD=$(BUILD) $(SANITIZER_OPTIONS) tests/run.py --only "$(ONLY)" $(TESTS)

ifeq ($(VARIANT),sanitize)
SANITIZER_OPTIONS := ASAN_OPTIONS=detect_leaks=1:allocator_may_return_null=1 \
	LSAN_OPTIONS=suppressions=$(CURDIR)/tests/lint/leaks.supp:print_suppressions=0 UBSAN_OPTIONS=print_stacktrace=1
endif

sanitize: | $(SETUP) ## the suites under AddressSanitizer and UndefinedBehaviorSanitizer
	$(MAKE) --no-print-directory VARIANT=sanitize check

lint: reference | $(SETUP) ## format, layers, the headers' comments, clang-tidy, cppcheck
	@echo format; clang-format --dry-run --Werror $(EVERY_C)
	@echo layers; tests/lint/layers.py
	@echo cppcheck; cppcheck --quiet --std=c11 --error-exitcode=1 --enable=warning,performance,portability --inline-suppr \
		--suppress=missingIncludeSystem -Iinclude -Isrc -j 2 $(DEFINES) src
	@echo clang-tidy; printf '%s\n' $(SOURCES) src/main.c | xargs -P 2 -n 6 sh -c 'clang-tidy --quiet "$$@" -- $(LINT_FLAGS)' tidy

reference: | $(SETUP) ## the reference of the public headers by Doxygen, in build/reference/html; no warning passes
	@echo reference; rm -rf build/reference; mkdir -p build/reference
	@{ cat assets/reference/Doxyfile; echo PROJECT_NUMBER = $(VERSION); } | doxygen -

analyze: | $(SETUP) ## gcc -fanalyzer over every source
	@tests/lint/analyze.py $(CC) $(FLAGS)

# Suites that may write nowhere, or are ended, cannot write their counts: that is told to nobody.
coverage: ## run every suite with counted lines: how many of each folder were run; fails under 90 % of the numbers
	@find build/coverage -name '*.gcda' -delete 2>/dev/null || true
	@GCOV_ERROR_FILE=/dev/null $(MAKE) --no-print-directory VARIANT=coverage check; suites=$$?; \
		tests/lint/lines.py build/coverage && exit $$suites

LINT_FLAGS = -std=c11 -D_GNU_SOURCE -DSP_VERSION=\"0\" -Iinclude -Isrc $(shell pkg-config --cflags $(LIBRARIES))

format: ## rewrite every C file in the house's format
	clang-format -i $(EVERY_C)

bench: $(PROGRAM) demo-data ## ratios against raw decoding, in one run
	@SERVEPLUMB=$(PROGRAM) SP_BUILD=$(BUILD) tests/bench/bench.py
	@SERVEPLUMB=$(PROGRAM) tests/bench/encode_bench.py

clean: ## remove everything that was built
	rm -rf build

help: ## this list
	@sed -n 's/^\([a-z-]*\):.*## \(.*\)/  make \1\t\2/p' $(MAKEFILE_LIST) | expand -t 18

.PHONY: all deps demo tests check truth sanitize lint format reference analyze coverage install bench fuzz clean help
.DELETE_ON_ERROR:

-include $(shell find build -name '*.d' 2>/dev/null)
